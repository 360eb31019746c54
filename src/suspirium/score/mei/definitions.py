"""Score and staff definitions: time and key signatures, clefs, names, transposition."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from lxml import etree

from suspirium.score.clefs import clef_name
from suspirium.score.mei.layers import StaffSetting
from suspirium.score.mei.source import FREE_METRE_BEATS
from suspirium.score.mei.xml import first_child, local, text_of, whole
from suspirium.score.model import KeyChange, TimeChange, TimeSignature

_SYMBOLS = {"common": "C", "cut": "¢"}


@dataclass(frozen=True, slots=True)
class StaffDefinition:
    """A staff as first defined: its printed name, its clef and how its notes sound."""

    label: str
    clef: str
    setting: StaffSetting
    fifths: int | None = None

    def agrees(self, key: KeyChange) -> bool:
        """Whether the staff is in this key, as far as the source says and untransposed."""
        return self.fifths in (None, key.fifths) or self.setting.shift != (0, 0)


@dataclass(slots=True)
class Signatures:
    """Time and key signatures as they change through the score."""

    times: list[TimeChange] = field(default_factory=list)
    keys: list[KeyChange] = field(default_factory=list)

    @property
    def time(self) -> TimeSignature | None:
        return self.times[-1].time if self.times else None

    def define(self, definition: etree._Element, onset_q: Fraction) -> None:
        """Take the signatures of a definition; where its staves differ, what most have."""
        times = [time for found in _all_times(definition) for time in found]
        if times:
            self._set_time(Counter(times).most_common(1)[0][0], onset_q)
        keys = list(_keys(definition))
        if keys:
            self._set_key(*Counter(keys).most_common(1)[0][0], onset_q)

    def complete(self) -> None:
        """Say what holds from the start where the source does not."""
        if not self.times or self.times[0].onset_q > 0:
            self.times.insert(0, TimeChange(Fraction(0), None))
        if not self.keys or self.keys[0].onset_q > 0:
            self.keys.insert(0, KeyChange(Fraction(0), 0))

    def _set_time(self, time: TimeSignature | None, onset_q: Fraction) -> None:
        if self.times and self.times[-1].onset_q == onset_q:
            self.times.pop()
        if not self.times or self.times[-1].time != time:
            self.times.append(TimeChange(onset_q, time))

    def _set_key(self, fifths: int, mode: str, onset_q: Fraction) -> None:
        if self.keys and self.keys[-1].onset_q == onset_q:
            self.keys.pop()
        last = self.keys[-1] if self.keys else None
        if last is not None and last.fifths == fifths and mode in ("", last.mode):
            return
        self.keys.append(KeyChange(onset_q, fifths, mode or "major"))


def staves(definition: etree._Element) -> dict[str, StaffDefinition]:
    """The staves of the opening score definition by their number, from the top."""
    found: dict[str, StaffDefinition] = {}
    for staff in definition.iter("{*}staffDef"):
        shift = (whole(staff.get("trans.diat")), whole(staff.get("trans.semi")))
        setting = StaffSetting(whole(staff.get("ppq") or definition.get("ppq")), shift)
        fifths = next((fifths for fifths, _ in _keys(staff)), None)
        found[staff.get("n", "")] = StaffDefinition(_label(staff), _clef(staff), setting, fifths)
    return found


def _label(staff: etree._Element) -> str:
    label = first_child(staff, "label")
    return text_of(label) if label is not None else staff.get("label", "")


def _clef(staff: etree._Element) -> str:
    clef = first_child(staff, "clef")
    prefix = "" if clef is not None else "clef."
    holder = clef if clef is not None else staff
    octaves = {"8": 1, "15": 2}.get(holder.get(f"{prefix}dis", ""), 0)
    if holder.get(f"{prefix}dis.place") == "below":
        octaves = -octaves
    line = whole(holder.get(f"{prefix}line"), 2)
    return clef_name(holder.get(f"{prefix}shape", "G"), line, octaves)


def _all_times(definition: etree._Element) -> Iterator[list[TimeSignature | None]]:
    for element in definition.iter("{*}scoreDef", "{*}staffDef"):
        if element.get("meter.count") or element.get("meter.unit"):
            yield [_time(element.get("meter.count"), element.get("meter.unit"), element, "meter.")]
    for element in definition.iter("{*}meterSig"):
        yield [_time(element.get("count"), element.get("unit"), element, "")]


def _time(
    count: str | None, unit: str | None, element: etree._Element, prefix: str
) -> TimeSignature | None:
    """A time signature, None for free metre; "3+2" is five beats."""
    symbol = _SYMBOLS.get(element.get(f"{prefix}sym", ""), "")
    beats = sum(whole(part) for part in (count or "").split("+"))
    if beats == FREE_METRE_BEATS:
        return None
    if beats < 1 or whole(unit) < 1:
        shown = {"C": TimeSignature(4, 4, "C"), "¢": TimeSignature(2, 2, "¢")}
        return shown.get(symbol)
    return TimeSignature(beats, whole(unit), symbol)


def _keys(definition: etree._Element) -> Iterator[tuple[int, str]]:
    """Fifths and mode ("" where the source tells none)."""
    for element in definition.iter("{*}scoreDef", "{*}staffDef"):
        signature = element.get("keysig") or element.get("key.sig")
        if signature:
            yield _fifths(signature), element.get("key.mode", "")
    for element in definition.iter("{*}keySig"):
        yield _fifths(element.get("sig", "0")), element.get("mode", "")


def _fifths(signature: str) -> int:
    return whole(signature[:-1]) * (-1 if signature.endswith("f") else 1)


def is_definition(element: etree._Element) -> bool:
    """Whether an element between measures may carry signatures."""
    return local(element) in ("scoreDef", "staffDef")
