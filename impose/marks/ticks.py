"""Short lines at the ends of cuts and folds: crop marks and fold marks.

A crop mark stands on its cut line, starts clear of every bleed (PDF Reference
1.7, 10.10.2: marks lie outside the bleed) and is shared where two trims share
a line.  Length 3 to 5 mm, a hairline of 0.25 pt: common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from impose.geometry.box import Box
from impose.model.job import MarkSettings
from impose.plan.parts import Line, LineKind, Mark, Shape
from impose.units import Length

#: Shorter than this a mark cannot be seen at the knife (from memory).
SHORTEST: Final = Length.mm(2)


@dataclass(frozen=True, slots=True)
class Ground:
    """Where marks may stand on one side: within `area`, out of every `keep_out` box."""

    area: Box
    keep_out: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class _Run:
    """A stretch along a line: `at` across it, from `start` to `end` along it."""

    upright: bool
    at: Length
    start: Length
    end: Length


def ticks(
    lines: Iterable[Line], ground: Ground, settings: MarkSettings
) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
    """The marks of these lines, and the ids of lines that have room for none at either end.

    Lines that lie on one another are merged first, so that their mark is drawn once.
    """
    marks: list[Mark] = []
    missing: list[str] = []
    for kind in (LineKind.CUT, LineKind.FOLD):
        chosen = [line for line in lines if line.kind is kind]
        for run, ids in _runs(chosen):
            made = [_tick(run, forward, kind, ground, settings) for forward in (False, True)]
            found = [mark for mark in made if mark is not None]
            marks.extend(found)
            if not found:
                missing.extend(ids)
    return tuple(dict.fromkeys(marks)), tuple(dict.fromkeys(missing))


def _runs(lines: Sequence[Line]) -> list[tuple[_Run, list[str]]]:
    by_place: dict[tuple[bool, Length], list[Line]] = {}
    for line in lines:
        at = line.x0 if line.upright else line.y0
        by_place.setdefault((line.upright, at), []).append(line)
    runs: list[tuple[_Run, list[str]]] = []
    for (upright, at), group in by_place.items():
        spans = sorted(
            ((ln.y0, ln.y1, ln.of) if upright else (ln.x0, ln.x1, ln.of) for ln in group),
            key=lambda span: (span[0].grains, span[1].grains),
        )
        start, end, ids = spans[0][0], spans[0][1], [spans[0][2]]
        for low, high, of in spans[1:]:
            if low <= end:
                end = max(end, high)
                ids.append(of)
            else:
                runs.append((_Run(upright, at, start, end), ids))
                start, end, ids = low, high, [of]
        runs.append((_Run(upright, at, start, end), ids))
    return runs


def _tick(
    run: _Run, forward: bool, kind: LineKind, ground: Ground, settings: MarkSettings
) -> Mark | None:
    """The mark outside one end of a run; None when less than the shortest fits."""
    area = ground.area
    low, high = (area.x0, area.x1) if run.upright else (area.y0, area.y1)
    if not low <= run.at <= high:
        return None
    if kind is LineKind.FOLD:  # a fold runs over the whole sheet: its mark is at the outside
        return _fold_tick(run, forward, ground, settings)
    far = (area.y1 if forward else area.y0) if run.upright else (area.x1 if forward else area.x0)
    near, far = _free(run, forward, far, ground, settings)
    if forward:
        end = min(near + settings.length, far)
        span = (near, end)
    else:
        end = max(near - settings.length, far)
        span = (end, near)
    if span[1] - span[0] < SHORTEST:
        return None
    return _line(run, span, "crop", Shape.LINE, settings.weight)


def _free(
    run: _Run, forward: bool, far: Length, ground: Ground, settings: MarkSettings
) -> tuple[Length, Length]:
    """Where a mark outside this end may start and must stop."""
    edge = run.end if forward else run.start
    own = edge  # how far the bleed that begins at this end reaches
    for box in ground.keep_out:
        across, along = _spans(box, run.upright)
        if not across[0] <= run.at <= across[1]:
            continue
        if along[0] <= edge <= along[1]:
            own = max(own, along[1]) if forward else min(own, along[0])
        elif forward and along[0] > edge:
            far = min(far, along[0] - settings.weight)
        elif not forward and along[1] < edge:
            far = max(far, along[1] + settings.weight)
    clear = settings.weight if own != edge else Length(0)
    if forward:
        near = max(edge + settings.offset, own + clear)
        return (near if far - near >= SHORTEST else own + clear), far
    near = min(edge - settings.offset, own - clear)
    return (near if near - far >= SHORTEST else own - clear), far


def _fold_tick(run: _Run, forward: bool, ground: Ground, settings: MarkSettings) -> Mark | None:
    """A dashed mark between the outermost page and the edge that can be printed."""
    area = ground.area
    boxes = [_spans(box, run.upright)[1] for box in ground.keep_out]
    if forward:
        outer = max((along[1] for along in boxes), default=run.end)
        limit = area.y1 if run.upright else area.x1
        start = outer + settings.weight
        span = (start, min(start + settings.length + settings.offset, limit))
    else:
        outer = min((along[0] for along in boxes), default=run.start)
        limit = area.y0 if run.upright else area.x0
        start = outer - settings.weight
        span = (max(start - settings.length - settings.offset, limit), start)
    if span[1] - span[0] < SHORTEST:
        return None
    return _line(run, span, "fold", Shape.DASHED, settings.weight)


def _spans(box: Box, upright: bool) -> tuple[tuple[Length, Length], tuple[Length, Length]]:
    """The box across a line of this direction, and along it."""
    x, y = (box.x0, box.x1), (box.y0, box.y1)
    return (x, y) if upright else (y, x)


def _line(run: _Run, span: tuple[Length, Length], kind: str, shape: Shape, weight: Length) -> Mark:
    low, high = span
    if run.upright:
        return Mark(kind, shape, run.at, low, run.at, high, weight)
    return Mark(kind, shape, low, run.at, high, run.at, weight)
