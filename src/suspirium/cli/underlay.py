"""``suspirium underlay``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from suspirium.cli.common import stderr


def underlay(
    score: Annotated[Path, typer.Argument(help="The score whose tune the words are sung to.")],
    words: Annotated[
        Path,
        typer.Option(
            "--words", help="Text file: a line of verse a line, blank lines between stanzas."
        ),
    ],
    out: Annotated[
        Path | None, typer.Option("--out", help="MusicXML file to write the score to.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Syllables and onsets as JSON.")] = False,
    language: Annotated[
        str | None,
        typer.Option(
            help="Language of the words: en, de, fr, la, es or cy.", show_default="as it reads"
        ),
    ] = None,
) -> None:
    """Lay stanzas of plain text under a tune, syllable by syllable."""
    from suspirium.desk.underlaying import underlay as lay
    from suspirium.render.underlay_json import underlay_values
    from suspirium.verse.languages import LANGUAGES, NAMES

    if language is not None and language not in LANGUAGES:
        raise typer.BadParameter(f"the language is one of {', '.join(LANGUAGES)}")
    done = lay(score, words, out, language)
    if as_json:
        typer.echo(
            json.dumps(underlay_values(done.hymn, done.laid, str(score)), ensure_ascii=False)
        )
        return
    for one in done.laid:
        doubts = [line for line in one.lines if line.doubts and line.fits]
        told = "fits" if not one.remarks else "does not fit everywhere"
        typer.echo(f"Stanza {one.stanza.number} ({NAMES[one.language]}) {told}.")
        for remark in one.remarks:
            typer.echo(f"  {remark}")
        for line in doubts:
            typer.echo(f"  line {line.number}, “{line.text}”: {'; '.join(line.doubts)}.")
    if out is not None:
        stderr.print(f"The score with its words is {out}.", soft_wrap=True, markup=False)
