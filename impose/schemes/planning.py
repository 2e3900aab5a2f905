"""From a job and the facts of its sources to a plan without marks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import Edge, spine_edge
from impose.model.facts import BookPage
from impose.model.job import Binding, Job, MakeBleed
from impose.model.leafkinds import AS_THE_REST, LeafWish
from impose.model.presswork import held_in
from impose.plan.plan import Plan
from impose.plan.printfacts import print_facts
from impose.schemes.concertina import plan_concertina
from impose.schemes.draft import USUAL_BLEED, Asked, Draft, refuse
from impose.schemes.fitting import Fitting, fit_pages, page_size
from impose.schemes.flat import plan_flat
from impose.schemes.flatitems import flat_pages
from impose.schemes.folded import plan_folded
from impose.schemes.frenchfold import plan_french
from impose.schemes.insetpages import Parted, Run, own_sizes, part_book
from impose.schemes.insets import add_insets
from impose.schemes.leaflet import fit_leaflet, leaflet_trim, plan_leaflet
from impose.schemes.leaves import Book
from impose.schemes.loose import plan_loose
from impose.schemes.madebleed import NOTHING, ToMake
from impose.schemes.onesheet import booklet_trim, plan_one_sheet
from impose.schemes.onsheet import on_sheet_notes
from impose.schemes.pagesizes import taken_from
from impose.schemes.panelcounts import refuse_too_many
from impose.schemes.pressroom import (
    copies_on,
    press_facts,
    press_findings,
    printed_draft,
    refuse_with_insets,
    work_of,
)
from impose.schemes.rooms import check_sheet_limits


def plan_sheets(
    job: Job,
    pages: Sequence[BookPage],
    faces: Sequence[int | None],
    files: Sequence[str],
    to_make: ToMake = NOTHING,
    wishes: Sequence[LeafWish] = (),
) -> Plan:
    """The plan of the guts and of what is put into them, marks not yet drawn.

    `faces` name source pages (1-based) in reading order, None for a blank;
    `to_make` the sides of pages whose bleed is made (see `madebleed`); `wishes`
    say of each face how its leaf is made, none: all alike.
    Raises JobError with every fault of the stage that failed.
    """
    wishes = tuple(wishes) or (AS_THE_REST,) * len(faces)
    book = Book(tuple(pages), tuple(faces), wishes)
    planner = _Planner(job, book, part_book(job, book), tuple(files), to_make)
    plan = planner.plan({})
    wrong = planner.turned_over(plan)
    return planner.plan(wrong) if wrong else plan


def comparable(
    job: Job,
    pages: Sequence[BookPage],
    faces: Sequence[int | None],
    wishes: Sequence[LeafWish] = (),
) -> Asked:
    """What the schemes are asked for, before any sheet is chosen: the leaves that are made
    together; what is put in between them is made on sheets of its own.

    Whether bleed will be made is only known when the pages are looked at, so room is kept
    for it wherever the job would make it.  Raises JobError for pages that are not of trim
    size.
    """
    job = with_room_for_bleed(job)
    wishes = tuple(wishes) or (AS_THE_REST,) * len(faces)
    book = Book(tuple(pages), tuple(faces), wishes)
    return _Planner(job, book, part_book(job, book), (), NOTHING).asked({})[0]


def with_room_for_bleed(job: Job) -> Job:
    """Bleed that may be made is asked for, so that room is kept for it."""
    guts = job.guts
    if guts.bleed is None and guts.make_bleed is not MakeBleed.AS_SUPPLIED:
        return replace(job, guts=replace(guts, bleed=USUAL_BLEED))
    return job


def plan_flat_work(
    job: Job, book: Book, runs: Sequence[int], files: Sequence[str], to_make: ToMake = NOTHING
) -> Plan:
    """The sheets of flat work, marks not yet drawn; `runs` are the counts of faces of the
    job's page items.  Raises JobError with every fault of the stage that failed."""
    flat = flat_pages(job, book, runs, to_make)
    check_sheet_limits(job.guts)
    asked = Asked(
        job=job, trim=flat.items[0].trim, fits=flat.fits, faces=book.faces, to_make=to_make
    )
    draft = plan_flat(asked, flat.items)
    return replace(
        _plan_of(asked, draft, tuple(files)),
        findings=(
            *job.findings,
            *flat.findings,
            *draft.findings,
            *(() if to_make else _bleed(asked, book.pages)),
            *_unprinted(asked, draft),
        ),
    )


