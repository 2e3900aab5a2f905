"""The trial for printers that print one side at a time: the sheets, and what they showed."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import click

from impose.cli.own_profile import keep
from impose.errors import ImposeError
from impose.geometry.box import Size
from impose.model.printerfile import with_refeed
from impose.model.profiles import Library
from impose.model.refeeding import refeed_from_trial
from impose.pdf.files import ensure_folder, write_atomically
from impose.pdf.refeedtrial import trial_pdfs

_WORDS: Final = (("blank", "printed"), ("1", "2"), ("same", "opposite"))
_ASKED: Final = ("FACE", "SHEET", "ARROWS")


def write_refeed_trial(sheet: Size, out: Path, command: str) -> None:
    """Two files beside each other, named after `out`; `command` begins the one for the answers."""
    ensure_folder(out.parent)
    names = [out.with_name(f"{out.stem}-{which}.pdf") for which in ("fronts", "backs")]
    for target, data in zip(names, trial_pdfs(sheet, command), strict=True):
        write_atomically(target, data)
    click.echo(f"print {names[0]} first: the sheets say how to go on", err=True)
    for target in names:
        click.echo(str(target))


def keep_refeed(
    library: Library, name: str, answers: tuple[str, str, str], keep_as: str | None
) -> None:
    """What the trial showed, into the user's own profile of the printer."""
    given = [answer.strip().lower() for answer in answers]
    for asked, answer, words in zip(_ASKED, given, _WORDS, strict=True):
        if answer not in words:
            raise ImposeError(
                f"'{answer}' is no answer for {asked}", hint=f"it is {' or '.join(words)}"
            )
    found = refeed_from_trial(
        blank_side=given[0] == "blank",
        second_first=given[1] == "2",
        arrows_same=given[2] == "same",
    )
    target = keep(library, name, keep_as, lambda text: with_refeed(text, found))
    turn = "turn the pile over like the page of a book" if found.turn_over else "do not turn it"
    order = "last sheet first" if found.last_first else "first sheet first"
    click.echo(f"for the backs: {turn}; they are printed {order}", err=True)
    click.echo(
        f'kept for the printer "{target.stem}"; name it in a job with '
        'printing = "one side at a time"',
        err=True,
    )
    click.echo(str(target))
