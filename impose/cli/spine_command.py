"""`impose spine`: the width of the spine from leaves and stock, or from a measured stack."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from impose.errors import ExitCode, ImposeError
from impose.findings import Severity, plain
from impose.units import ZERO, Length, parse_length, points_text, reading_text

if TYPE_CHECKING:
    from impose.findings import Finding
    from impose.model.job import Job
    from impose.model.stock import Stock
    from impose.pdf.read import Sources
    from impose.plan.coverfacts import SpineFacts
    from impose.plan.plan import Plan
    from impose.schemes.spine import Spine, Thicknesses

#: Ruler divisions that are read, in parts of an inch.
_RULERS: Final = (64, 32, 16)


@click.command()
@click.argument("inputs", nargs=-1, metavar="[JOB.toml|PAGES.pdf...]")
@click.option("--pages", type=click.IntRange(min=1), help="Number of pages, without a PDF.")
@click.option(
    "--stock",
    help="Paper: a profile, '80gsm', '80gsm bulk 1.25', '50 lb book', or its caliper '0.1mm'.",
)
@click.option("--measured", help="The stack as measured: '3/8in', '7 1/2in + 2/16in', '9.5mm'.")
@click.option("--allowance", help="Added to a reckoned width for cover and glue; none by default.")
@click.option("--extra-leaves", type=click.IntRange(min=0), help="End papers, tipped-in plates.")
@click.option(
    "--french-fold",
    type=click.IntRange(min=0),
    help="How many of the leaves are French-fold leaves, which count double.",
)
@click.option("--units", type=click.Choice(("mm", "in")), help="Units for people.")
@click.option("--json", "as_json", is_flag=True, help="The figures as JSON on stdout.")
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
def spine(inputs: tuple[str, ...], as_json: bool, strict: bool, **asked: Any) -> int:
    """Say how wide the spine is: from a job file, from pages and stock, or as measured."""
    found, paper, unit = _Asked(inputs, asked).answer()
    if as_json:
        _say_json(found, unit)
    else:
        _say(found, paper, unit)
    bad = {Severity.ERROR, Severity.WARNING} if strict else {Severity.ERROR}
    spoiled = any(finding.severity in bad for finding in found.findings)
    return int(ExitCode.SPOILED if spoiled else ExitCode.FINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Book:
    """A job's book, planned with the spine that the job says."""

    job: Job
    plan: Plan
    sources: Sources

    @classmethod
    def opened(cls, job: Job, stack: ExitStack) -> _Book:
        """Its files stay open with `stack`."""
        from impose.errors import ImposeError
        from impose.pdf.prepare import opened
        from impose.pipeline import plan_job

        if job.items:
            raise ImposeError("flat work has no spine: nothing is bound")
        ready, sources = stack.enter_context(opened(job))
        return cls(job=ready.job, plan=plan_job(ready.job, sources), sources=sources)

    @property
    def paper(self) -> Thicknesses:
        from impose.schemes.spine import thicknesses_of

        return thicknesses_of(self.plan, self.job)

    def moves(self, measured: Length | None, facts: SpineFacts) -> tuple[Finding, ...]:
        """What moves on the cover when `measured` takes the place of the job's own spine."""
        from impose.errors import JobError
        from impose.model.job import Binding
        from impose.pipeline import plan_job
        from impose.schemes.covermoves import moved, no_spine, spine_moves

        job = self.job
        if job.binding is Binding.SADDLE:
            return (no_spine(),)
        if job.cover is None or measured is None:
            return spine_moves(facts, job.unit)
        try:
            after = plan_job(replace(job, cover=replace(job.cover, spine=measured)), self.sources)
        except JobError as error:
            return tuple(error.faults)
        return moved(self.plan, after)