@dataclass(frozen=True, slots=True)
class _Planner:
    """One book; planned again when blanks moved pages that are set at the spine."""

    job: Job
    book: Book
    parted: Parted
    files: tuple[str, ...]
    to_make: ToMake

    def asked(
        self, spines: Mapping[int, Edge]
    ) -> tuple[Asked, tuple[Finding, ...], dict[int, Size]]:
        """What the schemes work from, what is said of trim and pages, and the sizes of leaves
        of their own width."""
        job, pages, parted = self.job, self.book.pages, self.parted
        refuse_too_many(job, len(parted.faces))
        trim, said = trim_of(job, self._usual_pages())
        sizes = own_sizes(job, trim, pages, parted.runs, fore_edge=not job.guts.french_fold)
        fitting = Fitting(
            trim=trim,
            mode=job.fit,
            tolerance=job.tolerance,
            unit=job.unit,
            own=sizes,
            spines=spines or self._first_spines(),
            panels=job.binding.panelled,
        )
        if job.binding is Binding.LEAFLET:
            fits, notes = fit_leaflet(job, pages, parted.faces)
        else:
            fits, notes = fit_pages(pages, fitting)
        asked = Asked(
            job=job,
            trim=trim,
            fits=fits,
            faces=parted.faces,
            to_make=self.to_make,
            wishes=parted.wishes,
        )
        return asked, (*said, *parted.findings, *notes), sizes

    def plan(self, spines: Mapping[int, Edge]) -> Plan:
        """`spines`: where the bound edge of a page is, when its place in the book is known."""
        job, pages, parted = self.job, self.book.pages, self.parted
        asked, said, sizes = self.asked(spines)
        limited = check_sheet_limits(job.guts)
        if parted.runs:
            refuse_with_insets(job)
        draft = printed_draft(asked, lambda one: draft_of(one, pages))
        copies = copies_on(draft.sheets, draft.faces)
        plan = _plan_of(asked, draft, self.files)
        runs = _placed_runs(asked, draft, parted.runs)
        plan = add_insets(plan, asked, runs, sizes)
        return replace(
            plan,
            findings=(
                *job.findings,
                *said,
                *limited,
                *draft.findings,
                *plan.findings,
                *(() if self.to_make else _bleed(asked, pages)),
                *_unprinted(asked, draft),
                *on_sheet_notes(asked, draft),
                *press_findings(job, draft, copies),
            ),
        )

    def _usual_pages(self) -> list[BookPage]:
        """Those that a trim may be taken from: not on leaves of their own width."""
        own = {page for run in self.parted.runs if run.wish.kind.own_width for page in run.faces}
        numbered = enumerate(self.book.pages, start=1)
        return [page for number, page in numbered if number not in own] or list(self.book.pages)

    def _first_spines(self) -> dict[int, Edge]:
        """As long as no blanks are added."""
        order = enumerate(self.book.faces, start=1)
        return {page: self._spine(at) for at, page in order if page is not None and self._set(page)}

    def turned_over(self, plan: Plan) -> dict[int, Edge]:
        """The bound edge of the pages that are set at a side, where the plan has one of them
        on the other side of its leaf."""
        before = self._first_spines()
        if not before:
            return {}
        order = enumerate(plan.reading_order(), start=1)
        found = {p: self._spine(at) for at, p in order if p in before and p is not None}
        return found if found != before else {}

    def _spine(self, position: int) -> Edge:
        bound_at = self.job.bound_at
        return spine_edge(position % 2 == 1, bound_at).turned(360 - bound_at.art_turn)

    def _set(self, page: int) -> bool:
        return not self.book.pages[page - 1].rule.align.isdisjoint({"spine", "fore-edge"})


def _plan_of(asked: Asked, draft: Draft, files: tuple[str, ...]) -> Plan:
    """The guts that are made together."""
    job = asked.job
    return Plan(
        title=job.title,
        unit=job.unit,
        scheme=draft.scheme,
        binding=job.binding.value,
        bound_at=job.bound_at,
        trim=asked.trim,
        pages=asked.fits,
        files=files,
        faces=draft.faces,
        sheets=draft.sheets,
        cuts=draft.cuts,
        gathering=draft.gathering,
        creep=draft.creep,
        grind=asked.grind,
        mark_ink=_ink(job),
        items=draft.items,
        two_up=job.guts.two_up.value if job.guts.two_up else "",
        press=press_facts(job, draft),
        condition=print_facts(job.conditions),
    )


def _placed_runs(asked: Asked, draft: Draft, runs: Sequence[Run]) -> list[Run]:
    """The runs where they lie after blanks were added to the other pages.

    Raises JobError when one would fall between the two pages of a leaf.
    """
    if not runs:
        return []
    added = draft.faces - len(asked.faces)
    before = asked.job.blanks_at.before
    pages = [face for face in asked.faces if face is not None]
    where = len(asked.faces)
    if before is not None and added:
        where = asked.faces.index(pages[-1] if before == -1 else before)
    moved = []
    for run in runs:
        off = added if run.before > where else 0
        if off % 2:
            names = [face for face in run.faces if face is not None]
            raise refuse(
                "inset-place",
                f"{off} blank pages before page {asked.faces[where]} would put the leaf of "
                f"page {names[0] if names else '?'} between the two sides of another",
                'leave blanks at the end, or write them into pages as "blank"',
            )
        moved.append(replace(run, before=run.before + off, after=run.after + off))
    return moved


