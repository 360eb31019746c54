"""``suspirium hymnal``: add, find, show, note, exchange, back up, restore, export, remove."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from suspirium.cli.common import QuietOption, progress_bar, say_error, stderr, tell_json

hymnal = typer.Typer(
    help="The library of hymns: scores, words, decisions, sources.", no_args_is_help=True
)

LibraryOption = Annotated[
    Path | None,
    typer.Option("--library", help="The library's file.", show_default="in your data folder"),
]
JsonOption = Annotated[bool, typer.Option("--json", help="JSON instead of words.")]
Name = Annotated[
    str, typer.Argument(help="A hymn in the library: number, title, tune or first line.")
]


@hymnal.command()
def add(
    paths: Annotated[list[Path], typer.Argument(help="Scores, or folders of them.")],
    library: LibraryOption = None,
    as_json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Put scores in. What is there already is passed over; begun again, it goes on."""
    from suspirium.desk.hymnal import add_scores, score_files, the_library

    files = score_files(paths)
    with the_library(library) as opened, progress_bar(len(files), quiet or as_json) as bar:

        def step(name: str) -> None:
            bar.step(name)("reading")
            bar.advance()

        done = add_scores(opened, files, step)
    for path, problem in done.failed:
        say_error(f"{path}: {problem}")
    if as_json:
        failed = [{"path": path, "error": problem} for path, problem in done.failed]
        tell_json({"added": list(done.added), "present": done.present, "failed": failed})
    elif not quiet:
        stderr.print(
            f"{len(done.added)} added, {done.present} there already, {len(done.failed)} failed."
        )
    if done.failed:
        raise typer.Exit(1)


