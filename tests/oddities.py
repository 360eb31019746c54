"""Small hymns at the edge of what a score may say, as ABC; every one must get a plan and a page."""

from __future__ import annotations

_HEAD = "X:1\nT:Test\nM:{metre}\nL:1/4\n"
_FOUR = (
    "%%staves (S A) | (T B)\nV:S clef=treble\nV:A clef=treble\nV:T clef=bass\nV:B clef=bass\nK:{}\n"
)
_LINE = "CDEF|G4|GFED|C4"


def _melody(music: str, *words: str, metre: str = "4/4", key: str = "C", unit: str = "") -> str:
    lines = [_HEAD.format(metre=metre) + (f"L:{unit}\n" if unit else "") + f"K:{key}", music]
    return "\n".join([*lines, *(f"w:{line}" for line in words)]) + "\n"


def _four(soprano: str, alto: str, tenor: str, bass: str, words: str = "", key: str = "C") -> str:
    under = f"w:{words}\n" if words else ""
    return (
        _HEAD.format(metre="4/4")
        + _FOUR.format(key)
        + f"[V:S] {soprano}\n{under}[V:A] {alto}\n[V:T] {tenor}\n[V:B] {bass}\n"
    )


def _voices(*lines: str) -> str:
    names = range(1, len(lines) + 1)
    staves = "%%staves " + " ".join(map(str, names)) + "\n" + "".join(f"V:{n}\n" for n in names)
    music = "".join(f"[V:{n}] {line}\n" for n, line in zip(names, lines, strict=True))
    return _HEAD.format(metre="3/4") + staves + "K:D\n" + music


ODDITIES = {
    "melody alone": _melody(_LINE + "|]", "one two three four five, six se-ven eight nine ten."),
    "no words": _melody(_LINE + "||EFGA|G4|AGFE|D2C2|]"),
    "no words, four voices": _four(
        "CDEF|G4|]", "A,B,CD|E4|]", "E,F,G,A,|C4|]", "A,,B,,C,D,|C,4|]"
    ),
    "one note": _melody("C4|]"),
    "one short note": _melody("C/8|]"),
    "one endless note": _melody("C64|]"),
    "two voices": _voices("DEF|G3|]", "D,E,F,|G,3|]"),
    "three voices": _voices("DEF|G3|]", "A,CD|D3|]", "D,E,F,|G,3|]"),
    "rests first": _melody("z4|z4|zCDE|F4|z4|GFED|C4|]", "a b c d e f g h"),
    "rests last": _melody("CDEF|G4|GFED|C2z2|z4|z4|z4|z4|]", "a b c d e f g h i j"),
    "one voice sounds longer": _four(
        "CDEF|G2z2|z4|]", "A,B,CD|E4|E4|]", "E,F,G,A,|C4|C4|]", "A,,B,,C,D,|C,4|C,4|]"
    ),
    "free metre": _melody(
        "DEFGA2GFED4|FGABc2BAGF4||DEFED6|]",
        "a b c d e f g h i j, k l m n o p q r s t. A- men a- men ho.",
        metre="none",
    ),
    "no barlines": _melody("CDEFG2AGFEDCEEFFG4", "a b c d e f g h i j k l m n o p q"),
    "mixed metres": _melody(
        "CDE|[M:4/4]FGAB|[M:2/4]cB|[M:3/4]A3|[M:5/4]GFEDE|[M:3/4]C3|]",
        "a b c d e f g h i j k l m n o p q r s t",
        metre="3/4",
    ),
    "five beats": _melody("CDEFG|A2G3|FEDEF|C5|]", "a b c d e f g h i j k l m n", metre="5/4"),
    "chant in breves": _melody("C16 D4|E4 F8||G16 F4|E4 D4|C8|]", metre="none"),
    "repeat with endings": _melody(
        "|:CDEF|G4|1GFED|C4:|2GFGA|G4||cBAG|C4|]",
        "one two three four five six se-ven eight nine x y z v u a b c d e",
    ),
    "all repeated": _melody(
        "|:" + _LINE + ":|", "a b c d e f g h i j", "k l m n o p q r s t", "u v w x y z a b c d"
    ),
    "refrain": _melody(
        _LINE + "||cBAG|F4|EEDD|C4|]",
        "a b c d e, f g h i j. sing we all to- ge- ther now a- gain and ho.",
        "k l m n o p q r s t",
        "u v w x y z a b c d",
    ),
    "very long": _melody("\n".join([f"{_LINE}|EFGA|G4|AGFE|D4|"] * 8) + "|]"),
    "two words on a note": _melody(_LINE + "|]", "ma~ny~a the~end c d e f g h~i j k"),
    "words too wide": _melody("CDEFGABc|]", " ".join(["Thousandyearslongwordwithoutend"] * 8)),
    "accents and scripts": _melody(
        _LINE + "|]", "Größ- ßer łódź žluť- ou- čký çà œuvre Ðæ þú", "В на- ча- ле 起 初 א ב Ἐν ἀρ-"
    ),
    "twelve stanzas": _melody(_LINE + "|]", *["a b c d e, f g h i j."] * 12),
    "short stanza": _melody(_LINE + "|]", "a b c d e f g h i j", "one two three", "one"),
    "melisma": _melody("(CDEFGABc)|C4|(cBAGFEDC)|C4|]", "glo- ry A- men", unit="1/8"),
    "high and low": _melody("c'd''e''f''|G,,4|C,,,D,,,E,,,F,,,|c'4|]", "a b c d e f g h i j"),
    "accidentals": _four(
        "^^C__D^E_F|=G4|]", "^A,_B,^C_D|_E4|]", "_E,^F,_G,^A,|_C4|]", "^A,,_B,,^C,_D,|_C,4|]",
        "a b c d e", "Cb",
    ),
    "unisons": _four("CCEE|E4|]", "CCEE|E4|]", "C,C,E,E,|C,4|]", "C,C,E,E,|C,4|]"),
    "crossing voices": _four("CDEF|G4|]", "GFED|C4|]", "C,D,E,F,|G,4|]", "G,F,E,D,|C,4|]"),
    "ties over bars": _four(
        "C2D2-|D4|]", "A,4-|A,4|]", "E,4-|E,4|]", "A,,4-|A,,4|]", "a b"
    ),
    "triplets": _melody("(3CDE F2|(3G/A/G/ F E2|C4|]", "a b c d e f g h i j"),
    "markup in words": _melody(_LINE + "|]", "a#b <b> c&d \"e\" $f$ g h i j k"),
    "keys change": _melody("CDEF|G4|[K:Eb]GFED|C4|[K:E]EFGA|E4|]"),
    "one key repeated": _melody("CCCCCCCC|CCCCCCCC|C8|]", unit="1/8"),
}  # fmt: skip
