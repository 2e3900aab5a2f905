"""Pictures: resolution at the printed size, and the colours they are stored in.

Below 150 dots to the inch a picture looks soft, below 100 its dots show; line
art of one bit a dot needs 600 (common practice; 300 and 600 to 1200 are what is
usually asked for).  All are settings.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.checks.words import book_pages, file_of, measured_size, where_text
from impose.findings import Finding, Severity
from impose.model.checklimits import CheckLimits
from impose.model.job import Job
from impose.model.looks import InkSpace, PageLook, PictureLook
from impose.plan.plan import Plan
from impose.units import Length

#: Smaller pictures are ornaments, icons, bullets.
_SMALL: Final = Length.mm(8)


@dataclass(frozen=True, slots=True)
class _Coarse:
    page: int
    picture: PictureLook
    scale: Fraction
    dots: int


def check_pictures(
    plan: Plan,
    job: Job,
    looks: Sequence[PageLook],
) -> tuple[Finding, ...]:
    """Too coarse, and RGB on a press job."""
    limits = job.limits
    coarse: dict[str, list[_Coarse]] = {}
    for one in _dots(plan, looks):
        code = _judge(one, limits)
        if code:
            coarse.setdefault(code, []).append(one)
    found = [_say_coarse(code, ones, plan, job, limits) for code, ones in coarse.items()]
    return (*found, *_rgb(plan, job, looks))


def _dots(plan: Plan, looks: Sequence[PageLook]) -> Iterator[_Coarse]:
    for page, (fit, look) in enumerate(zip(plan.pages, looks, strict=True), start=1):
        for picture in look.pictures:
            size = picture.size
            if min(size.width, size.height) * fit.scale < _SMALL:
                continue
            dots = min(
                picture.across / (size.width.as_inches * fit.scale),
                picture.down / (size.height.as_inches * fit.scale),
            )
            yield _Coarse(page, picture, fit.scale, int(dots))


def _judge(one: _Coarse, limits: CheckLimits) -> str:
    if min(one.picture.across, one.picture.down) <= 2:
        return ""  # a shading drawn as a picture of a few dots
    if one.picture.line_art:
        return "line-art-coarse" if one.dots < limits.line_art else ""
    if one.dots < limits.coarse:
        return "picture-coarse"
    return "picture-soft" if one.dots < limits.soft else ""


def _say_coarse(
    code: str, ones: Sequence[_Coarse], plan: Plan, job: Job, limits: CheckLimits
) -> Finding:
    worst = min(ones, key=lambda one: one.dots)
    limit = {"picture-soft": limits.soft, "picture-coarse": limits.coarse}.get(
        code, limits.line_art
    )
    pages = tuple(sorted({one.page for one in ones}))
    box = worst.picture.box
    what = measured_size(box.width * worst.scale, box.height * worst.scale, job.unit)
    looks = {
        "picture-soft": "it will look soft",
        "picture-coarse": "its dots will show",
        "line-art-coarse": "its edges will look ragged",
    }[code]
    count = "picture" if len(ones) == 1 else f"{len(ones)} pictures, the coarsest"
    return Finding(
        severity=Severity.NOTE if code == "line-art-coarse" else Severity.WARNING,
        code=code,
        message=f"{count} {what} on {where_text(pages, plan)}: {worst.dots} dots to the inch as "
        f"printed, below {limit}: {looks}",
        hint="place a picture with more pixels, or print it smaller",
        file=file_of(plan, pages),
        pages=book_pages(pages, plan),
        numbers={
            "dots": worst.dots,
            "limit": limit,
            "pictures": len(ones),
            "nearest_page": worst.page,
            "box": box.text("pt"),
        },
    )


def _rgb(plan: Plan, job: Job, looks: Iterable[PageLook]) -> tuple[Finding, ...]:
    """Office printers want RGB; a press separates it by a profile nobody here knows."""
    printer = job.guts.printer
    if printer is None or not printer.press:
        return ()
    pages = tuple(
        page
        for page, look in enumerate(looks, start=1)
        if any(picture.space is InkSpace.RGB for picture in look.pictures)
    )
    if not pages:
        return ()
    return (
        Finding(
            severity=Severity.WARNING,
            code="picture-rgb",
            message=f"pictures in RGB on {where_text(pages, plan)}: {printer.name} prints process "
            "colours, and they will be changed",
            hint="ask the print room whether it converts them, or convert them to CMYK",
            file=file_of(plan, pages),
            pages=book_pages(pages, plan),
            numbers={"pages": len(pages)},
        ),
    )
