"""Native MEI and Humdrum kern."""

from __future__ import annotations

from fractions import Fraction

from suspirium.score.mei import read_score
from suspirium.score.model import Annotation, Credit, KeyChange

Q = Fraction
MEI = """\
<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">
<meiHead><fileDesc><titleStmt><title>Morning Field</title><composer>Ben Sample</composer>
<lyricist>Ann Example</lyricist></titleStmt><pubStmt/></fileDesc></meiHead>
<music><body><mdiv><score>
<scoreDef keysig="2s" key.mode="minor" meter.count="3" meter.unit="4" midi.bpm="90"><staffGrp>
<staffDef n="1" lines="5" clef.shape="G" clef.line="2"/>
<staffDef n="2" lines="5" clef.shape="F" clef.line="4"/></staffGrp></scoreDef>
<section><measure n="0" metcon="false">
<staff n="1"><layer n="1"><note dur="4" oct="4" pname="d" fermata="above" syl="Oh"/></layer></staff>
<staff n="2"><layer n="1"><rest dur="4" visible="false"/></layer></staff></measure>
<measure n="1" left="rptstart" right="rptend">
<staff n="1"><layer n="1">
<chord dur="4" artic="acc stacc" tie="i"><note oct="4" pname="f" accid="s"/>
<note oct="5" pname="c"><accid accid.ges="s"/></note></chord>
<chord dur="4" tie="t"><note oct="4" pname="f" accid.ges="s"/>
<note oct="5" pname="c" accid.ges="s"/></chord>
<note dur="4" pname="d" oct="4" slur="i1"/></layer></staff>
<staff n="2"><layer n="1"><mRest/></layer></staff>
<breath tstamp="3" staff="1"/><dir tstamp="1" staff="1">Verse <rend>1</rend></dir></measure>
<measure n="2"><staff n="1"><layer n="1"><note dur="2" dots="1" pname="d" oct="4" slur="t1">
<verse n="1"><syl>la_</syl></verse></note></layer></staff>
<staff n="2"><layer n="1"><note dur="2" dots="1" pname="d" oct="3"/></layer></staff></measure>
</section></score></mdiv></body></music></mei>
"""
KERN = "\n".join(
    line.replace(" | ", "\t")
    for line in """\
!!!OTL: Morning Field
!!!COM: Ben Sample
**kern | **kern | **text
*staff2 | *staff1 | *
*clefF4 | *clefG2 | *
*k[f#] | *k[f#] | *
*G: | *G: | *
*M4/4 | *M4/4 | *
*MM96 | *MM96 | *
4G | 4g | 1. Oh
=1 | =1 | =1
* | *^ | *
2G; | 2b; | 2g; | morn-
2A | [2cc | 2a | -ing
* | *v | *v | *
=2|| | =2|| | =2||
4G | 4cc] | now
4G | (8cc | sing
. | 8dd) | _
2G | 2b | all
== | == | ==
*- | *- | *-
""".splitlines()
)


def test_mei_with_everything_in_attributes():
    hymn = read_score(MEI.encode(), "hymn.mei")
    soprano, bass = hymn.voices
    assert hymn.title == "Morning Field"
    assert hymn.credits == (Credit("music", "Ben Sample"), Credit("words", "Ann Example"))
    assert hymn.keys == (KeyChange(Q(0), 2, "minor"),)
    assert (hymn.pickup_q, hymn.quarter_bpm) == (1, 90.0)
    assert [str(n.pitches[-1]) for n in soprano.notes] == ["D4", "C♯5", "C♯5", "D4", "D4"]
    assert [n.tied for n in soprano.notes] == [False, True, False, False, False]
    assert soprano.notes[0].fermata
    assert soprano.notes[1].decorations == ("accent", "staccato")
    assert soprano.notes[2].breath
    assert (soprano.notes[3].slurs_begin, soprano.notes[4].slurs_end) == (1, 1)
    assert [n.hidden for n in bass.notes] == [True, False, False]
    assert bass.notes[1].duration_q == 3
    assert hymn.measures[1].repeat_start
    assert hymn.measures[1].repeat_end
    assert hymn.annotations == (Annotation(Q(1), "Verse 1"),)
    assert [s.text for s in hymn.stanzas[0].syllables] == ["Oh", "la"]


def test_kern_with_a_spine_that_splits():
    hymn = read_score(KERN.encode(), "hymn.krn")
    assert hymn.title == "Morning Field"
    assert hymn.credits == (Credit("music", "Ben Sample"),)
    assert (hymn.pickup_q, hymn.quarter_bpm) == (1, 96.0)
    assert hymn.keys == (KeyChange(Q(0), 1),)
    soprano, alto, bass = hymn.voices
    assert " ".join(str(n.pitches[0]) for n in soprano.notes) == "G4 B4 C5 C5 C5 D5 B4"
    assert [n.hidden for n in alto.notes] == [True, False, False, True]
    assert [n.fermata for n in bass.notes] == [False, True, False, False, False, False]
    assert [n.tied for n in soprano.notes] == [False, False, True, False, False, False, False]
    assert hymn.measures[1].right == "double"
    assert [(s.text, s.onset_q, s.end_q) for s in hymn.stanzas[0].syllables] == [
        ("Oh", 0, 1),
        ("morn", 1, 3),
        ("ing", 3, 5),
        ("now", 5, 6),
        ("sing", 6, 7),
        ("all", 7, 9),
    ]
