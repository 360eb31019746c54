"""What a file is: MusicXML, MEI or Humdrum kern, unpacked and decoded."""

from __future__ import annotations

import io
import zipfile
import zlib
from dataclasses import dataclass

from lxml import etree

from suspirium.errors import Place, Remark, ScoreError
from suspirium.score.decoding import decoded
from suspirium.score.mei.values import check_values, take_times

FREE_METRE_BEATS = 999
_SIZE_LIMIT = 64 * 2**20  # unpacked; a whole hymnal is smaller
_CONTAINER = "META-INF/container.xml"
_CONTAINER_LIMIT = 2**20
_WANTED = "a MusicXML, MEI or kern file"


@dataclass(frozen=True, slots=True)
class Source:
    """A score in text; `kind` is verovio's name of the notation, `tree` the XML if it is XML."""

    kind: str
    text: str
    tree: etree._Element | None = None
    remarks: tuple[Remark, ...] = ()


def open_source(data: bytes, name: str) -> Source:
    """Tell what `data` holds; `name` is the file's name, for messages.

    Raises ScoreError where it is no score that can be read.
    """
    if not data.strip():
        raise ScoreError(f"{name} is empty: choose {_WANTED}.")
    if data.startswith(b"PK"):
        data = _unpacked(data, name)
    elif name.lower().endswith(".mxl") and not _is_xml(data):
        raise ScoreError(
            f"{name} is not a compressed MusicXML file, whatever its name says: save it again "
            "from the program that made it."
        )
    if _is_xml(data):
        return _xml_source(data, name)
    lines = decoded(data).splitlines()
    if any(line.startswith("**kern") for line in lines):
        return Source("humdrum", "\n".join(lines) + "\n")
    raise ScoreError(f"{name} is not a score that can be read: choose {_WANTED}.")


def _is_xml(data: bytes) -> bool:
    head = data[:64]
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        head = head.decode("utf-16", "ignore").encode()
    return head.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<")


def _unpacked(data: bytes, name: str) -> bytes:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            member = _score_member(archive)
            if member is None:
                raise ScoreError(f"{name} holds no score: choose {_WANTED}.")
            if archive.getinfo(member).file_size > _SIZE_LIMIT:
                raise ScoreError(f"{name} is too large for a hymn: choose a single score.")
            return archive.read(member)
    except (zipfile.BadZipFile, EOFError, OSError, RuntimeError, NotImplementedError) as error:
        raise _damaged(name) from error
    except (KeyError, ValueError, zlib.error) as error:
        raise _damaged(name) from error


def _damaged(name: str) -> ScoreError:
    return ScoreError(
        f"{name} is damaged or breaks off: save it again from the program that made it."
    )


def _score_member(archive: zipfile.ZipFile) -> str | None:
    """The score inside a compressed MusicXML file (MusicXML 4.0, container.xml)."""
    names = archive.namelist()
    if _CONTAINER in names and archive.getinfo(_CONTAINER).file_size <= _CONTAINER_LIMIT:
        try:
            container = etree.fromstring(archive.read(_CONTAINER), _parser())
        except etree.XMLSyntaxError:
            container = etree.Element("container")
        for rootfile in container.iter("{*}rootfile"):
            path = rootfile.get("full-path")
            if path in names:
                return str(path)
    scores = [n for n in names if n.lower().endswith((".musicxml", ".xml")) and "META-INF" not in n]
    return scores[0] if scores else None


def _parser() -> etree.XMLParser:
    return etree.XMLParser(resolve_entities=False, no_network=True, remove_comments=True)


def _xml_source(data: bytes, name: str) -> Source:
    if len(data) > _SIZE_LIMIT:
        raise ScoreError(f"{name} is too large for a hymn: choose a single score.")
    try:
        tree = etree.fromstring(data, _parser())
    except (etree.XMLSyntaxError, ValueError) as error:
        line = getattr(error, "lineno", None) or None
        raise ScoreError(
            f"{name} is damaged or breaks off: save it again from the program that made it.",
            Place(line=line),
        ) from error
    root = etree.QName(tree).localname
    if root == "score-timewise":
        tree, root = _partwise(tree), "score-partwise"
    kinds = {"score-partwise": "musicxml", "mei": "mei"}
    if root not in kinds:
        raise ScoreError(f"{name} is XML but no score (it holds <{root}>): choose {_WANTED}.")
    remarks: tuple[Remark, ...] = ()
    if kinds[root] == "musicxml":
        check_values(tree)
        remarks = tuple(take_times(tree))
        _say_free_metre(tree)
    return Source(kinds[root], etree.tostring(tree, encoding="unicode"), tree, remarks)


def _say_free_metre(score: etree._Element) -> None:
    """Write free metre as a bar of more beats than any bar has.

    verovio divides by zero where it begins within a score of several parts.
    """
    for time in score.iter("time"):
        if time.find("senza-misura") is not None:
            time.clear()
            time.set("print-object", "no")
            etree.SubElement(time, "beats").text = str(FREE_METRE_BEATS)
            etree.SubElement(time, "beat-type").text = "4"


def _partwise(timewise: etree._Element) -> etree._Element:
    """Measures of parts turned into parts of measures, as the standard's own transform does."""
    score = etree.Element("score-partwise", version=timewise.get("version", "4.0"))
    parts: dict[str, etree._Element] = {}
    for child in list(timewise):
        if child.tag != "measure":
            score.append(child)
            continue
        for part in list(child):
            identity = part.get("id", "")
            if identity not in parts:
                parts[identity] = etree.Element("part", id=identity)
            measure = etree.SubElement(parts[identity], "measure")
            measure.attrib.update(child.attrib)
            measure.extend(list(part))
    score.extend(parts.values())
    return score