def draft_of(asked: Asked, pages: Sequence[BookPage] = ()) -> Draft:
    """The sheets by the scheme that the job asks for; `pages` are looked at for leaflets alone."""
    job = asked.job
    if job.binding is Binding.ONE_SHEET:
        return plan_one_sheet(asked)
    if job.binding is Binding.CONCERTINA:
        return plan_concertina(asked)
    if job.binding is Binding.LEAFLET:
        return plan_leaflet(asked, pages)
    if job.guts.french_fold:
        return plan_french(asked)
    if job.binding.folded or (job.binding is Binding.PERFECT and job.guts.section_pages):
        return plan_folded(asked)
    return plan_loose(asked)


def trim_of(job: Job, pages: Sequence[BookPage]) -> tuple[Size, tuple[Finding, ...]]:
    """As the job says, else the size that most pages have, which is noted."""
    if job.binding is Binding.ONE_SHEET:
        return booklet_trim(job, pages)
    if job.binding is Binding.LEAFLET:
        return leaflet_trim(job, pages)
    if job.trim is not None:
        return job.trim.size, ()
    known = {id(page.facts): page_size(page.facts, job.tolerance) for page in pages}
    sizes = Counter(known[id(page.facts)] for page in pages)
    found, count = sizes.most_common(1)[0]
    size, words = taken_from(job, found)
    most = "all pages" if count == len(pages) else f"{count} of {len(pages)} pages"
    note = Finding.note(
        "trim-from-page",
        f"no trim size was given: taken from {most}, {words}",
        hint="name it (trim, --trim) to be sure",
        trim=size.text(job.unit),
    )
    return size, (note,)


def _ink(job: Job) -> str:
    printer = job.guts.printer
    return "registration" if printer and printer.registration_ink else "black"


def _bleed(asked: Asked, pages: Sequence[BookPage]) -> tuple[Finding, ...]:
    """Bleed that was asked for and that pages do not have."""
    wanted, unit = asked.job.guts.bleed, asked.job.unit
    if not wanted:
        return ()
    short = [
        index
        for index, fit in enumerate(asked.fits, start=1)
        if min(fit.supplied.left, fit.supplied.right, fit.supplied.bottom, fit.supplied.top)
        < wanted
    ]
    if not short:
        return ()
    edges = [asked.fits[i - 1].supplied for i in short]
    least = min(min(e.left, e.right, e.bottom, e.top) for e in edges)
    return (
        Finding.warning(
            "bleed-missing",
            f"a bleed of {wanted.text(unit)} is asked for; {len(short)} of {len(pages)} pages "
            f"have less, the least is {least.text(unit)}",
            hint="art that should run off the page needs to reach beyond the trim",
            pages=short,
            asked=wanted.text(unit),
            least=least.text(unit),
        ),
    )


def _unprinted(asked: Asked, draft: Draft) -> tuple[Finding, ...]:
    """Trims that reach into what the printer leaves white, on either side of the sheet."""
    printer, unit = asked.job.guts.printer, asked.job.unit
    if printer is None or not draft.sheets:
        return ()
    sheet = draft.sheets[0]
    margins = held_in(work_of(sheet, asked.job), printer).margins(sheet.size)
    fronts, backs = _alike(draft)
    front, back = (_reached(one, sheet.size, margins) for one in (fronts, backs))
    if not backs:
        back = front
    if not front and not back:
        return ()
    if front == back:
        where = f"the {front} edge of the sheet"
    else:
        sides = (("front", front), ("back", back))
        where = " and ".join(f"the {at} edge of its {name}" for name, at in sides if at)
    widest = max(margins.left, margins.right, margins.bottom, margins.top)
    return (
        Finding.note(
            "unprintable-margin",
            f"pages reach into the margin that {printer.name} cannot print (up to "
            f"{widest.text(unit)}) at {where}: what is there stays white",
            hint="keep art out of it, use a larger sheet, or a printer with smaller margins",
        ),
    )


def _alike(draft: Draft) -> tuple[list[Box], list[Box]]:
    """The trims on the fronts and on the backs: of the first sheet, or of every layout of
    flat work."""
    sheets = draft.sheets if draft.items else draft.sheets[:1]
    fronts = [p.trim for sheet in sheets for p in sheet.front.placements]
    return fronts, [p.trim for sheet in sheets for p in sheet.back.placements]


def _reached(trims: Sequence[Box], size: Size, margins: Edges) -> str:
    """The edges where a trim lies nearer than what can be printed, in words."""
    if not trims:
        return ""
    gaps = (
        ("left", margins.left, min(trim.x0 for trim in trims)),
        ("right", margins.right, size.width - max(trim.x1 for trim in trims)),
        ("lower", margins.bottom, min(trim.y0 for trim in trims)),
        ("upper", margins.top, size.height - max(trim.y1 for trim in trims)),
    )
    return ", ".join(name for name, margin, gap in gaps if gap < margin)
