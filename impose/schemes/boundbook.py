"""The book as bound, worked out from the sheets as a bindery would make it.

Sheets are folded by their fold steps or cut apart, gathered, ground at the
spine and trimmed along their cut lines; what is left of each sheet is read
from the top of the book.  Placements are never looked at, so that a wrong one
shows: the faces say which part of which side ends where in the book.

The pile lies with its first page up, heads up, and its spine at the left (at
the right when right-bound).  Nested leaves are pushed out by the calipers
outside them (schemes.creep has the model), and one knife goes through them all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace
from typing import Final

from impose.errors import PlanMismatchError
from impose.findings import Finding, page_ranges
from impose.geometry.box import Box, Size
from impose.geometry.placing import box_onto
from impose.geometry.sides import Edge, spine_edge
from impose.geometry.turning import Turnover
from impose.model.presswork import TwoUp
from impose.plan.insets import INSET, inset_views, role_of, without_insets
from impose.plan.parts import Gather, LineKind, Sheet, When
from impose.plan.plan import Plan
from impose.schemes.boundfaces import BoundBook, Face
from impose.schemes.cutapart import cut_apart
from impose.schemes.frenchfold import FOLDED
from impose.schemes.halves import half_plan, on_whole
from impose.schemes.lastcuts import Knife, Leaf, TrimmedLeaf, check_cuts
from impose.schemes.panelbook import bind_panels
from impose.schemes.paperpile import Layer, fold_paper, leaf_pieces
from impose.units import ZERO, Length

#: A measured creep is shared out over the levels (schemes.creep).
_MEASURED: Final = "measured"
__all__ = ["BoundBook", "Face", "bind_book"]

#: The faces of a leaf, the upper one first.
_FACES: Final = ((True, "recto"), (False, "verso"))

#: A quarter turn clockwise, in counter-clockwise degrees.
_CLOCKWISE: Final = 270


def bind_book(plan: Plan, copy: int = 1) -> BoundBook:
    """The guts of the plan as bound.

    Raises PlanMismatchError when the sheets cannot be made into a book at all:
    the gathering names a sheet or a piece that there is not, or the last fold
    is no spine.  `copy` counts from 1 where a set of sheets gives several
    (`Plan.per_sheet`).
    """
    if plan.panelled:
        return bind_panels(plan)
    if not plan.insets:
        return _copy(plan, copy)
    guts = _Bindery(without_insets(plan)).book()
    views = inset_views(plan)
    groups = [_Bindery(view, role_of(number)).book() for number, view in enumerate(views, start=1)]
    findings = [finding for book in (guts, *groups) for finding in book.findings]
    return BoundBook(tuple(_put_in(plan, guts, groups)), tuple(findings))


def _copy(plan: Plan, copy: int) -> BoundBook:
    """One of the copies that a set of sheets gives, its faces on the whole sheets."""
    bound = 2 if plan.two_up else 1
    half, part = (copy - 1) // bound + 1, (copy - 1) % bound + 1
    book = _Bindery(half_plan(plan, half), part=part).book()
    if not plan.halved:
        return book
    sheets = {sheet.number: sheet for sheet in plan.sheets}
    faces = []
    for face in book.faces:
        side, region = on_whole(plan, sheets[face.sheet], half, face.side, face.region)
        faces.append(replace(face, side=side, region=region))
    return replace(book, faces=tuple(faces))


def _put_in(plan: Plan, guts: BoundBook, groups: Sequence[BoundBook]) -> list[Face]:
    """The leaves of the insets where the gathering says, each with its two faces."""
    waiting = [iter(book.faces) for book in groups]
    faces = list(guts.faces)
    for step in plan.gathering:
        if step.kind == INSET:
            leaf = waiting[step.inset - 1]
            faces[step.after : step.after] = [next(leaf), next(leaf)]
    return faces


class _Bindery:
    """One book on its way through the bindery."""

    def __init__(self, plan: Plan, role: str = "guts", part: int = 1) -> None:
        self._plan = plan
        self._part = part
        self._role = role
        self._spine_at = spine_edge(True, plan.bound_at)
        self._sheets = {sheet.number: sheet for sheet in plan.sheets if sheet.role == "guts"}
        self._knife = Knife(plan)
        self._pieces: dict[tuple[int, Size], tuple[tuple[Box, frozenset[Edge]], ...]] = {}

    def book(self) -> BoundBook:
        leaves = self._gather()
        if self._plan.two_up:
            leaves = cut_apart(leaves, TwoUp(self._plan.two_up), self._part)
        trimmed = [self._knife.trim(leaf) for leaf in leaves]
        feet = _feet(trimmed)
        faces = [face for one in trimmed for face in self._faces(one, feet[one.leaf.jogged])]
        trimmed = [one for one in trimmed if one.leaf.hidden != "recto"]
        findings = (*self._counted(len(faces)), *check_cuts(self._plan, trimmed))
        return BoundBook(tuple(faces), findings)

    # -- folding, cutting apart, gathering ----------------------------------------------

    def _gather(self) -> list[Leaf]:
        """All leaves in reading order."""
        sections: list[list[Leaf]] = []
        piles: list[list[Leaf]] = []
        for step in self._plan.gathering:
            if step.kind == "section":
                sections.append(self._section(step))
                piles.append(sections[-1])
            elif step.kind == "pile":
                piles.append([self._cut_out(number, step) for number in step.sheets])
            elif step.kind == FOLDED:
                halves = [self._folded(number, step.cell or 0) for number in step.sheets]
                piles.append([half for both in halves for half in both])
        if not sections:
            return [leaf for pile in piles for leaf in pile]
        outside, level = self._push(sections)
        return [leaf for pile in piles for leaf in _pushed(pile, outside, level)]

    def _section(self, step: Gather) -> list[Leaf]:
        """Sheets folded and put into each other, leaves from the top."""
        upper: list[Leaf] = []
        lower: list[Leaf] = []
        for number in step.sheets:
            sheet = self._sheet(number)
            folded = fold_paper(sheet, self._spine_at)
            jogged = (sheet.size, sheet.folds)
            upper += [Leaf(layer, folded.spine, jogged) for layer in folded.upper]
            lower[:0] = [Leaf(layer, folded.spine, jogged) for layer in folded.lower]
        return upper + lower

    def _push(self, sections: Sequence[Sequence[Leaf]]) -> tuple[Length, Length]:
        """How far the outermost leaf is pushed out (by a cover), and what each level adds.

        A measured creep says only what the innermost leaf gets; then the
        outermost is what its own fore-edge lacks of the trim.
        """
        creep = self._plan.creep
        levels = max(len(section) for section in sections) // 2 - 1
        if any(sheet.stock for sheet in self._sheets.values()):
            first = self._knife.trim(max(sections, key=len)[0])
            return self._plan.leaf.width + self._plan.grind - first.far, creep.per_level
        if creep.source != _MEASURED:
            return creep.total - creep.per_level * levels, creep.per_level
        first = self._knife.trim(max(sections, key=len)[0])
        outside = self._plan.leaf.width + self._plan.grind - first.far
        return outside, (creep.total - outside).split(levels)[0] if levels else ZERO

    def _cut_out(self, number: int, step: Gather) -> Leaf:
        """The leaf of a flat sheet, its spine edge and foot at 0; turned a quarter clockwise
        where the step says so."""
        sheet, cell = self._sheet(number), step.cell or 0
        key = (id(sheet.lines), sheet.size)
        pieces = self._pieces.get(key)
        if pieces is None:
            parting = self._knife.lines(sheet, When.BEFORE_BINDING)
            later = self._knife.lines(sheet, When.AFTER_BINDING)
            found = leaf_pieces(sheet.size, parting, later, self._plan.leaf)
            pieces = self._pieces[key] = tuple((piece.box, piece.cut) for piece in found)
        if cell >= len(pieces):
            raise PlanMismatchError(
                f"sheet {number}: leaf {cell + 1} is to be gathered, its cuts leave {len(pieces)}"
            )
        box, cut = pieces[cell]
        layer = Layer(sheet, box, turned=step.turn == _CLOCKWISE)
        if layer.turned:
            cut = frozenset(edge.turned(_CLOCKWISE) for edge in cut)
        lying = layer.lying(box)
        x = lying.x0 if self._spine_at is Edge.LEFT else lying.x1
        return Leaf(layer.moved(-x, -lying.y0), ZERO, lying.size, cut)

    def _folded(self, number: int, cell: int) -> tuple[Leaf, Leaf]:
        """The two halves of a leaf folded at its fold line, the print outside; spine edges at 0.

        The half with the recto lies above; the other is turned over about the fold.
        """
        sheet = self._sheet(number)
        parting = [ln for ln in self._knife.lines(sheet, When.BEFORE_BINDING) if ln.of != "spine"]
        open_leaf = Size(self._plan.leaf.width * 2, self._plan.leaf.height)
        later = [ln for ln in sheet.lines if ln.kind is LineKind.FOLD]
        pieces = leaf_pieces(sheet.size, parting, later, open_leaf)
        if cell >= len(pieces):
            raise PlanMismatchError(
                f"sheet {number}: leaf {cell + 1} is to be folded, its cuts leave {len(pieces)}"
            )
        whole = Layer(sheet, pieces[cell].box)
        paper = pieces[cell].box
        crossing = [ln for ln in later if ln.y0 < paper.y1 and paper.y0 < ln.y1]
        folds = list({ln.x0 for ln in crossing if paper.x0 < ln.x0 < paper.x1})
        if len(folds) != 1:
            raise PlanMismatchError(f"sheet {number}: leaf {cell + 1} has {len(folds)} folds")
        left, right = whole.parted(False, folds[0])
        assert left is not None and right is not None  # the fold lies inside
        recto, verso = (left, right) if self._spine_at is Edge.LEFT else (right, left)
        verso = verso.turned_over(False, folds[0])
        cut = frozenset(pieces[cell].cut)
        foot = pieces[cell].box.y0
        made = []
        for layer, hidden in ((recto, "verso"), (verso, "recto")):
            lying = layer.lying(layer.paper)
            fold_x = lying.x1 if self._spine_at is Edge.LEFT else lying.x0
            spine = (
                fold_x - self._reach(sheet, layer)
                if self._spine_at is Edge.LEFT
                else (fold_x + self._reach(sheet, layer))
            )
            made.append(
                Leaf(layer.moved(-spine, -foot), ZERO, pieces[cell].box.size, cut, hidden=hidden)
            )
        return made[0], made[1]

    def _reach(self, sheet: Sheet, layer: Layer) -> Length:
        """From the fold to what the spine cut leaves of a half; all of it where there is none."""
        flat = layer.paper
        lines = [ln.x0 for ln in sheet.lines if ln.of == "spine" and flat.x0 < ln.x0 < flat.x1]
        if not lines:
            return flat.width
        folds_right = Edge.RIGHT in layer.folds
        if layer.mirrored_x:
            folds_right = not folds_right
        return flat.x1 - lines[0] if folds_right else lines[0] - flat.x0

    def _sheet(self, number: int) -> Sheet:
        if number not in self._sheets:
            raise PlanMismatchError(f"sheet {number} is to be gathered, there is no such sheet")
        return self._sheets[number]

    # -- reading -------------------------------------------------------------------------

    def _faces(self, one: TrimmedLeaf, foot: Length) -> tuple[Face, ...]:
        """The upper face of a leaf and the one below it, but what lies inside a fold."""
        flat = one.leaf.layer.flat(self._knife.lying(one))
        shown = [recto for recto, name in _FACES if name != one.leaf.hidden]
        return tuple(self._face(one, flat, foot, recto) for recto in shown)

    def _face(self, one: TrimmedLeaf, flat: Box, foot: Length, recto: bool) -> Face:
        """Leaves are turned about the spine: a verso is seen with left and right exchanged."""
        plan, layer = self._plan, one.leaf.layer
        sheet = layer.sheet
        front = layer.front_up == recto
        upside_down = layer.mirrored_y
        if not front and sheet.turned is Turnover.ABOUT_HORIZONTAL:
            upside_down = not upside_down
        spine_at = self._spine_at if recto else self._spine_at.opposite
        before, after = (end + one.leaf.pushed - plan.grind for end in (one.near, one.far))
        if spine_at is Edge.RIGHT:
            before, after = plan.leaf.width - after, plan.leaf.width - before
        place = Box(before, one.low - foot, after, one.high - foot)
        reading = (360 - plan.bound_at.art_turn) % 360
        upright = box_onto(_at_origin(plan.leaf), _at_origin(plan.trim), reading)
        edges = {
            "spine": spine_at,
            "fore-edge": spine_at.opposite,
            "head": Edge.TOP,
            "foot": Edge.BOTTOM,
        }
        return Face(
            sheet=sheet.number,
            side="front" if front else "back",
            region=flat if front else sheet.turned.over(flat, sheet.size),
            turn=(reading + (180 if upside_down else 0) + _turned_back(layer, front)) % 360,
            place=upright.box(place),
            spine_at=spine_at.turned(reading),
            cut=frozenset(edges[side].turned(reading) for side in one.cut),
            name="",
            page=plan.trim,
            role=self._role,
        )

    def _counted(self, faces: int) -> Iterable[Finding]:
        plan = self._plan
        if faces != plan.faces:
            yield Finding.error(
                "proof-faces",
                f"the sheets make a book of {faces} pages, the plan has {plan.faces}",
                made=faces,
                planned=plan.faces,
            )
        unused = set(self._sheets).difference(*(step.sheets for step in plan.gathering))
        if unused:
            yield Finding.error(
                "proof-sheet-unused",
                f"sheets {page_ranges(unused)} are printed and never gathered",
            )


def _pushed(pile: Sequence[Leaf], outside: Length, level: Length) -> list[Leaf]:
    """Each leaf pushed out by the calipers of those outside it, `level` where nothing else is
    said of a sheet."""
    found, at = list(pile), outside
    for i in range((len(pile) + 1) // 2):
        for k in {i, len(pile) - 1 - i}:
            found[k] = replace(pile[k], pushed=at)
        sheet = pile[i].layer.sheet
        at = at + (sheet.caliper if sheet.stock else level)
    return found


def _turned_back(layer: Layer, front: bool) -> int:
    """A leaf that lay a quarter turn round is read turned back; on its back the other way."""
    if not layer.turned:
        return 0
    return _CLOCKWISE if front else 360 - _CLOCKWISE


def _at_origin(size: Size) -> Box:
    return Box(ZERO, ZERO, size.width, size.height)


def _feet(trimmed: Sequence[TrimmedLeaf]) -> dict[Hashable, Length]:
    """Where the foot of the book lies in each kind of pile: where most leaves have it."""
    lows: dict[Hashable, Counter[Length]] = {}
    for one in trimmed:
        lows.setdefault(one.leaf.jogged, Counter())[one.low] += 1
    return {jogged: counted.most_common(1)[0][0] for jogged, counted in lows.items()}
