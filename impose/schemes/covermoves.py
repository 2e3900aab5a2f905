"""What a new measurement moves: two covers of one job compared, figure by figure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from impose.findings import Finding
from impose.plan.coverfacts import CoverFacts, SpineFacts
from impose.plan.plan import Plan
from impose.plan.scoresteps import ScoreKind, ScoreStep
from impose.units import Length


def moved(before: Plan, after: Plan) -> tuple[Finding, ...]:
    """Notes on what differs between the covers of two plans of one job, and by how much."""
    if before.cover is None or after.cover is None:
        return ()
    unit = after.unit
    return (
        *_moves(_figures(before.cover), _figures(after.cover), unit),
        *_moves(_scores(before.score_steps), _scores(after.score_steps), unit),
    )


def spine_moves(facts: SpineFacts, unit: str) -> tuple[Finding, ...]:
    """What a measured spine moves against the reckoned one: each spine edge by half of it."""
    off = facts.off
    if not off:
        return ()
    wider = "wider" if off > Length() else "narrower"
    way = "outward" if off > Length() else "inward"
    return (
        Finding.note(
            "spine-moved",
            f"the measured spine is {abs(off).text(unit)} {wider} than the reckoned "
            f"{facts.reckoned.text(unit)}: on a sheet with the spine in the middle each spine "
            f"edge and hinge moves {abs(off).half.text(unit)} {way}",
            by=abs(off).text(unit),
        ),
    )


def no_spine() -> Finding:
    """A saddle book has none: what is given is the thickness of its guts."""
    return Finding.note(
        "spine-none",
        "the book is saddle-stitched: its cover folds round the guts and has no spine; the width "
        "is the thickness of the closed guts",
    )


def _figures(cover: CoverFacts) -> dict[str, Length]:
    return {
        "the spine's width": cover.spine.width,
        "front spine edge to front paper edge": cover.front_distance,
        "back spine edge to back paper edge": cover.back_distance,
        "the open cover's width": cover.trim.width,
        "the cover's head margin": cover.head,
    }


def _scores(steps: Sequence[ScoreStep]) -> dict[str, Length]:
    return {
        f"score, {step.title} from the {step.at_stop.value} paper edge": step.distance
        for step in steps
        if step.kind is ScoreKind.SCORE
    }


def _moves(before: dict[str, Length], after: dict[str, Length], unit: str) -> Iterator[Finding]:
    for name, now in after.items():
        was = before.get(name)
        if was is not None and was != now:
            yield Finding.note(
                "cover-moved",
                f"{name}: {was.text(unit)} before, {now.text(unit)} now "
                f"({abs(now - was).text(unit)} {'more' if now > was else 'less'})",
                before=was.text(unit),
                now=now.text(unit),
            )
