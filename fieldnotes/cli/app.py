"""The commands: their options and help, and nothing else.

Everything heavy is imported inside the commands, so that ``--help`` answers at once.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from .. import __version__
from .shield import shielded

_SETTINGS = {"help_option_names": ["-h", "--help"], "max_content_width": 90}


def _group() -> typer.Typer:
    """Return a group of commands with plain help and no completion to install."""
    return typer.Typer(
        add_completion=False,
        # The group's own --help makes Typer load pydantic for each command below it: see Help.
        add_help_option=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        no_args_is_help=True,
        context_settings=_SETTINGS,
    )


app = _group()
notes_app = _group()
app.add_typer(notes_app, name="notes")


def _help(ctx: typer.Context, asked: bool) -> None:
    if asked:
        typer.echo(ctx.get_help())
        raise typer.Exit


Help = Annotated[
    bool,
    typer.Option("-h", "--help", callback=_help, is_eager=True, help="Show this message and exit."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of words.")]
Database = Annotated[
    Path | None,
    typer.Option(
        "--db",
        metavar="FILE",
        help="Where notes are kept (else FIELDNOTES_DB, else your data folder).",
    ),
]


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"fieldnotes {__version__}")
        raise typer.Exit


@app.callback(
    epilog="Exit codes: 0 all done, 1 done in part, 2 nothing done, 3 questions open (--strict)."
)
def _start(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
    help_: Help = False,
) -> None:
    """Turn a beekeeper's hive notes into checked varroa sampling records.

    \b
    Example:
      fieldnotes read "hive 7 sugar roll half a cup off a brood frame four mites"
    """


@app.command(short_help="Read notes, show the record and what is missing.")
@shielded
def read(
    notes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="TEXT_OR_FILE",
            help="Notes in quotes, files, or - for standard input.",
            show_default=False,
        ),
    ] = None,
    text: Annotated[
        bool, typer.Option("--text", help="Take every argument as text, none as a file.")
    ] = False,
    as_json: Annotated[
        bool,
        typer.Option("--json", help="Print JSON; for several notes, one object a line."),
    ] = False,
    save: Annotated[bool, typer.Option("--save", help="Keep the notes and what they say.")] = False,
    db: Database = None,
    written: Annotated[
        str | None,
        typer.Option(
            metavar="DATE",
            help="Day the note was made, YYYY-MM-DD or such as 'yesterday' (else from the file's "
            "name or first line, else today).",
        ),
    ] = None,
    yard: Annotated[
        str | None, typer.Option(metavar="NAME", help="Yard that the whole note is about.")
    ] = None,
    colony: Annotated[
        str | None, typer.Option(metavar="NAME", help="Colony that the whole note is about.")
    ] = None,
    vocabulary: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Your own names and habits (else FIELDNOTES_VOCABULARY, else keeper.toml in "
            "your settings folder).",
        ),
    ] = None,
    all_steps: Annotated[
        bool, typer.Option("--all-steps", help="Show every step of the checklist.")
    ] = False,
    strict: Annotated[
        bool, typer.Option("--strict", help="End with exit code 3 if a question is open.")
    ] = False,
) -> int:
    """Read notes and show the record, what is missing, the checklist and the estimate.

    \b
    Example:
      fieldnotes read --save 2026-07-14-orchard.txt
    """
    from .read import ReadOptions, read_notes

    options = ReadOptions(
        as_text=text,
        as_json=as_json,
        save=save,
        db=db,
        written=written,
        yard=yard,
        colony=colony,
        vocabulary=vocabulary,
        all_steps=all_steps,
        strict=strict,
    )
    return read_notes(notes or [], options)


@app.command(short_help="Read many notes from a JSON Lines file.")
@shielded
def convert(
    source: Annotated[
        str,
        typer.Argument(metavar="IN", help="JSON Lines file, or - for standard input."),
    ] = "-",
    out: Annotated[
        Path | None,
        typer.Option(
            "-o", "--out", metavar="OUT", help="File to write; it appears only when it is whole."
        ),
    ] = None,
    vocabulary: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Vocabulary for lines that bring none; no other is looked for."
        ),
    ] = None,
) -> int:
    """Read many notes at once: JSON Lines with id, text and written in, one reading a line out.

    A line may bring a context object with yard, colony and vocabulary. A bad line is reported
    with its number, and the others are still converted.

    \b
    Example:
      fieldnotes convert notes.jsonl -o readings.jsonl
    """
    from .bulk import convert_notes

    return convert_notes(source, out, vocabulary)


@app.command(short_help="Say how many colonies and bees to sample.")
@shielded
def plan(
    colonies: Annotated[
        str | None, typer.Option(metavar="N", help="Colonies that stand in the yard.")
    ] = None,
    per_100: Annotated[
        str,
        typer.Option(
            "--per-100",
            "--infested-percent",
            metavar="RATE",
            help="Mites per 100 adult bees that you want to be able to tell.",
        ),
    ] = "2",
    precision: Annotated[
        str,
        typer.Option(
            metavar="PERCENT", help="Standard error that you want, in percent of the figure."
        ),
    ] = "25",
    why: Annotated[bool, typer.Option("--why", help="Show the arithmetic and sources.")] = False,
    as_json: AsJson = False,
) -> int:
    """Say how many colonies of a yard to sample, how many bees from each, and how sure that is.

    \b
    Example:
      fieldnotes plan --colonies 24
    """
    from .plan import show_plan

    return show_plan(colonies, per_100, precision, why=why, as_json=as_json)


@notes_app.callback()
def _start_notes(help_: Help = False) -> None:
    """Look at the notes that were kept.

    \b
    Example:
      fieldnotes notes list
    """


@notes_app.command("list")
@shielded
def list_notes(
    db: Database = None,
    as_json: AsJson = False,
    limit: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="Show only the newest N notes.")
    ] = None,
) -> int:
    """List the notes that were kept, the newest first.

    \b
    Example:
      fieldnotes notes list --limit 10
    """
    from .kept import show_list

    return show_list(db, as_json=as_json, limit=limit)


@notes_app.command("show")
@shielded
def show_note(
    note_id: Annotated[
        str, typer.Argument(metavar="ID", help="The note's id, or enough of its beginning.")
    ],
    db: Database = None,
    as_json: AsJson = False,
) -> int:
    """Show one kept note, its record and its questions.

    \b
    Example:
      fieldnotes notes show 3fa9
    """
    from .kept import show_one

    return show_one(note_id, db, as_json=as_json)
