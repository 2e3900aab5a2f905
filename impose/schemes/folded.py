"""Folded books: saddle (one section, nested) and sections (gathered for sewing or glue).

A saddle book is one section of any number of nested sheets.  Section books
have sections of one size; a shortened one goes before the last, not last, so
that a thin section does not lie at the back joint (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from impose.geometry.box import Size
from impose.geometry.sides import Edge, PageSides
from impose.model.job import Binding, Job
from impose.plan.parts import Gather, Line, LineKind, Placement, Sheet, Side
from impose.schemes.cells import Cell, Placer
from impose.schemes.creep import creep_of, shifts
from impose.schemes.draft import Asked, Draft, cuts_after_binding, refuse, too_small
from impose.schemes.folding import BOOK_FOLDS, nest, standard_scheme
from impose.schemes.foldlayout import FoldLayout, FoldRules, group_size, lay_out
from impose.schemes.layoutfindings import (
    empty_back,
    glue_reach,
    grind_unused,
    nothing_to_cut,
)
from impose.schemes.leaves import fill_up
from impose.schemes.rooms import Room, rooms
from impose.schemes.sheetstocks import SheetStocks
from impose.schemes.twoup import copies_cut, outer, place_parts
from impose.units import ZERO, Length

#: A section as the trade usually sews it (16 pages: GPO Style Manual 2008, 1.15, names 8 to 32).
USUAL_SECTION = 16


@dataclass(frozen=True, slots=True)
class _Section:
    """Pages a side of each nested sheet, outermost first, and the first face (1-based)."""

    sheets: tuple[int, ...]
    first: int

    @property
    def leaves(self) -> int:
        return sum(self.sheets)


def plan_folded(asked: Asked) -> Draft:
    """Sheets of a folded book.  Raises JobError when no sheet takes the layout."""
    job, rules = asked.job, fold_rules(asked)
    layout = _choose(asked, rules)
    up = layout.scheme.up
    if job.binding is Binding.SADDLE:
        faces, notes = fill_up(asked.faces, 2 * up, job.blanks_at)
        sections = [_Section((up,) * (len(faces) // (2 * up)), 1)]
    else:
        faces, notes = fill_up(asked.faces, _whole(job, up), job.blanks_at)
        sections = _sections(len(faces), job.guts.section_pages or USUAL_SECTION, up)
    notes = (*notes, *empty_back(asked, faces), *grind_unused(asked))
    layouts = {up: layout}
    for small in {u for section in sections for u in section.sheets} - {up}:
        layouts[small] = _on_same_sheet(asked, rules, small, layout.room)
    maker = _SheetMaker(asked, asked.placer(), layouts, faces, SheetStocks(asked, faces))
    sheets, gathering, pushed = maker.sheets(sections)
    # A cut shows wherever there is paper beyond a trim: creep makes some where none was.
    cut_ids = {
        line.of for s in sheets for line in (*s.lines, *s.creep_lines) if line.kind is LineKind.CUT
    }
    source = "measured" if job.guts.creep_total is not None else job.guts.stock.caliper_from.value
    return Draft(
        scheme="saddle" if job.binding is Binding.SADDLE else "sections",
        faces=len(faces),
        sheets=sheets,
        cuts=(*copies_cut(asked.joint), *cuts_after_binding(tuple(cut_ids))),
        gathering=gathering,
        creep=creep_of(pushed, job.guts.stock.caliper, source),
        findings=(
            *notes,
            *nothing_to_cut(asked, cut_ids, layout.room.sheet),
            *glue_reach(asked, pushed),
        ),
    )


def fold_rules(asked: Asked) -> FoldRules:
    """The paper between pages: as said, else what is trimmed off anyway."""
    guts = asked.job.guts
    head, foot = outer(asked.joint, *asked.head_and_foot)
    said = guts.fore_edge_allowance
    fore = asked.trim_off if said is None else said
    return FoldRules(
        leaf=asked.leaf,
        grind=asked.grind,
        head=head,
        foot=foot,
        fore_edge=fore,
        lip=guts.lip or ZERO,
        lip_on_front=guts.lip_on == "front",
        bleed=PageSides.all(asked.bleed),
        joint=asked.joint,
    )


def _whole(job: Job, up: int) -> int:
    """Blanks fill a whole section, or four pages when the last may be short."""
    if job.guts.last_section == "short":
        return 4
    return job.guts.section_pages or USUAL_SECTION


def _choose(asked: Asked, rules: FoldRules) -> FoldLayout:
    guts = asked.job.guts
    if guts.up is not None:
        candidates = [guts.up]
    elif asked.job.binding is Binding.SADDLE:
        candidates = [2]
    else:
        pages = guts.section_pages or USUAL_SECTION
        whole = [up for up in reversed(BOOK_FOLDS) if pages % (2 * up) == 0]
        candidates = [up for up in whole if closed_side(up, rules) is None]
    for up in candidates:
        _check_up(asked, up, rules)
    best = [layout for up in candidates for layout in _fitting(asked, rules, up)]
    if not best:
        need = group_size(standard_scheme(candidates[-1]), rules)
        raise too_small(asked, need, f"{candidates[-1]} pages on a side")
    return best[0]


def _check_up(asked: Asked, up: int, rules: FoldRules) -> None:
    pages = asked.job.guts.section_pages or USUAL_SECTION
    if up not in BOOK_FOLDS:
        raise refuse(
            "up-not-folded",
            f"up = {up}: a folded book has 2, 4, 8 or 16 pages on a side",
            "choose one of these, or a binding of single leaves",
        )
    if asked.job.binding is not Binding.SADDLE and pages % (2 * up):
        raise refuse(
            "up-section",
            f"up = {up} makes sheets of {2 * up} pages; a section of {pages} pages is no "
            "whole number of them",
            "choose another up or section_pages",
        )
    if side := closed_side(up, rules):
        many = {"head": "heads", "fore_edge": "fore-edges", "foot": "feet"}[side]
        raise refuse(
            "closed-fold",
            f"with {up} pages on a side the {many} lie at a fold and {side}_allowance is "
            f"{ZERO.text(asked.job.unit)}: the leaves could not be opened",
            f'give them something to trim, such as {side}_allowance = "1/8in"',
        )


def closed_side(up: int, rules: FoldRules) -> str | None:
    """The side that lies at a fold and is not trimmed: heads meet at a fold from 4 up on,
    fore-edges from 8 up, feet from 16 up."""
    at_folds = (
        ("head", rules.head, 4),
        ("fore_edge", rules.fore_edge, 8),
        ("foot", rules.foot, 16),
    )
    return next((side for side, gap, least in at_folds if up >= least and not gap), None)


def _fitting(asked: Asked, rules: FoldRules, up: int) -> list[FoldLayout]:
    """Layouts that fit, in the order of the sheets named, the better way round first."""
    scheme = standard_scheme(up)
    group = group_size(scheme, rules)
    right = asked.job.bound_at.mirrored
    found = [
        lay_out(scheme, rules, room, right)
        for room in rooms(asked.job.guts, asked.job.bound_at.mirrored)
    ]
    fits = [layout for layout in found if layout is not None]
    names = [sheet.name for sheet in asked.job.guts.sheets]
    return sorted(
        fits,
        key=lambda lay: (
            names.index(lay.room.name),
            lay.room.sheet.landscape != group.landscape,
        ),
    )


def _on_same_sheet(asked: Asked, rules: FoldRules, up: int, room: Room) -> FoldLayout:
    """A shortened section's folds on the sheet of the others, either way round."""
    same = [lay for lay in _fitting(asked, rules, up) if lay.room.name == room.name]
    if asked.job.guts.work and asked.job.guts.work.one_forme:  # the halves of all are one pile
        same = [lay for lay in same if lay.room.sheet == room.sheet]
    if not same:
        need = group_size(standard_scheme(up), rules)
        raise too_small(asked, need, f"{up} pages on a side of a shortened section")
    return same[0]


