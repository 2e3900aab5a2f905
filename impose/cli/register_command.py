"""`impose register`: a sheet to print on both sides, and the correction read from it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

from impose.errors import ImposeError

if TYPE_CHECKING:
    from impose.bench.register import Found, Readings
    from impose.geometry.moving import Point
    from impose.geometry.turning import Flip
    from impose.model.job import NamedSize
    from impose.model.machines import Printer
    from impose.model.profiles import Library
    from impose.model.registers import Register
    from impose.units import Length

T = TypeVar("T")
BOTH_SIDES: Final = "both sides"


@click.command()
@click.option("--printer", required=True, help="Printer profile (impose profiles list printers).")
@click.option(
    "--sheet", required=True, help="The sheet as it lies in your files: a4, 'a4 landscape'."
)
@click.option("--flip", help="'long edge' or 'short edge'; else what the profile says.")
@click.option(
    "--printing",
    type=click.Choice([BOTH_SIDES, "one side at a time"]),
    default=BOTH_SIDES,
    help="One side at a time: for jobs whose pile is put back by hand.",
)
@click.option("--units", type=click.Choice(["mm", "in"]), help="Units of the rulers.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("register.pdf"),
    show_default=True,
    help="The sheet to print.",
)
@click.option(
    "--read",
    "reads",
    nargs=3,
    multiple=True,
    metavar="CORNER RIGHT UP",
    help="What was read at a corner: --read A 0.5mm -1mm. At least two corners.",
)
@click.option(
    "--letters",
    type=click.Choice(["same", "others"]),
    help="Whether the letters of the back lie on the same letters of the front.",
)
@click.option("--left-line", help="Measured from the paper's left edge to the front's line.")
@click.option("--foot-line", help="Measured from the paper's foot to the front's line.")
@click.option("--one-side", is_flag=True, help="Trial for printing one side at a time.")
@click.option(
    "--answers",
    nargs=3,
    metavar="FACE SHEET ARROWS",
    help="What the one-side trial showed: blank or printed, 1 or 2, same or opposite.",
)
@click.option(
    "--plain", is_flag=True, help="Print, or read, the sheet without the correction kept."
)
@click.option("--keep-as", metavar="NAME", help="Keep the correction under another printer's name.")
@click.option("--date", help="A date to keep with the correction; no clock is read.")
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path(),
    help="The job's folder, whose profiles/ is looked into first.",
)
def register(printer: str, sheet: str, **options: Any) -> None:
    """Find out how a printer's two sides fall, and keep the correction in its profile.

    Without --read it writes the register sheet. Print it on both sides, read it against the
    light, and give what you read: the correction is kept with your own profiles, and `make`
    moves the sides of every job that names the printer.
    """
    from impose.cli.flip_trial import keep_flip
    from impose.cli.refeed_trial import keep_refeed, write_refeed_trial
    from impose.model.profiles import Library

    library = Library(options["folder"])
    trial = _Trial.of(library, printer, sheet, options)
    if options["answers"]:
        keep_refeed(library, trial.name, options["answers"], options["keep_as"])
    elif options["letters"] == "others" or (options["letters"] and not options["reads"]):
        keep_flip(library, trial.name, trial.flip, options)
    elif options["one_side"]:
        write_refeed_trial(trial.sheet.size, options["out"], trial.command)
    elif options["reads"]:
        _keep(library, trial, options)
    else:
        _write(trial, options["out"])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trial:
    """A register sheet: for which printer and sheets, with which correction it is printed."""

    name: str
    printer: Printer
    sheet: NamedSize
    flip: Flip
    unit: str
    present: Register
    command: str  #: begins every command that takes what was read on this sheet

    @property
    def by_hand(self) -> bool:
        return self.present.by_hand

    @classmethod
    def of(cls, library: Library, name: str, sheet: str, options: dict[str, Any]) -> _Trial:
        from impose.geometry.turning import Flip
        from impose.model import readers as read
        from impose.model.registers import Register, register_for

        printer = library.printer(name)
        asked = _value(read.size, sheet)
        named = library.size(asked) if isinstance(asked, str) else asked
        flip = _value(read.member_of(Flip), options["flip"]) if options["flip"] else printer.flip
        flip = flip or Flip.LONG_EDGE
        by_hand = options["printing"] != BOTH_SIDES
        found = register_for(printer.registers, named.size, flip, by_hand)
        if found is None or options["plain"]:
            found = Register(sheet=named.size, flip=flip, by_hand=by_hand)
        unit = options["units"] or named.unit
        return cls(
            name=name,
            printer=printer,
            sheet=named,
            flip=flip,
            unit=unit,
            present=found,
            command=_command(name, sheet, options),
        )


def _command(name: str, sheet: str, options: dict[str, Any]) -> str:
    """The command again, with all that decides which sheet it is."""
    said = [f"impose register --printer {_quoted(name)} --sheet {_quoted(sheet)}"]
    for option in ("flip", "printing", "units"):
        if options[option] and options[option] != BOTH_SIDES:
            said.append(f"--{option} {_quoted(options[option])}")
    if options["plain"]:
        said.append("--plain")
    if options["folder"] != Path():
        said.append(f"--folder {_quoted(str(options['folder']))}")
    return " ".join(said)


def _quoted(words: str) -> str:
    """As a command line takes it, on every system."""
    return words if re.fullmatch(r"[\w.-]+", words) else f'"{words}"'


def _write(trial: _Trial, out: Path) -> None:
    from impose.pdf.files import ensure_folder, write_atomically
    from impose.pdf.flippicture import LIKE
    from impose.pdf.registersheet import RegisterSheet, register_pdf
    from impose.schemes.oneside import turn_words

    data = register_pdf(
        RegisterSheet(
            sheet=trial.sheet.size,
            flip=trial.flip,
            printer=trial.printer.name,
            command=trial.command,
            unit=trial.unit,
            front=trial.present.front,
            back=trial.present.back,
            put_back=turn_words(trial.printer) if trial.by_hand else "",
        )
    )
    ensure_folder(out.parent)
    write_atomically(out, data)
    if trial.by_hand:
        _part(trial, out)
        return
    like = LIKE[trial.flip.on(trial.sheet.size)]
    supposed = "" if trial.printer.flip else " (its profile does not say on which: supposed)"
    click.echo(
        f"print both sides of {out} at actual size, turned over on the {trial.flip.value}, {like}"
        f"{supposed}; the sheet says what to read",
        err=True,
    )
    click.echo(str(out))


def _part(trial: _Trial, out: Path) -> None:
    """Front and back as files of their own, the back turned as those of a job are."""
    from impose.pdf.oneside import write_one_side
    from impose.schemes.oneside import parts_of, put_back, trial_missing, turn_words

    fronts, backs = (out.with_name(name) for name in parts_of(out.name))
    wish = put_back(trial.sheet.size, trial.flip.on(trial.sheet.size), trial.printer)
    write_one_side(out, fronts, backs, last_first=False, half_turn=wish.half_turn)
    out.unlink()
    for finding in trial_missing(trial.printer):
        click.echo(f"{finding.sentence}: {finding.hint}", err=True)
    click.echo(
        f"print {fronts} at actual size, take the sheet out, {turn_words(trial.printer)}, put it "
        f"back into the tray and print {backs}; the sheet says what to read",
        err=True,
    )
    for target in (fronts, backs):
        click.echo(str(target))


def _keep(library: Library, trial: _Trial, options: dict[str, Any]) -> None:
    """The correction into the user's own profile of the printer."""
    from impose.bench.register import correction
    from impose.cli.own_profile import hidden_by, keep
    from impose.model import readers as read
    from impose.model.printerfile import with_register
    from impose.model.profiles import Library
    from impose.model.registers import Register

    found = correction(_readings(trial, options))
    kept = Register(
        sheet=trial.sheet.size,
        flip=trial.flip,
        front=found.front,
        back=found.back,
        by_hand=trial.by_hand,
        read_on=_value(read.day, options["date"]) if options["date"] else "",
    )
    target = keep(
        library,
        trial.name,
        options["keep_as"],
        lambda text: with_register(text, trial.printer.registers, kept),
    )
    for line in _told(found, trial, len(options["reads"])):
        click.echo(line, err=True)
    click.echo(
        f'kept for the printer "{target.stem}": print the sheet again to see what remains', err=True
    )
    hidden = hidden_by(Library(options["folder"]), target)
    if hidden:
        click.echo(hidden, err=True)
    click.echo(str(target))


