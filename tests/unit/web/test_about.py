"""What stands beside a hymn: key, notes, rights, more stanzas, other tunes; copies of it all."""

from __future__ import annotations

import io
import re
import sqlite3
import time
import zipfile
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from suspirium.desk.hymnal import add_scores, find_hymns, library_path, query, the_library

NETHERWICK, LAMPS = "Come, you rivers", "The lamps are lit"
FOURTH = """The watch is long, the fire burns low,
we count the hours till day;
yet one by one the windows glow
and light us on our way."""


def _number(title: str) -> int:
    with the_library() as library:
        return int(find_hymns(library, query(title=title))[0]["number"])


def _version(client: TestClient, path: str) -> str:
    found = re.search(r'name="version" value="(\w+)"', client.get(path).text)
    assert found
    return found[1]


def test_notes_tags_and_rights_are_kept_and_found(parish: TestClient) -> None:
    path = f"/hymns/{_number(LAMPS)}/about"
    form = {
        "version": _version(parish, path),
        "notes": "with trumpet\r\nlast stanza",
        "tags": "Evening, , trumpet",
        "credit-words": "A parish poet",
        "licence-words": "asked in 2026",
    }
    assert parish.post(path, data=form).status_code == 303
    page = parish.get(path).text
    assert "with trumpet\nlast stanza" in page
    assert 'value="evening, trumpet"' in page
    assert 'value="asked in 2026"' in page
    assert LAMPS in parish.get("/", params={"tag": "evening"}).text


def test_two_windows_do_not_overwrite_notes(parish: TestClient) -> None:
    path = f"/hymns/{_number(LAMPS)}/about"
    both = _version(parish, path)
    parish.post(path, data={"version": both, "notes": "first"})
    answer = parish.post(path, data={"version": both, "notes": "second"})
    assert answer.status_code == 409
    assert "“first”" in answer.text, "what is kept is shown"
    assert ">second</textarea>" in answer.text, "what was typed stays"
    assert ">first</textarea>" in parish.get(path).text


def test_a_hymn_is_shown_heard_and_printed_in_another_key(parish: TestClient) -> None:
    path = f"/hymns/{_number(LAMPS)}"
    about = parish.get(f"{path}/about").text
    assert "F major, as printed" in about
    assert "E♭ major, 2 semitones lower" in about
    moved = parish.get(path, params={"key": "-2"}).text
    assert "This is E♭ major" in moved
    assert f"{path}/print/marked.pdf?key=-2" in moved
    assert 'data-key="-2"' in moved
    printed = parish.get(f"{path}/print/marked.pdf").content
    assert parish.get(f"{path}/print/marked.pdf", params={"key": "-2"}).content != printed
    notes = [parish.get(f"{path}/timing.json", params={"key": key}).json() for key in ("", "-2")]
    assert [one[:2] for one in notes[0]["notes"]] == [one[:2] for one in notes[1]["notes"]]


def test_a_key_out_of_reach_is_refused_in_words(parish: TestClient) -> None:
    answer = parish.get("/hymns/1", params={"key": "40"})
    assert answer.status_code == 422
    assert "too far" in answer.text


def test_further_stanzas_are_tried_and_then_a_hymn_of_their_own(parish: TestClient) -> None:
    path = f"/hymns/{_number(LAMPS)}"
    tried = parish.post(f"{path}/words", data={"text": FOURTH, "how": "try"})
    assert "Stanza 4 fits." in tried.text
    assert parish.get("/").text.count('<th scope="row">') == 4, "nothing is put in yet"
    answer = parish.post(f"{path}/words", data={"text": FOURTH, "how": "keep"})
    made = answer.headers["location"].split("?")[0]
    assert made != path
    page = parish.get(made).text
    assert ">watch<" in page
    assert "All 4 stanzas" in page
    assert "All 3 stanzas" in parish.get(path).text, "the hymn without them stays"


def test_decisions_go_along_with_the_words(parish: TestClient) -> None:
    path = f"/hymns/{_number(LAMPS)}"
    version = _version(parish, path)
    asked = {"version": version, "tempo": "40", "tempo_unit_q": "2"}
    assert parish.post(f"{path}/decisions", data=asked).status_code == 303
    made = parish.post(f"{path}/words", data={"text": FOURTH, "how": "keep"}).headers["location"]
    assert "</span> = 40" in re.sub(r"<svg.*?</svg>", "", parish.get(made).text)


