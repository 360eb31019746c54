from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from suspirium.desk.hymnal import VARIABLE
from suspirium.web.app import create_app
from suspirium.web.forms import safe_name
from suspirium.web.guard import Pairing
from suspirium.web.settings import SCORE_BYTES, WebSettings
from tests.unit.web.conftest import BASE


def test_a_foreign_host_is_not_answered(empty: TestClient) -> None:
    """Against DNS rebinding (OWASP's cheat sheets ask for a check of Host)."""
    assert empty.get("/", headers={"Host": "elsewhere.example"}).status_code == 400
    assert empty.get("/", headers={"Host": "localhost:8470"}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "http://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}, {"Origin": "null"}],
)
def test_a_foreign_page_changes_nothing(empty: TestClient, headers: dict[str, str]) -> None:
    assert empty.post("/demo", content=b"", headers=headers).status_code == 403


def test_our_own_page_may(empty: TestClient) -> None:
    assert empty.post("/demo", content=b"", headers={"Origin": BASE}).status_code == 303


def test_too_much_is_refused_before_it_is_read(empty: TestClient) -> None:
    headers = {"Content-Length": str(SCORE_BYTES + 1)}
    assert empty.post("/hymns", content=b"", headers=headers).status_code == 413


@pytest.mark.parametrize(
    "given", ["../../a.abc", "..\\..\\a.abc", "/etc/a.abc", "C:\\x\\a.abc", "a.abc\0", "..a.abc"]
)
def test_names_of_files_bring_no_folder(given: str) -> None:
    assert safe_name(given, "file") == "a.abc"


@pytest.mark.parametrize("path", ["/static/../app.py", "/static/%2e%2e/app.py", "/face/..%2fx"])
def test_no_path_leads_out(empty: TestClient, path: str) -> None:
    assert empty.get(path).status_code == 404


def test_scripts_come_from_here_only(empty: TestClient) -> None:
    policy = empty.get("/").headers["content-security-policy"]
    assert "default-src 'self'" in policy
    assert "script-src" not in policy
    assert "frame-ancestors 'none'" in policy


def _lan(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> TestClient:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "hymnal.sqlite"))
    settings = WebSettings(address="192.0.2.7", code="246802")
    return TestClient(
        create_app(settings),
        base_url="http://192.0.2.7:8470",
        follow_redirects=False,
        client=("192.0.2.44", 50000),
    )


def test_a_tablet_is_let_in_by_the_code_only(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    tablet = _lan(monkeypatch, tmp_path)
    assert tablet.get("/").headers["location"] == "/pair"
    assert tablet.get("/static/desk.css").status_code == 200
    assert tablet.post("/pair", data={"code": "111111"}).status_code == 403
    assert tablet.get("/").status_code == 303
    assert tablet.post("/pair", data={"code": "246802"}).status_code == 303
    assert tablet.get("/").status_code == 200


def test_guessing_is_put_to_rest() -> None:
    pairing = Pairing("246802")
    for guess in range(5):
        assert pairing.try_code(f"{guess:06}") is None
    assert pairing.rests
    assert pairing.try_code("246802") is None


def test_nobody_pairs_where_no_code_was_given() -> None:
    assert Pairing("").try_code("") is None
