"""The book against what the binding machine takes.

Limits are the binder profile's, each with its source there.  A saddle copy is
opened under the stapling head, so its pile is half its leaves.
"""

from __future__ import annotations

from typing import Final

from impose.checks.words import stated
from impose.findings import Finding
from impose.model.job import Binding, Job
from impose.model.machines import Binder
from impose.plan.plan import Plan
from impose.schemes.gutspaper import bound_length
from impose.schemes.spine import spine_of
from impose.units import Length

_BOUND_BY_MACHINE: Final = (Binding.SADDLE, Binding.PERFECT, Binding.SECTIONS)


def check_machine(plan: Plan, job: Job) -> tuple[Finding, ...]:
    """Page count, thickness and untrimmed spine against the binder's limits."""
    binder = job.bench.binder
    if binder is None or job.binding not in _BOUND_BY_MACHINE:
        return ()
    if binder.binding and binder.binding != job.binding.value:
        return (_wrong_machine(binder, job),)
    found = list(_pages(plan, binder))
    if plan.cover is None:  # else it is said with the cover, as what spoils the book
        thick, length = book_thickness(plan, job), untrimmed_spine(plan)
        limits = (binder.spine_min, binder.spine_max)
        found += _limit("spine-thickness", "the spine is", thick, limits, job, binder)
        limits = (binder.spine_length_min, binder.spine_length_max)
        what = "the untrimmed spine is"
        if plan.two_up:
            what = "the untrimmed spine of two copies bound as one is"
        found += _limit("spine-length", what, length, limits, job, binder)
    if job.binding is Binding.SADDLE:
        pile = saddle_pile(plan, job)
        found.extend(_limit("pile-thickness", "the opened pile is", pile,
                            (None, binder.pile_max), job, binder))  # fmt: skip
    return tuple(found)


def book_thickness(plan: Plan, job: Job) -> Length:
    """Thicknesses of paper x caliper, or the measured spine when the job gives one."""
    if job.cover is not None and job.cover.spine is not None:
        return job.cover.spine
    return spine_of(plan, job).facts.reckoned


def saddle_pile(plan: Plan, job: Job) -> Length:
    """What lies under the stapling head: folded sheets opened, a separate cover included."""
    pile = job.guts.stock.caliper * (plan.faces // 4)
    cover = job.cover
    if cover is not None and cover.separate:
        pile = pile + (cover.stock or job.guts.stock).caliper
    return pile


def untrimmed_spine(plan: Plan) -> Length:
    """The length of the spine as it goes into the binder: before the last three cuts."""
    return bound_length(plan)


def _pages(plan: Plan, binder: Binder) -> tuple[Finding, ...]:
    least, most = binder.pages_min, binder.pages_max
    if least is not None and plan.faces < least:
        word, limit, hint = "fewest", least, "add pages, or staple it by hand"
    elif most is not None and plan.faces > most:
        word, limit = "most", most
        hint = "glue or sew the book, use thinner paper and ask the binder, or make two of it"
    else:
        return ()
    return (
        Finding.warning(
            "page-count",
            f"the book has {plan.faces} pages; the {word} that {binder.name} takes is {limit}",
            hint=hint,
            pages_made=plan.faces,
            limit=limit,
        ),
    )


def _limit(
    code: str,
    what: str,
    length: Length,
    limits: tuple[Length | None, Length | None],
    job: Job,
    binder: Binder,
) -> tuple[Finding, ...]:
    least, most = limits
    if least is not None and length < least:
        word, limit = "least", least
    elif most is not None and length > most:
        word, limit = "most", most
    else:
        return ()
    estimate = ""
    if code != "spine-length" and job.guts.stock.estimated:
        estimate = " (the caliper is an estimate)"
    unit = job.unit
    return (
        Finding.warning(
            code,
            f"{what} {stated(length, unit)}{estimate}; the {word} that {binder.name} takes is "
            f"{limit.text(unit)}",
            hint=_hint(code, word, job),
            has=length.text(unit),
            limit=limit.text(unit),
        ),
    )


def _hint(code: str, word: str, job: Job) -> str:
    """A short book can be bound with another, a double one alone."""
    if code == "spine-length" and job.guts.two_up is not None:
        return "leave two_up out and bind one copy at a time, or ask the binder"
    if code == "spine-length" and word == "least":
        return 'bind two copies as one (two_up = "head to head" in [guts]), or ask the binder'
    return "choose another binding, paper or machine, or ask the binder"


def _wrong_machine(binder: Binder, job: Job) -> Finding:
    return Finding.warning(
        "binder-binding",
        f"{binder.name} makes {binder.binding} books; the job's binding is {job.binding.value}",
        hint="name another binder or another binding",
        makes=binder.binding,
        asked=job.binding.value,
    )
