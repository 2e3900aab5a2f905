"""From a job and the facts of its sources to a plan without marks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from impose.findings import Finding
from impose.geometry.box import Edges, Size
from impose.model.facts import BookPage
from impose.model.job import Binding, Job
from impose.plan.parts import Side
from impose.plan.plan import Plan
from impose.schemes.draft import Asked, Draft
from impose.schemes.fitting import fit_pages, page_size
from impose.schemes.folded import plan_folded
from impose.schemes.frenchfold import plan_french
from impose.schemes.loose import plan_loose
from impose.schemes.madebleed import NOTHING, ToMake
from impose.schemes.rooms import check_sheet_limits


def plan_sheets(
    job: Job,
    pages: Sequence[BookPage],
    faces: Sequence[int | None],
    files: Sequence[str],
    to_make: ToMake = NOTHING,
) -> Plan:
    """The plan of the guts, marks not yet drawn.

    `faces` name source pages (1-based) in reading order, None for a blank;
    `to_make` the sides of pages whose bleed is made (see `madebleed`).
    Raises JobError with every fault of the stage that failed.
    """
    trim, said = _trim(job, pages)
    fits, notes = fit_pages(pages, trim, job.fit, job.tolerance, job.unit)
    check_sheet_limits(job.guts)
    asked = Asked(job=job, trim=trim, fits=fits, faces=tuple(faces), to_make=to_make)
    draft = _draft(asked)
    return Plan(
        title=job.title,
        unit=job.unit,
        scheme=draft.scheme,
        binding=job.binding.value,
        bound_at=job.bound_at,
        trim=trim,
        pages=fits,
        files=tuple(files),
        faces=draft.faces,
        sheets=draft.sheets,
        cuts=draft.cuts,
        gathering=draft.gathering,
        creep=draft.creep,
        grind=asked.grind,
        mark_ink=_ink(job),
        findings=(
            *job.findings,
            *said,
            *notes,
            *draft.findings,
            *(() if to_make else _bleed(asked, pages)),
            *_unprinted(asked, draft),
        ),
    )


def _draft(asked: Asked) -> Draft:
    job = asked.job
    if job.guts.french_fold:
        return plan_french(asked)
    if job.binding.folded or (job.binding is Binding.PERFECT and job.guts.section_pages):
        return plan_folded(asked)
    return plan_loose(asked)


def _trim(job: Job, pages: Sequence[BookPage]) -> tuple[Size, tuple[Finding, ...]]:
    if job.trim is not None:
        return job.trim.size, ()
    known = {id(page.facts): page_size(page.facts, job.tolerance) for page in pages}
    sizes = Counter(known[id(page.facts)] for page in pages)
    size, count = sizes.most_common(1)[0]
    most = "all pages" if count == len(pages) else f"{count} of {len(pages)} pages"
    note = Finding.note(
        "trim-from-page",
        f"no trim size was given: taken from {most}, {size.text(job.unit)}",
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
    margins = printer.margins(sheet.size)
    front, back = (_reached(side, sheet.size, margins) for _, side in sheet.sides)
    if not sheet.back.placements:
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


def _reached(side: Side, size: Size, margins: Edges) -> str:
    """The edges where a trim lies nearer than what can be printed, in words."""
    trims = [p.trim for p in side.placements]
    if not trims:
        return ""
    gaps = (
        ("left", margins.left, min(trim.x0 for trim in trims)),
        ("right", margins.right, size.width - max(trim.x1 for trim in trims)),
        ("lower", margins.bottom, min(trim.y0 for trim in trims)),
        ("upper", margins.top, size.height - max(trim.y1 for trim in trims)),
    )
    return ", ".join(name for name, margin, gap in gaps if gap < margin)
