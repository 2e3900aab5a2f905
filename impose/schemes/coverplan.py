"""The cover of a job as one more sheet of its plan.

Front of the sheet: the outside; back: the inside.  The cover is scored, put
round the guts, and trimmed with them: head, foot and fore-edge are the same
cuts as those of the guts, so their lines carry the same ids.  Books with flaps
cannot be cut at the fore-edge afterwards: there the two ends of the cover are
cut to size before scoring, and the guts' fore-edge before the cover goes on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from impose.findings import Finding
from impose.geometry.sides import Edge
from impose.model.facts import BookPage
from impose.model.job import Binding, Cover, Job
from impose.model.machines import GLUE_STRIP, GLUE_TRAP, HINGE, Printer
from impose.model.stock import Grain, Stock
from impose.plan.coverfacts import CoverFacts, CoverStock, GutsPaper
from impose.plan.parts import Cut, FoldStep, Line, LineKind, Sheet, Side, When
from impose.plan.plan import Plan
from impose.schemes.coverart import art_pages, refuse
from impose.schemes.coverchecks import check_cover
from impose.schemes.coverguts import guts_paper, untrimmed_length
from impose.schemes.coverlayout import (
    CoverLayout,
    CoverMeasures,
    SheetWish,
    Upright,
    home_sheets,
    lay_out_cover,
)
from impose.schemes.coverrules import USUAL, CoverRules
from impose.schemes.coversides import CoverArtist
from impose.schemes.draft import USUAL_TRIM_OFF
from impose.schemes.spine import Spine, spine_of
from impose.units import ZERO, Length

#: Titles of the cover's own cuts.
ENDS: Final = {
    "cover-front": "cut the front end of the cover to size, before scoring",
    "cover-back": "cut the back end of the cover to size, before scoring",
}
FOLD_ID: Final = "cover-fold"


def add_cover(
    plan: Plan, job: Job, art: Sequence[BookPage], rules: CoverRules = USUAL
) -> Plan:
    """The plan with the cover's sheet, its facts and findings; no marks, no score steps.

    `art` are the pages of `job.cover.art.items`, then of `job.cover.inside.items`,
    whose files `plan.files` has already.  A job without a cover of its own is
    given back as it is.  Raises JobError when no sheet takes the open cover, or
    a hinge has no room.
    """
    cover = job.cover
    if cover is None or not cover.separate:
        return plan
    return _CoverMaker(plan, job, cover, rules).add(art)


@dataclass(frozen=True, slots=True)
class _CoverMaker:
    plan: Plan
    job: Job
    cover: Cover
    rules: CoverRules

    def add(self, art: Sequence[BookPage]) -> Plan:
        plan = self.plan
        spine, guts = spine_of(plan, self.job), guts_paper(plan)
        measures = self._measures(spine)
        printer, notes = self._printer()
        layout, assumed = self._lay_out(measures, guts, printer)
        sheet = self._sheet(layout)
        pages = art_pages(self.cover, art, len(plan.pages) + 1)
        artist = CoverArtist(plan, self.job, measures, layout, pages)
        sheet = replace(sheet, front=Side(artist.side(False)), back=Side(artist.side(True)))
        facts = self._facts(spine, measures, layout, guts)
        found = (
            *notes,
            *assumed,
            *spine.findings,
            *artist.findings(),
            *check_cover(plan, self.job, facts, layout, self.rules),
        )
        return replace(
            plan,
            pages=(*plan.pages, *artist.fits),
            sheets=(*plan.sheets, sheet),
            cuts=self._cuts(sheet, measures),
            cover=facts,
            findings=(*plan.findings, *found),
        )

    # -- what is asked ------------------------------------------------------------------

    @property
    def _saddle(self) -> bool:
        return self.job.binding is Binding.SADDLE

    @property
    def _stock(self) -> Stock:
        return self.cover.stock or self.job.guts.stock

    def _measures(self, spine: Spine) -> CoverMeasures:
        binder, cover, panel = self.job.bench.binder, self.cover, self.plan.leaf
        hinge = cover.hinge if cover.hinge is not None else (binder.hinge if binder else HINGE)
        if self._saddle:
            hinge = ZERO
        unit = self.job.unit
        if hinge >= panel.width:
            raise refuse(
                "hinge-too-wide",
                f"the hinge is {hinge.text(unit)} from the spine edge, the panel is only "
                f"{panel.width.text(unit)} wide",
                "choose a smaller hinge",
                (panel.width.text(unit), hinge.text(unit)),
            )
        return CoverMeasures(
            panel=panel,
            spine=spine.width,
            hinge=hinge,
            flap_front=cover.flap_front or ZERO,
            flap_back=cover.flap_back or ZERO,
        )

    def _printer(self) -> tuple[Printer | None, tuple[Finding, ...]]:
        """The job's printer, unless none of the cover's sheets goes through it."""
        printer = self.job.guts.printer
        if printer is None or printer.sheet_max is None or not self.cover.sheets:
            return printer, ()
        limit = printer.sheet_max
        least, most = sorted((limit.width, limit.height), key=lambda n: n.grains)
        for named in self.cover.sheets:
            short, long = sorted((named.size.width, named.size.height), key=lambda n: n.grains)
            if short <= least and long <= most:
                return printer, ()
        unit = self.job.unit
        note = Finding.note(
            "cover-printer",
            f"{printer.name} takes sheets up to {limit.text(unit)}; the cover's sheet, "
            f"{self.cover.sheets[0].name}, is larger: it is taken to be printed elsewhere, on "
            "the whole sheet and turned like a page of a book",
        )
        return None, (note,)

    def _upright(self, guts: GutsPaper) -> Upright:
        binder, cover = self.job.bench.binder, self.cover
        lay = cover.lay or self.job.guts.lay or (binder.lay if binder else "head")
        head, foot = self._traps()
        return Upright(
            lay=lay,
            head=guts.head + head,
            foot=guts.foot + foot,
            longer_than=ZERO if self._saddle else untrimmed_length(self.plan, guts),
        )

    def _traps(self) -> tuple[Length, Length]:
        """How much longer the cover should be at head and foot: only where there is glue."""
        binder = self.job.bench.binder
        if self._saddle:
            return ZERO, ZERO
        return (binder.glue_trap_head, binder.glue_trap_foot) if binder else (GLUE_TRAP, GLUE_TRAP)

    def _lay_out(
        self, measures: CoverMeasures, guts: GutsPaper, printer: Printer | None
    ) -> tuple[CoverLayout, tuple[Finding, ...]]:
        job, binder = self.job, self.job.bench.binder
        off = job.guts.trim_off
        if off is None:
            off = binder.trim_off if binder else USUAL_TRIM_OFF
        wish = SheetWish(
            sheets=self.cover.sheets or home_sheets(job.unit),
            printer=printer,
            flip=job.guts.flip,
            beyond=off,
        )
        layout = lay_out_cover(
            measures, self._upright(guts), wish, job.bound_at.mirrored, job.unit
        )
        if self.cover.sheets:
            return layout, ()
        note = Finding.note(
            "cover-sheet-assumed",
            f"no sheet is named for the cover; {layout.room.name} is the smallest usual one "
            "that takes it",
            hint='name yours: sheet = "..." in [cover]',
        )
        return layout, (note,)

    # -- lines and cuts --------------------------------------------------------------------

    def _sheet(self, layout: CoverLayout) -> Sheet:
        """Without its sides."""
        size, trim = layout.room.sheet, layout.trim
        ends = self._end_ids()
        lines = [
            Line(LineKind.CUT, "head", trim.x0, trim.y1, trim.x1, trim.y1),
            Line(LineKind.CUT, "foot", trim.x0, trim.y0, trim.x1, trim.y0),
            Line(LineKind.CUT, ends[0], trim.x0, trim.y0, trim.x0, trim.y1),
            Line(LineKind.CUT, ends[1], trim.x1, trim.y0, trim.x1, trim.y1),
        ]
        cuts = [
            line
            for line in lines
            if (ZERO < line.x0 < size.width if line.upright else ZERO < line.y0 < size.height)
        ]
        scored, _ = self._scored()
        kind = LineKind.SCORE if scored else LineKind.FOLD
        scores = [
            Line(kind, FOLD_ID if name == "fold" else name, x, ZERO, x, size.height)
            for name, x in sorted(layout.scores.items(), key=lambda item: item[1].grains)
        ]
        return Sheet(
            number=len(self.plan.sheets) + 1,
            size=size,
            turned=layout.room.turned,
            front=Side(()),
            back=Side(()),
            lines=(*cuts, *scores),
            folds=self._folds(layout),
            role="cover",
        )

    def _end_ids(self) -> tuple[str, str]:
        """The cuts at the left and right end of the open cover."""
        if not (self.cover.flap_front or self.cover.flap_back):
            return "fore-edge", "fore-edge"
        ends = "cover-back", "cover-front"
        return (ends[1], ends[0]) if self.job.bound_at.mirrored else ends

    def _scored(self) -> tuple[bool, str]:
        if self._saddle:
            return self.rules.scores_fold(self._stock)
        return True, ""

    def _folds(self, layout: CoverLayout) -> tuple[FoldStep, ...]:
        """A saddle cover is folded once, its outside out: the back panel goes under."""
        if not self._saddle:
            return ()
        moving = Edge.RIGHT if self.job.bound_at.mirrored else Edge.LEFT
        at = layout.scores["fold"]
        return (FoldStep(id=FOLD_ID, across=False, at=at, moving=moving, under=True),)

    def _cuts(self, sheet: Sheet, measures: CoverMeasures) -> tuple[Cut, ...]:
        """The plan's cuts, with those only the cover needs, and the fore-edge early for flaps."""
        known = {cut.id: cut for cut in self.plan.cuts}
        for line in sheet.lines:
            if line.kind is LineKind.CUT and line.of not in known:
                early = line.of in ENDS
                known[line.of] = Cut(
                    id=line.of,
                    when=When.BEFORE_BINDING if early else When.AFTER_BINDING,
                    side="fore-edge" if early else line.of,
                    title=ENDS.get(line.of, f"trim the {line.of}"),
                )
        fore = known.get("fore-edge")
        if measures.flaps and fore and not self.job.binding.folded:
            title = "trim the fore-edge of the guts, before the cover goes on"
            known["fore-edge"] = replace(fore, when=When.BEFORE_BINDING, title=title)
        return tuple(known.values())

    # -- facts ------------------------------------------------------------------------------

    def _facts(
        self, spine: Spine, measures: CoverMeasures, layout: CoverLayout, guts: GutsPaper
    ) -> CoverFacts:
        binder, size, trim = self.job.bench.binder, layout.room.sheet, layout.trim
        at_right = not self.job.bound_at.mirrored
        scores = layout.scores
        left, right = (trim.x0, trim.x1) if measures.flaps else (ZERO, size.width)
        front = scores.get("spine-front", scores.get("fold", ZERO))
        back = scores.get("spine-back", scores.get("fold", ZERO))
        traps = self._traps()
        scored, why = self._scored()
        return CoverFacts(
            sheet=len(self.plan.sheets) + 1,
            stock=_cover_stock(self._stock, size.landscape),
            spine=spine.facts,
            panel=measures.panel,
            paper=size,
            trim=trim,
            front_at_right=at_right,
            hinge=measures.hinge,
            front_distance=right - front if at_right else front - left,
            back_distance=back - left if at_right else right - back,
            head=size.height - trim.y1,
            foot=trim.y0,
            lay=self._upright(guts).lay if layout.at_lay else "centre",
            guts=guts,
            glue_trap_head=traps[0],
            glue_trap_foot=traps[1],
            glue_strip=ZERO if self._saddle else (binder.glue_strip if binder else GLUE_STRIP),
            flap_front=measures.flap_front,
            flap_back=measures.flap_back,
            cut_first=measures.flaps,
            scored=scored,
            why_scored=why,
        )


def _cover_stock(stock: Stock, landscape: bool) -> CoverStock:
    """Scores run up the sheet: along its short edge when it lies wide."""
    along = None if stock.grain is None else (stock.grain is Grain.SHORT) == landscape
    return CoverStock(
        name=stock.name,
        caliper=stock.caliper,
        estimated=stock.estimated,
        grammage=stock.grammage,
        grain=stock.grain.value if stock.grain else "",
        along=along,
    )
