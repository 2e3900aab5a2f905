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

from impose.findings import Finding
from impose.model.facts import BookPage
from impose.model.job import Binding, Cover, Job
from impose.model.machines import GLUE_STRIP, GLUE_TRAP, HINGE
from impose.model.stock import Grain, Stock
from impose.plan.coverfacts import CoverFacts, CoverStock, GutsPaper
from impose.plan.coverpieces import CoverPieces
from impose.plan.parts import Cut, Side, When
from impose.plan.plan import Plan
from impose.schemes.coverart import art_pages, refuse
from impose.schemes.coverchecks import check_cover
from impose.schemes.coverlayout import (
    CoverLayout,
    CoverMeasures,
    SheetWish,
    Upright,
    best_layout,
)
from impose.schemes.coverlines import CoverLies, bare_sheet, cover_cuts
from impose.schemes.coverpieces import StepAsk, no_room, piece_wish, step_layout
from impose.schemes.coverrepeat import cover_pieces
from impose.schemes.coverrules import CoverRules, cover_rules
from impose.schemes.coversheets import (
    assumed_sheet,
    home_sheets,
    no_sheet,
    printed_elsewhere,
    takes,
)
from impose.schemes.coversides import CoverArtist
from impose.schemes.draft import USUAL_TRIM_OFF
from impose.schemes.gutspaper import guts_paper, untrimmed_length
from impose.schemes.rooms import Room
from impose.schemes.spine import Spine, spine_of
from impose.units import ZERO, Length