def _readings(trial: _Trial, options: dict[str, Any]) -> Readings:
    from impose.bench.register import CORNERS, EDGE_LINE, Readings
    from impose.model import readers as read
    from impose.model.registertables import shift
    from impose.units import ZERO

    crosses: dict[str, Point] = {}
    for corner, right, up in options["reads"]:
        letter = corner.strip().upper()
        if letter not in CORNERS or letter in crosses:
            fault = "is read twice" if letter in crosses else "is no corner of the sheet"
            raise ImposeError(f"'{corner}' {fault}", hint=f"corners are {', '.join(CORNERS)}")
        crosses[letter] = (_value(shift, right), _value(shift, up))
    off = [
        _value(read.length, options[key]) - EDGE_LINE[trial.unit] if options[key] else ZERO
        for key in ("left_line", "foot_line")
    ]
    return Readings(
        sheet=trial.sheet.size,
        turned=trial.flip.on(trial.sheet.size),
        crosses=crosses,
        front_off=(off[0], off[1]),
        front=trial.present.front,
        back=trial.present.back,
    )


def _value(reader: Callable[[object], T], text: str) -> T:
    """What a reader of job files makes of an option; its faults are the user's."""
    from impose.model.fields import ValueFault

    try:
        return reader(text)
    except ValueFault as fault:
        raise ImposeError(fault.message, hint=fault.hint) from fault


def _told(found: Found, trial: _Trial, corners: int) -> list[str]:
    """What the printer does, seen from the front, and what no correction explains."""
    unit = trial.unit
    right, up = found.shift
    across, along = (f"{float(scale - 1):+.2%}" for scale in found.scales)
    lines = [
        f"the back falls {_way(right, unit, 'right', 'left')} and {_way(up, unit, 'up', 'down')} "
        "at the middle of the sheet, seen from the front",
        f"it is turned by {float(found.slope) * 100:+.2f} mm on 100 mm (counter-clockwise is "
        f"above zero), and its size is off by {across} across and {along} up",
    ]
    if corners == 2:
        lines.append(
            "two corners leave nothing over to check them by; read all four to see how well "
            "they agree"
        )
    else:
        lines.append(f"what remains: the readings agree to {found.left_over.text(unit)}")
    return lines


def _way(length: Length, unit: str, above: str, below: str) -> str:
    from impose.units import ZERO

    return f"{abs(length).text(unit)} {above if length >= ZERO else below}"