def test_what_does_not_fit_is_told_before_and_kept_after(parish: TestClient) -> None:
    path = f"/hymns/{_number(LAMPS)}"
    long = FOURTH.replace("burns low", "burns lower than ever it did")
    assert "does not fit everywhere" in parish.post(f"{path}/words", data={"text": long}).text
    made = parish.post(f"{path}/words", data={"text": long, "how": "keep"}).headers["location"]
    assert "set it by hand" in parish.get(f"{made.split('?')[0]}/about").text


@pytest.mark.parametrize("text", ["", "  \n\n", "12 — 3"])
def test_a_text_without_words_is_refused_in_words(parish: TestClient, text: str) -> None:
    answer = parish.post(f"/hymns/{_number(LAMPS)}/words", data={"text": text, "how": "keep"})
    assert answer.status_code == 422
    assert "no words" in answer.text


OTHER_TUNE = """X:1
T:Another evening
C:'Hollin Bank' from the Suspirium parish, 2026.
M:4/4
L:1/4
K:G
D | G A B G | d2 c B | A A B c | A2 B z |
w: The day is done, the fields are still, the work is laid a-way,
G A B d | d c B G | A A G F | A2 G |]
w: and dusk comes o-ver vale and hill to end an-oth-er day.
"""


def test_the_words_go_to_another_tune(parish: TestClient, tmp_path: Path) -> None:
    score = tmp_path / "other.abc"
    score.write_text(OTHER_TUNE)
    with the_library() as library:
        assert not add_scores(library, [score]).failed
    path = f"/hymns/{_number(LAMPS)}"
    page = parish.get(f"{path}/about").text
    other = _number("Another evening")
    if f'name="tune" value="{other}"' not in page:
        pytest.fail("the tune of the same metre is not offered")
    answer = parish.post(f"{path}/tune", data={"tune": str(other)})
    made = parish.get(answer.headers["location"]).text
    assert LAMPS in made
    assert "Back to the printed key" not in made


def test_a_tune_of_another_metre_is_refused_in_words(parish: TestClient) -> None:
    answer = parish.post(f"/hymns/{_number(LAMPS)}/tune", data={"tune": str(_number(NETHERWICK))})
    assert answer.status_code == 422
    assert "does not fit" in answer.text


def test_a_copy_is_saved_and_brought_back(parish: TestClient) -> None:
    saved = parish.get("/library/copy")
    assert "hymnal-" in saved.headers["content-disposition"]
    parish.post("/hymns/1/remove", content=b"")
    assert parish.get("/").text.count('<th scope="row">') == 3
    files = {"copy": ("copy.sqlite", saved.content, "application/octet-stream")}
    assert parish.post("/library/restore", files=files).status_code == 303
    assert parish.get("/").text.count('<th scope="row">') == 4
    before = list(library_path().parent.glob("*-before-*.sqlite"))
    assert len(before) == 1, "what was there is kept"
    assert before[0].name in parish.get("/library").text
    with sqlite3.connect(before[0]) as kept:
        assert kept.execute("select count(*) from hymns").fetchone() == (3,)


@pytest.mark.parametrize("content", [b"", b"not a library", b"SQLite format 3\0"])
def test_what_is_no_copy_changes_nothing(parish: TestClient, content: bytes) -> None:
    files = {"copy": ("copy.sqlite", content, "application/octet-stream")}
    answer = parish.post("/library/restore", files=files)
    assert answer.status_code == 422
    assert "is no backup" in answer.text
    assert parish.get("/").text.count('<th scope="row">') == 4


def test_everything_in_open_formats(parish: TestClient) -> None:
    job = parish.post("/library/open", content=b"").headers["location"]
    for _ in range(200):
        text = parish.get(job, headers={"X-Part": "1"}).text
        if found := re.search(r'data-result="([^"]+)"', text):
            break
        time.sleep(0.05)
    else:
        pytest.fail(text)
    with zipfile.ZipFile(io.BytesIO(parish.get(found[1]).content)) as archive:
        names = archive.namelist()
    assert sum(name.endswith("score.musicxml") for name in names) == 4
    assert sum(name.endswith("hymn.json") for name in names) == 4
    assert parish.get("/library/open/..%2fcopy.zip").status_code == 404
