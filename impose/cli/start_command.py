"""`impose start`: questions in plain words, a look at the pages, and a commented job file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from impose.errors import ImposeError, JobError, OutputError

if TYPE_CHECKING:
    from impose.cli.asking import Asker
    from impose.cli.start_questions import Answers
    from impose.pipeline import Made


@click.command()
@click.argument("inputs", nargs=-1, metavar="[PAGES.pdf...]")
@click.option("--printer", help="both sides, ink both sides, one side, copy shop, not known.")
@click.option("--sheet", help="The paper: a4, letter, '12in x 18in'.")
@click.option(
    "--binding",
    help="saddle, perfect, sections, stab, punched, loose, 'one sheet', leaflet, concertina.",
)
@click.option("--fold", help="A leaflet's: half, letter, roll, z, gate, 'double gate', tent ...")
@click.option("--panels", type=click.IntRange(min=2), help="Panels of a concertina.")
@click.option("--bound-at", help="left, right or head.")
@click.option("--trim", help="The finished page, where it is not to be proposed.")
@click.option(
    "--fit",
    type=click.Choice(["scale", "centre"]),
    help="Pages that are not as large as the finished page.",
)
@click.option("--edge", help="Pictures at the edge: 'smaller' page that is cut, or 'white' edge.")
@click.option("--holds", help="What a wide page of the file is: 'single' page or 'spreads'.")
@click.option("--copies", type=click.IntRange(min=1), help="How many copies.")
@click.option("--title", help="The title; else the name of the file.")
@click.option("--units", type=click.Choice(["mm", "in"]), help="Units for people.")
@click.option(
    "--file",
    "target",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The job file to write; else beside the pages, with their name.",
)
@click.option("--overwrite", is_flag=True, help="Write over a job file that is there.")
@click.option("--yes", is_flag=True, help="Ask nothing: take what is proposed.")
def start(inputs: tuple[str, ...], **given: Any) -> None:
    """Ask what you have and how it should be bound, and write a job file with reasons.

    Every question can be answered in advance by an option; --yes takes what is proposed
    for the rest.
    """
    from impose.cli.asking import Asker
    from impose.cli.start_pages import see
    from impose.cli.start_questions import Interview
    from impose.model.profiles import Library

    asker = Asker(silent=given["yes"])
    files = _files(inputs, asker)
    target = given["target"] or files[0].with_name(f"{files[0].stem}.toml")
    _refuse_present(target, given["overwrite"], files)
    interview = Interview(asker, Library(target.parent), given)
    seen = see(files, "")
    asker.say(f"Seen: {seen.count} pages of {seen.size.text(given['units'] or 'mm')}.")
    spreads = interview.spreads(seen)
    if spreads:
        seen = see(files, spreads)
    answers = interview.answers(seen, spreads)
    written = _write(answers, target, given["title"] or files[0].stem, asker)
    if not written:
        asker.say("Nothing was written.")
        return
    _next(answers, target, asker)
    click.echo(str(target))


def _files(inputs: tuple[str, ...], asker: Asker) -> tuple[Path, ...]:
    """As named; asked for where none is."""

    def there(answer: str) -> Path:
        path = Path(answer).expanduser()
        if not answer or not path.exists():
            raise ImposeError(
                f"'{answer}' is not there" if answer else "no file is named",
                hint="name a PDF, a picture or a folder of pictures",
            )
        return path

    if inputs:
        files = tuple(there(name) for name in inputs)
        toml = next((path for path in files if path.suffix.lower() == ".toml"), None)
        if toml is not None:
            raise ImposeError(
                f"{toml} is a job file already",
                hint=f"impose make {toml} makes it; impose start wants the pages",
            )
        return files
    if asker.silent:
        raise ImposeError("no pages are named", hint="impose start PAGES.pdf --yes")
    return (asker.ask("Where are your pages? The name of a PDF, or of a folder of scans.", "",
                      there),)  # fmt: skip


def _refuse_present(target: Path, overwrite: bool, files: tuple[Path, ...]) -> None:
    from impose.pdf.files import refuse_input, refuse_link

    refuse_input(target, files)
    refuse_link(target)
    if target.exists() and not overwrite:
        raise OutputError(
            f"{target} is there already, and is kept",
            hint="--overwrite writes over it, --file NAME.toml writes another; or use it as it is: "
            f"impose make {target}",
        )


class _Refused(Exception):
    """The proposal was not wanted."""


def _write(answers: Answers, target: Path, title: str, asker: Asker) -> bool:
    """The file appears when it has been read, planned and agreed to; False when it was not."""
    from impose.cli.start_job import start_text, told
    from impose.cli.start_panels import in_own_words
    from impose.model.overrides import Overrides
    from impose.model.resolve import job_from_file
    from impose.pdf.files import ensure_folder, replacing
    from impose.pipeline import check
    from impose.reports.glossary import Explainer, term_line

    text = start_text(answers, target, title)
    ensure_folder(target.parent)
    try:
        with replacing(target) as part:
            part.write_text(text, "utf-8")
            try:
                made = check(job_from_file(part, Overrides()))
            except JobError as error:
                raise in_own_words(error, str(part)) from error
            asker.say()
            words = Explainer()
            for line in told(made.plan, answers):
                asker.say(line)
                for term in words.new_in(line):
                    asker.say(f"    ({term_line(term)})")
            _say_of_pages(made)
            _agree(asker, target)
    except _Refused:
        return False
    return True


def _say_of_pages(made: Made) -> None:
    """What the pages themselves give to say; the job file has no part in it."""
    from impose.cli.speaking import say_findings
    from impose.findings import Severity

    say_findings(f for f in made.findings if f.severity is not Severity.NOTE)


def _agree(asker: Asker, target: Path) -> None:
    from impose.cli.asking import Choice

    choices = (Choice("yes", f"write {target}"), Choice("no", "write nothing"))
    if asker.choose("Write this down as a job file?", choices, "yes") == "no":
        raise _Refused


def _next(answers: Answers, target: Path, asker: Asker) -> None:
    """The commands that come next."""
    from impose.cli.start_questions import ONE_SIDE

    asker.say()
    step = 1
    printer = answers.printer
    if answers.printer_word == ONE_SIDE and printer is not None and printer.refeed is None:
        asker.say(
            f"{step}. Find out how your printer takes the paper back (two sheets):\n"
            f"   impose register --printer {answers.printer_name} "
            f'--sheet "{answers.sheet.name}" --one-side'
        )
        step += 1
    asker.say(f"{step}. Make the book:\n   impose make {target} --out print")
    asker.say(
        f"{step + 1}. Read print/proof.pdf, then do what print/ticket.pdf says under "
        '"What to do now".'
    )