def add_cover(plan: Plan, job: Job, art: Sequence[BookPage]) -> Plan:
    """The plan with the cover's sheet, its facts and findings; no marks, no score steps.

    `art` are the pages of `job.cover.art.items`, then of `job.cover.inside.items`,
    whose files `plan.files` has already.  A job without a cover of its own is
    given back as it is.  Raises JobError when no sheet takes the open cover, or
    a hinge has no room.
    """
    cover = job.cover
    if cover is None or not cover.separate:
        return plan
    return _CoverMaker(plan, job, cover, cover_rules(cover)).add(art)


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
        layout, notes, pieces = self._lay_out(measures, guts)
        scored, _ = self._scored()
        lies = CoverLies(
            saddle=self._saddle,
            scored=scored,
            flaps=self._ends_first(measures),
            mirrored=self.job.bound_at.mirrored,
        )
        sheet = bare_sheet(layout, lies, len(plan.sheets) + 1)
        pages = art_pages(self.cover, art, len(plan.pages) + 1)
        artist = CoverArtist(plan, self.job, measures, layout, pages)
        outside = Side(artist.side(False), fills=artist.fills())
        sheet = replace(sheet, front=outside, back=Side(artist.side(True)))
        facts = self._facts(spine, measures, layout, guts)
        if pieces is not None:
            facts = replace(
                facts, stock=_cover_stock(self._stock, pieces.sheet.landscape), pieces=pieces
            )
        found = (
            *notes,
            *spine.findings,
            *artist.findings(),
            *artist.short_bleed(),
            *check_cover(plan, self.job, facts, layout, self.rules),
        )
        cuts = cover_cuts(plan.cuts, sheet, measures.flaps and not self.job.binding.folded)
        return replace(
            plan,
            pages=(*plan.pages, *artist.fits),
            sheets=(*plan.sheets, sheet),
            cuts=cuts,
            cover=facts,
            findings=(*_cut_with_cover(plan, cuts), *found),
        )

    # -- what is asked ------------------------------------------------------------------

    @property
    def _saddle(self) -> bool:
        return self.job.binding is Binding.SADDLE

    @property
    def _stock(self) -> Stock:
        return self.cover.stock or self.job.guts.stock

    def _glue_strip(self) -> Length:
        """Of covers that are glued on: those of stab and punched books are held with the block."""
        if self._saddle or self.job.binding in (Binding.STAB, Binding.PUNCHED):
            return ZERO
        return self.job.bench.binder.glue_strip if self.job.bench.binder else GLUE_STRIP

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

    def _upright(self, guts: GutsPaper) -> Upright:
        binder, cover = self.job.bench.binder, self.cover
        lay = cover.lay or self.job.guts.lay or (binder.lay if binder else "head")
        head, foot = self._traps()
        # A folded cover is jogged with its guts; where they are not cut, it alone falls away.
        least = self._trim_off if self._saddle else ZERO
        return Upright(
            lay=lay,
            head=guts.head + head or least,
            foot=guts.foot + foot or least,
            longer_than=ZERO if self._saddle else untrimmed_length(self.plan, guts),
        )

    @property
    def _trim_off(self) -> Length:
        """The paper wanted beyond the trim for the last cuts."""
        if self.job.guts.trim_off is not None:
            return self.job.guts.trim_off
        binder = self.job.bench.binder
        return binder.trim_off if binder else USUAL_TRIM_OFF

    def _traps(self) -> tuple[Length, Length]:
        """How much longer the cover should be at head and foot: only where there is glue."""
        binder = self.job.bench.binder
        if self._saddle:
            return ZERO, ZERO
        return (binder.glue_trap_head, binder.glue_trap_foot) if binder else (GLUE_TRAP, GLUE_TRAP)

    def _lay_out(
        self, measures: CoverMeasures, guts: GutsPaper
    ) -> tuple[CoverLayout, tuple[Finding, ...], CoverPieces | None]:
        """On a sheet that the job's printer takes, else on one printed elsewhere; with several
        covers on it, one on its piece and where the pieces lie."""
        job, printer = self.job, self.job.guts.printer
        sheets = self.cover.sheets or home_sheets(job.unit)
        wish = SheetWish(sheets=sheets, printer=printer, flip=job.guts.flip, beyond=self._trim_off)
        upright, mirrored = self._upright(guts), job.bound_at.mirrored
        taken = tuple(sheet for sheet in sheets if takes(printer, sheet.size))
        others = tuple(sheet for sheet in sheets if sheet not in taken)
        here = replace(wish, sheets=taken)
        elsewhere = replace(wish, sheets=others, printer=None)
        several = piece_wish(job)
        if several is not None:
            ask = StepAsk(
                measures=measures, upright=upright, wish=wish, mirrored=mirrored, pieces=several
            )
            stepped = step_layout(replace(ask, wish=here))
            stepped = stepped or step_layout(replace(ask, wish=elsewhere))
            if stepped is None:
                raise no_room(ask, job.unit)
            notes = self._said(stepped.room)
            return stepped.layout, notes, cover_pieces(stepped, self.plan, job)
        layout = best_layout(measures, upright, here, mirrored)
        if layout is None:
            layout = best_layout(measures, upright, elsewhere, mirrored)
        if layout is None:
            raise no_sheet(measures, wish, job.unit)
        return layout, self._said(layout.room), None

    def _said(self, room: Room) -> tuple[Finding, ...]:
        """Notes on the sheet."""
        notes = printed_elsewhere(self.job.guts.printer, room, self.job.unit)
        return notes if self.cover.sheets else (*notes, assumed_sheet(room))

    def _ends_first(self, measures: CoverMeasures) -> bool:
        """The cover's ends cannot be trimmed with the guts: flaps, or a fold at the fore-edge."""
        return measures.flaps or self.plan.french

    def _scored(self) -> tuple[bool, str]:
        if self._saddle:
            return self.rules.scores_fold(self._stock)
        return True, ""

    # -- facts ------------------------------------------------------------------------------

    def _facts(
        self, spine: Spine, measures: CoverMeasures, layout: CoverLayout, guts: GutsPaper
    ) -> CoverFacts:
        size, trim = layout.room.sheet, layout.trim
        at_right = not self.job.bound_at.mirrored
        scores = layout.scores
        first = self._ends_first(measures)
        left, right = (trim.x0, trim.x1) if first else (ZERO, size.width)
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
            glue_strip=self._glue_strip(),
            flap_front=measures.flap_front,
            flap_back=measures.flap_back,
            cut_first=first,
            scored=scored,
            why_scored=why,
        )


def _cut_with_cover(plan: Plan, cuts: Sequence[Cut]) -> tuple[Finding, ...]:
    """The plan's findings; what is not cut of the guts may be cut of the cover."""
    known = {cut.id for cut in plan.cuts}
    sides = [cut.side for cut in cuts if cut.id not in known and cut.when is When.AFTER_BINDING]
    if not sides:
        return plan.findings
    more = f"; the last cuts at {' and '.join(sides)} take the cover alone"
    return tuple(
        replace(found, message=found.message + more) if found.code == "no-cut" else found
        for found in plan.findings
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
