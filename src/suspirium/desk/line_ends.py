"""Where lines end, as the organist wants it: one more end, two lines joined, or as found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from suspirium.desk.deciding import keep_text
from suspirium.desk.finding import Found, found_in
from suspirium.desk.planning import Settings, overrides_of, plan_found
from suspirium.errors import OverrideError
from suspirium.plan.model import LeadingPlan, Phrase
from suspirium.plan.overrides_toml import write_overrides
from suspirium.plan.spare import spare_breath
from suspirium.score.model import Syllable
from suspirium.score.sounding import measure_at, melody_tones
from suspirium.score.words import sung
from suspirium.store.library import Library


@dataclass(frozen=True, slots=True)
class MelodyNote:
    """A melody note where a line may end; `word` is what the first stanza sings to it."""

    onset_q: Fraction
    line: int
    measure: int
    word: str
    ends: bool
    wanted: bool


def melody_notes(plan: LeadingPlan) -> Iterator[MelodyNote]:
    """Every note of the melody but the last.

    `ends` where a line ends now; `wanted` where people want to breathe inside a long line.
    """
    hymn = plan.hymn
    syllables = sung(hymn, hymn.stanzas[0].number) if hymn.stanzas else ()
    words = dict(_words_so_far(syllables))
    longest = max(plan.phrases, key=_length_q)
    spare = spare_breath(hymn, longest)
    phrases = iter(plan.phrases)
    phrase = next(phrases)
    for tone in melody_tones(hymn)[:-1]:
        if tone.onset_q > phrase.last_onset_q:
            phrase = next(phrases)
        yield MelodyNote(
            tone.onset_q,
            phrase.number,
            measure_at(hymn, tone.onset_q).number,
            words.get(tone.onset_q, ""),
            tone.onset_q == phrase.last_onset_q,
            spare is not None and spare.onset_q == tone.onset_q,
        )


def _words_so_far(syllables: Iterable[Syllable]) -> Iterator[tuple[Fraction, str]]:
    """By onset what is sung of the word: "Glo-", "Glori-", "Gloria"."""
    begun = ""
    for one in syllables:
        begun += one.text
        yield one.onset_q, begun + ("-" if one.joins_next else "")
        if not one.joins_next:
            begun = ""


def _length_q(phrase: Phrase) -> Fraction:
    return phrase.last_onset_q + phrase.written_q - phrase.first_onset_q


def set_line_ends(
    library: Library, number: int, asked: Mapping[str, str], version: str, settings: Settings
) -> None:
    """Ends one more line at ``onset_q``, joins the line that ends there, or finds all again.

    ``how`` is end, join or found. What was decided for a line stays with the line that ends
    at the same note. Raises `OverrideError` for an end that is none, `StaleError` where
    decisions were changed meanwhile.
    """
    found = found_in(library, number)
    keep_text(library, number, with_line_ends(found, asked, settings), version)


def with_line_ends(found: Found, asked: Mapping[str, str], settings: Settings) -> str:
    """The decisions as text, with the change of `set_line_ends`."""
    own, plan = overrides_of(found), plan_found(found, settings)
    ends = [phrase.last_onset_q for phrase in plan.phrases]
    how = asked.get("how")
    if how == "found":
        anew = replace(own, phrase_ends_q=None, phrases={})
        fresh = plan_found(replace(found, overrides=write_overrides(anew)), settings)
        chosen, kept = None, [phrase.last_onset_q for phrase in fresh.phrases]
    else:
        onset_q = _onset(asked)
        changed = {*ends, onset_q} if how == "end" else {*ends} - {onset_q}
        kept = sorted(changed)
        chosen = tuple(kept[:-1])
    numbers = {end_q: number for number, end_q in enumerate(kept, 1)}
    phrases = {
        numbers[end_q]: own.phrases[number]
        for number, end_q in enumerate(ends, 1)
        if number in own.phrases and end_q in numbers
    }
    text = write_overrides(replace(own, phrase_ends_q=chosen, phrases=phrases))
    plan_found(replace(found, overrides=text), settings)  # says what can't be
    return text


def _onset(asked: Mapping[str, str]) -> Fraction:
    try:
        return Fraction(asked.get("onset_q", ""))
    except (ValueError, ZeroDivisionError):
        raise OverrideError("choose the note after which the line ends") from None