@hymnal.command()
def find(
    text: Annotated[
        list[str] | None, typer.Argument(help="Words of title, tune, author or stanzas.")
    ] = None,
    title: Annotated[str, typer.Option(help="Part of the title.")] = "",
    tune: Annotated[str, typer.Option(help="Part of the tune's name.")] = "",
    author: Annotated[str, typer.Option(help="Part of the author's name.")] = "",
    first_line: Annotated[str, typer.Option(help="Part of the first line.")] = "",
    metre: Annotated[str, typer.Option(help="8.6.8.6, or CM, LM, SM and doubled CMD.")] = "",
    key: Annotated[str, typer.Option(help="G, e minor, Bb major.")] = "",
    within: Annotated[str, typer.Option(help="The melody stays between: C4-D5.")] = "",
    notes: Annotated[
        str, typer.Option(help="Part of the melody: degrees 5 1 1 2 3, or semitones +5 0 +2.")
    ] = "",
    easier: Annotated[float | None, typer.Option(help="Difficulty at most, 1 to 5.")] = None,
    harder: Annotated[float | None, typer.Option(help="Difficulty at least, 1 to 5.")] = None,
    shorter: Annotated[float | None, typer.Option(help="Seconds at most, all stanzas.")] = None,
    longer: Annotated[float | None, typer.Option(help="Seconds at least.")] = None,
    tag: Annotated[str, typer.Option(help="A tag of yours.")] = "",
    library: LibraryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Find hymns; all that is asked must fit."""
    from suspirium.desk.hymnal import find_hymns, query, the_library

    asked = query(
        text=" ".join(text or ()),
        title=title,
        tune=tune,
        author=author,
        first_line=first_line,
        metre=metre,
        key=key,
        within=within,
        notes=notes,
        difficulty=(harder, easier),
        duration_s=(longer, shorter),
        tag=tag,
    )
    with the_library(library) as opened:
        found = find_hymns(opened, asked)
    if as_json:
        for values in found:
            tell_json(values)
        return
    if not found:
        stderr.print("Nothing in the library fits all of that.")
        raise typer.Exit(1)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in ("no.", "title", "tune", "metre", "key", "min", "difficulty"):
        table.add_column(head, justify="right" if head in ("no.", "min", "difficulty") else "left")
    for values in found:
        minutes, seconds = divmod(round(values["duration_s"]), 60)
        table.add_row(
            str(values["number"]),
            values["title"],
            values["tune"],
            values["metre"],
            values["key"],
            f"{minutes}:{seconds:02}",
            f"{values['difficulty']:.1f}",
        )
    Console().print(table)


@hymnal.command()
def show(name: Name, library: LibraryOption = None, as_json: JsonOption = False) -> None:
    """Show all that is known of a hymn, its rights and its tune elsewhere in the library."""
    from suspirium.desk.hymnal import show_hymn, the_library
    from suspirium.render.hymn_text import hymn_text

    with the_library(library) as opened:
        values = show_hymn(opened, name)
    if as_json:
        tell_json(values)
    else:
        typer.echo(hymn_text(values))


@hymnal.command()
def note(
    name: Name,
    text: Annotated[str | None, typer.Option("--text", help="A note of yours, in place.")] = None,
    tag: Annotated[list[str] | None, typer.Option(help="A tag to put on.")] = None,
    untag: Annotated[list[str] | None, typer.Option(help="A tag to take off.")] = None,
    part: Annotated[str, typer.Option(help="Whose rights: words, tune, setting, engraving.")] = "",
    credit: Annotated[str | None, typer.Option(help="Who made that part; its source.")] = None,
    licence: Annotated[str | None, typer.Option(help="How it may be used.")] = None,
    overrides: Annotated[
        Path | None, typer.Option(help="A file of your own decisions, kept with the hymn.")
    ] = None,
    library: LibraryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write beside a hymn: a note, tags, rights of one part, your own decisions."""
    from suspirium.desk.hymnal import note_hymn, show_hymn, the_library

    with the_library(library) as opened:
        note_hymn(
            opened, name, text, tuple(tag or ()), tuple(untag or ()), part, credit, licence,
            overrides,
        )  # fmt: skip
        values = show_hymn(opened, name)
    if as_json:
        tell_json(values)


@hymnal.command()
def exchange(
    name: Name,
    take: Annotated[str, typer.Option(help="Lay the words under this tune.")] = "",
    out: Annotated[
        Path | None, typer.Option("--out", help="The score to write, as MusicXML.")
    ] = None,
    library: LibraryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Other tunes for a hymn's words, best first; with --take and --out, a score of both."""
    from suspirium.desk.exchanging import exchange as tunes_for
    from suspirium.desk.exchanging import take_tune
    from suspirium.desk.hymnal import the_library

    if bool(take) != bool(out):
        raise typer.BadParameter("--take and --out go together")
    with the_library(library) as opened:
        if take and out:
            remarks = take_tune(opened, name, take, out)
            if as_json:
                tell_json({"score": str(out), "remarks": list(remarks)})
            for remark in () if as_json else remarks:
                say_error(remark)
            return
        found = tunes_for(opened, name)
    for values in found:
        if as_json:
            tell_json(values)
        else:
            tune = values["tune"] or values["title"]
            typer.echo(f"{tune} (number {values['number']}): {values['reason']}")
    if not found and not as_json:
        stderr.print("No other tune in the library has this metre.")


@hymnal.command()
def remove(
    name: Name,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
    library: LibraryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take a hymn out, with all that is kept beside it."""
    from suspirium.desk.hymnal import remove_hymn, show_hymn, the_library

    with the_library(library) as opened:
        values = show_hymn(opened, name)
        if not yes:
            typer.confirm(f"Take {values['title']} out of the library, notes and all?", abort=True)
        remove_hymn(opened, values["number"])
    if as_json:
        tell_json({"removed": values["number"]})


@hymnal.command()
def backup(
    target: Annotated[Path, typer.Argument(help="The file to write.")],
    library: LibraryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Copy the whole library into one file, in use or not."""
    from suspirium.desk.hymnal import library_path
    from suspirium.store.backup import back_up

    back_up(library or library_path(), target)
    if as_json:
        tell_json({"backup": str(target)})
    else:
        stderr.print(f"The library is in {target}.", soft_wrap=True)


@hymnal.command()
def restore(
    source: Annotated[Path, typer.Argument(help="A backup.")],
    library: LibraryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Put a backup in the library's place; what was there is kept beside it."""
    from suspirium.desk.hymnal import restore_library

    kept = restore_library(source, library)
    if as_json:
        tell_json({"restored": str(source), "kept": str(kept) if kept else None})
    else:
        was = f" What was there before is {kept}." if kept else ""
        stderr.print(f"The library is that of {source}.{was}", soft_wrap=True)


@hymnal.command()
def export(
    folder: Annotated[Path, typer.Argument(help="The folder to write.")],
    library: LibraryOption = None,
    as_json: JsonOption = False,
) -> None:
    """Write everything in open formats: scores as they came, MusicXML, and JSON."""
    from suspirium.desk.hymnal import export_library, the_library

    with the_library(library) as opened:
        count = export_library(opened, folder)
    if as_json:
        tell_json({"exported": count, "folder": str(folder)})
    else:
        stderr.print(f"{count} hymns are in {folder}.", soft_wrap=True)