@dataclass(frozen=True, slots=True)
class _Asked:
    """The command line; what it does not say comes from the job file, if there is one."""

    inputs: tuple[str, ...]
    options: dict[str, Any]

    def answer(self) -> tuple[Spine, Thicknesses, str]:
        """The spine, what it is made of, and the unit for people."""
        from impose.schemes.covermoves import spine_moves
        from impose.schemes.spine import spine_width

        job = self._job()
        unit = job.unit if job else self.options["units"] or self._unit()
        new, allowance = self._length("measured"), self._length("allowance")
        measured = new
        if job and job.cover:
            measured = measured if measured is not None else job.cover.spine
            allowance = allowance if allowance is not None else job.cover.allowance
        with ExitStack() as stack:
            book = _Book.opened(job, stack) if job else None
            paper = self._paper(book)
            found = spine_width(self._stock(job, unit), paper, unit, measured, allowance)
            more = book.moves(new, found.facts) if book else spine_moves(found.facts, unit)
        return replace(found, findings=(*found.findings, *more)), paper, unit

    def _job(self) -> Job | None:
        from impose.model.overrides import Overrides
        from impose.model.resolve import job_from_file

        if len(self.inputs) != 1 or not self.inputs[0].lower().endswith(".toml"):
            return None
        said = Overrides(stock=self.options["stock"], units=self.options["units"])
        return job_from_file(Path(self.inputs[0]), said)

    def _paper(self, book: _Book | None) -> Thicknesses:
        """What the job's book is made of, with what the options say in its place."""
        from impose.schemes.spine import Thicknesses

        planned = book.paper if book else None
        pages, french, extra = (self.options[n] for n in ("pages", "french_fold", "extra_leaves"))
        counted = planned is None or pages is not None
        leaves = -(-self._pages() // 2) if counted or planned is None else planned.leaves
        if french is None:
            french = leaves if planned and planned.french else 0
        if extra is None:
            extra = planned.extra if planned else 0
        if french > leaves:
            raise ImposeError(
                f"{french} French-fold leaves are more than the {leaves} leaves of the book",
                hint="a French-fold leaf has two pages, as any leaf",
            )
        return Thicknesses(leaves=leaves, french=french, extra=extra)

    def _pages(self) -> int:
        """As said, else those of the files; none where only a measured stack is given."""
        if self.options["pages"] is not None:
            return int(self.options["pages"])
        if not self.inputs:
            if self.options["measured"] is not None:
                return 0
            raise ImposeError(
                "nothing says how many pages the book has",
                hint="--pages 200, or name the PDF; or --measured, the stack as it is",
            )
        from impose.pdf.read import open_sources

        with open_sources([Path(name) for name in self.inputs]) as sources:
            return sum(len(file.pages) for file in sources.facts)

    def _stock(self, job: Job | None, unit: str) -> Stock:
        if job is not None:
            return job.guts.stock
        from impose.model.fields import ValueFault
        from impose.model.jobtables import stock_item
        from impose.model.paper import assumed_stock, stock_of
        from impose.model.profiles import Library

        library = Library(Path())
        if self.options["stock"] is None:
            return assumed_stock(unit, library)
        try:
            return stock_of(stock_item(self.options["stock"]), library)
        except ValueFault as fault:
            raise ImposeError(f"--stock: {fault.message}", hint=fault.hint) from fault

    def _length(self, name: str) -> Length | None:
        written = self.options[name]
        if written is None:
            return None
        length = parse_length(written.lower().removeprefix("measured").strip())
        if length < ZERO or (name == "measured" and not length):
            raise ImposeError(f"--{name}: {written} is no thickness", hint="for example 3/8in")
        return length

    def _unit(self) -> str:
        """Inches where the measure or the stock is given in them."""
        for name in ("measured", "stock"):
            written = (self.options[name] or "").lower()
            if "mm" in written or "gsm" in written:
                return "mm"
            if "in" in written.split() or written.endswith(("in", '"')) or "lb" in written:
                return "in"
        return "mm"


def _say(found: Spine, paper: Thicknesses, unit: str) -> None:
    """The width on stdout, exact and as a ruler reads it, and where it comes from."""
    from impose.cli.speaking import say_findings

    facts = found.facts
    other = "in" if unit == "mm" else "mm"
    click.echo(f"spine {facts.width.text(unit)} ({facts.width.text(other)})")
    for parts in _RULERS:
        click.echo(f"ruler, 1/{parts} in: {reading_text(facts.width, 'in', parts)}")
    click.echo(f"ruler, 0.5 mm: {reading_text(facts.width, 'mm')}")
    click.echo(plain(f"from: {facts.source}"))
    if facts.measured is None:
        spread = facts.spread.text(unit)
        sure = "an estimate" if facts.estimated else facts.origin.value
        click.echo(f"{paper.count} thicknesses; {sure}, give or take {spread}")
    click.echo(f"allowance for cover and glue: {facts.allowance.text(unit)}")
    say_findings(found.findings)


def _say_json(found: Spine, unit: str) -> None:
    from impose.cli.speaking import say_json

    facts = found.facts
    readings = {f"1/{parts} in": reading_text(facts.width, "in", parts) for parts in _RULERS}
    say_json(
        found.findings,
        spine={
            "width": facts.width.text(unit),
            "width_pt": float(points_text(facts.width)),
            "readings": {**readings, "0.5 mm": reading_text(facts.width, "mm")},
            "from": facts.origin.value,
            "source": facts.source,
            "leaves": facts.leaves,
            "thicknesses": facts.thicknesses,
            "caliper": facts.caliper.text(unit),
            "reckoned": facts.reckoned.text(unit),
            "spread": facts.spread.text(unit),
            "allowance": facts.allowance.text(unit),
            "measured": None if facts.measured is None else facts.measured.text(unit),
        },
    )
