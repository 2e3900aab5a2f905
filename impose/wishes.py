"""What a run is to make, and whom it tells how far it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Protocol

from impose.bench.handcutter import cutter_of
from impose.errors import ImposeError
from impose.model.job import Job
from impose.schemes.oneside import BACKS, FRONTS
from impose.schemes.pressroom import other_copies

#: What `--only` may name, and the files each becomes; made in this order.
PRODUCTS: Final = {
    "guts": ("guts.pdf",),
    "cover": ("cover.pdf",),
    "proof": ("proof.pdf",),
    "cuts": ("cuts.pdf", "cuts.csv"),
    "ticket": ("ticket.pdf",),
    "guide": ("guide.pdf",),
    "report": ("report.html",),
    "plan": ("plan.json",),
}


class Progress(Protocol):
    """Told how far the work is; the default is silent."""

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        """A stage begins, or `done` of `of` parts of the work are over."""


class Silent:
    """Says nothing."""

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What `make` is to make: the products (empty: all), whether pages are looked at, and a
    second proof whose cuts are off by the cutter's tolerance.

    `processes` is how many children may look at pages at once, None: one for each
    core.  `digest` of what the job is made from goes into `plan.json`.
    """

    only: tuple[str, ...] = ()
    look: bool = True
    drift: bool = False
    processes: int | None = None
    digest: str = ""

    def products(self, job: Job) -> list[str]:
        """In the order they are made; a cover only when the job has one."""
        if "cover" in self.only and job.cover is None:
            raise ImposeError(
                "a cover is asked for, but the job has none",
                hint="describe it in [cover], or give --cover or --spine",
            )
        names = [name for name in PRODUCTS if not self.only or name in self.only]
        if self.drift and not cutter_of(job).tolerance:
            raise ImposeError(
                f"{cutter_of(job).name} is never off: its profile has no tolerance",
                hint="give the cutter a tolerance, or leave --drift out",
            )
        if self.drift and "proof" not in names:
            raise ImposeError(
                "--drift asks for a proof, and --only leaves it out", hint="add proof to --only"
            )
        if "guide" in self.only and job.holes is None:
            raise ImposeError(
                "a guide for holes is asked for, but the book has none",
                hint="name a pattern in [holes], or give --holes",
            )
        has = {"cover": job.cover is not None, "guide": job.holes is not None}
        return [name for name in names if has.get(name, True)]


EVERYTHING: Final = Wish()


def files_of(product: str, job: Job, wish: Wish) -> tuple[str, ...]:
    """The names of the files of a product; guts printed one side at a time are three, and a
    proof may have a second one with it."""
    if product == "proof":
        drifted = ("proof-drift.pdf",) if wish.drift else ()
        return (*PRODUCTS[product], *other_copies(job), *drifted)
    if product == "guts" and parted(job):
        return (*PRODUCTS[product], FRONTS, BACKS)
    return PRODUCTS[product]


def parted(job: Job) -> bool:
    """Fronts and backs are wanted as files of their own; French-folded leaves have no backs."""
    return job.guts.one_side and not job.guts.french_fold