def _sections(faces: int, pages: int, up: int) -> list[_Section]:
    full, rest = divmod(faces, pages)
    sizes = [(up,) * (pages // (2 * up))] * full
    if rest:
        sizes.insert(max(0, len(sizes) - 1), _short(rest, up))
    sections, first = [], 1
    for sheets in sizes:
        sections.append(_Section(sheets, first))
        first += 2 * sum(sheets)
    return sections


def _short(pages: int, up: int) -> tuple[int, ...]:
    """Sheets of a shortened section, outermost (and largest) first."""
    sheets = []
    left = pages // 2
    for size in sorted((u for u in BOOK_FOLDS if u <= up), reverse=True):
        while left >= size:
            sheets.append(size)
            left -= size
    return tuple(sheets)


@dataclass(frozen=True, slots=True)
class _SheetMaker:
    """Places a book's faces on its sheets."""

    asked: Asked
    placer: Placer
    layouts: dict[int, FoldLayout]
    faces: Sequence[int | None]
    stocks: SheetStocks

    def sheets(
        self, sections: Sequence[_Section]
    ) -> tuple[tuple[Sheet, ...], tuple[Gather, ...], tuple[Length, ...]]:
        """All sheets in order, how they are gathered, and every shift used."""
        sheets: list[Sheet] = []
        gathering: list[Gather] = []
        used: tuple[Length, ...] = ()
        # A measured total is that of the deepest section; a shallower one has its first levels.
        deepest = self._shifts(max(section.leaves for section in sections) // 2)
        for number, section in enumerate(sections, start=1):
            pushed = deepest[: section.leaves // 2]
            if self.stocks.mixed:
                pushed = self._mixed_shifts(section)
            used = max(used, pushed, key=lambda all_of: (len(all_of), all_of[-1:]))
            made = []
            for up, leaves in zip(section.sheets, nest(section.sheets), strict=True):
                made.append(self._sheet(len(sheets) + 1, number, section, up, leaves, pushed))
                sheets.append(made[-1])
            gathering.append(Gather("section", tuple(sheet.number for sheet in made)))
        return tuple(sheets), tuple(gathering), used

    def _shifts(self, levels: int) -> tuple[Length, ...]:
        guts = self.asked.job.guts
        return shifts(levels, guts.stock.caliper, self._outside(), guts.creep_total)

    def _outside(self) -> Length:
        """A cover round the section pushes its outermost leaf out."""
        job = self.asked.job
        cover = job.cover
        if job.binding is Binding.SADDLE and cover and cover.separate:
            return (cover.stock or job.guts.stock).caliper
        return ZERO

    def _mixed_shifts(self, section: _Section) -> tuple[Length, ...]:
        """The calipers of the leaves outside, each of its own stock."""
        if self.asked.job.guts.creep_total is not None:
            raise refuse(
                "creep-stocks",
                "a measured creep says nothing of sheets of several stocks",
                "leave creep out: it is reckoned from the calipers",
            )
        calipers = {
            leaf: self.stocks.caliper(self._positions(section, leaves))
            for leaves in nest(section.sheets)
            for leaf in leaves
        }
        levels = [calipers[leaf] for leaf in range(section.leaves // 2)]
        return tuple(accumulate(levels[:-1], initial=self._outside()))

    def _positions(self, section: _Section, leaves: Sequence[int]) -> list[int]:
        """The faces on a sheet with these leaves of the section."""
        return [section.first + 2 * leaf + side for leaf in leaves for side in (0, 1)]

    def _sheet(
        self,
        number: int,
        section_number: int,
        section: _Section,
        up: int,
        leaves: Sequence[int],
        pushed: Sequence[Length],
    ) -> Sheet:
        layout = self.layouts[up]
        stock = self.stocks.of(self._positions(section, leaves))
        fronts: list[Placement] = []
        backs: list[Placement] = []
        creep_lines: list[Line] = []
        placer, faces, last = self.placer, self.faces, section.leaves - 1
        for index, leaf in enumerate(leaves):
            shift = pushed[min(leaf, last - leaf)]
            first = section.first + 2 * leaf
            recto_front = layout.leaves[index].front_recto
            front, back = (first, first + 1) if recto_front else (first + 1, first)
            parts = layout.front_parts[index]
            fronts.extend(place_parts(placer, parts, faces, front, shift))
            if not self.asked.front_only:
                backs.extend(place_parts(placer, layout.back_parts[index], faces, back, shift))
            for part in parts:
                line = fore_edge_line(part.cell, shift, layout.room.sheet)
                if line:
                    creep_lines.append(line)
        return Sheet(
            number=number,
            size=layout.room.sheet,
            turned=layout.room.turned,
            front=Side(tuple(fronts)),
            back=Side(tuple(backs)),
            lines=layout.lines,
            creep_lines=tuple(creep_lines),
            folds=layout.folds,
            section=section_number,
            stock=stock.name if stock else "",
            caliper=stock.caliper if stock else ZERO,
        )


def fore_edge_line(cell: Cell, shift: Length, sheet: Size) -> Line | None:
    """The fore-edge cut of one leaf, seen from the front; None where no paper is left."""
    if cell.spine_at is Edge.LEFT:
        x = cell.spine - shift + cell.size.width
        paper = sheet.width - x
    else:
        x = paper = cell.spine + shift - cell.size.width
    if paper <= ZERO:
        return None
    return Line(LineKind.CUT, "fore-edge", x, cell.bottom, x, cell.top)
