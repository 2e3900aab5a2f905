"""From answers to a commented job file, and what is said of it before it is written."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from impose.cli.start_questions import ONE_SIDE, Answers
from impose.findings import page_ranges
from impose.geometry.box import Size
from impose.geometry.turning import Flip
from impose.model.job import Binding
from impose.plan.plan import Plan
from impose.reports.jobtext import Entry, Section, job_text, toml_string
from impose.units import Length, points_text

_NEAR: Final = Length.mm("0.5")
#: Single leaves whose spine lies on the edge of the paper, unless they are centred.
_ON_EDGE: Final = (Binding.PERFECT, Binding.STAB, Binding.PUNCHED)


def start_text(answers: Answers, target: Path, title: str) -> str:
    """The job file's text; paths are written as seen from its folder."""
    seen = answers.seen
    names = ", ".join(path.name for path in seen.files)
    opening = (
        f"Made by impose start from {names}: {seen.count} pages of {seen.size.text(answers.unit)}.",
        "Change what you like; a line that begins with # is only for you. Lengths need their "
        'unit: "3mm", "1/8in".',
        f"Then: impose make {target.name} --out print",
    )
    return job_text(opening, (_book(answers, target, title), _guts(answers)))


def _book(answers: Answers, target: Path, title: str) -> Section:
    entries = [
        Entry("title", toml_string(title), "Stands at the edge of every sheet and on the ticket."),
        Entry("pages", _pages(answers, target), _said_of_pages(answers)),
        *_trim(answers),
        *_fitting(answers),
        Entry("binding", toml_string(answers.binding.value), f"Why: {answers.why_bound}."),
        Entry("bound_at", toml_string(answers.bound_at), "left, right, or head."),
        Entry("units", toml_string(answers.unit)),
    ]
    if _outside(answers, target):
        entries.append(Entry("outside", "true", "The pages lie in another folder than this file."))
    if answers.copies > 1:
        entries.append(Entry("copies", str(answers.copies), "For the paper that is reckoned."))
    if answers.binding is Binding.SADDLE and answers.seen.count % 4:
        entries.append(
            Entry(
                "blanks",
                '"before last page"',
                f"{answers.seen.count} pages are no multiple of four: empty pages are added, "
                "before the last one, so that your last page stays on the back.",
            )
        )
    return Section("book", tuple(entries))


def _trim(answers: Answers) -> Iterator[Entry]:
    """A leaflet's is taken from its pages where they stay as they are: some are narrower."""
    as_it_is = answers.seen.size.near(answers.trim.size, _NEAR) and not answers.advice.bleed
    if answers.binding is not Binding.LEAFLET or not as_it_is:
        yield Entry("trim", toml_string(_size_text(answers)), _why_trim(answers))


def _guts(answers: Answers) -> Section:
    sheet = answers.sheet
    entries = [
        Entry("sheet", toml_string(_named(sheet.name, sheet.size, sheet.unit)),
              "The paper that goes into the printer."),
    ]  # fmt: skip
    if answers.panel.fold is not None:
        entries.append(Entry("fold", toml_string(answers.panel.fold.value), "How it is folded."))
    if answers.panel.panels is not None:
        why = "The strip has so many on a side."
        entries.append(Entry("panels", str(answers.panel.panels), why))
    if answers.printer_name:
        why = answers.printer.description if answers.printer else ""
        entries.append(
            Entry("printer", toml_string(answers.printer_name), f"Assumed of your printer: {why}")
        )
    if answers.printer_word == ONE_SIDE:
        why = "Fronts and backs become files of their own."
        entries.append(Entry("printing", '"one side at a time"', why))
    if answers.advice.bleed and answers.binding in _ON_EDGE:
        why = (
            "The pages lie in the middle of the sheet and are cut at the spine as well: no printer "
            "prints to the edge of the paper, and pictures reach the spine."
        )
        entries.append(Entry("place", '"centred"', why))
    if answers.advice.bleed and answers.seen.no_bleed:
        why = (
            "Pictures end at the edge of the page: their edge is drawn once more beyond it, so "
            "that no white line is left when the knife falls a little off."
        )
        entries.append(Entry("make_bleed", '"mirror"', why))
    return Section("guts", tuple(entries))


def _scaled_alone(plan: Plan) -> Iterator[str]:
    """Pages that are made to fit a panel of another size."""
    sizes: dict[str, list[int]] = {}
    for number, fit in enumerate(plan.pages, start=1):
        percent = f"{float(fit.scale):.0%}"
        if percent != "100%":
            sizes.setdefault(percent, []).append(number)
    for percent, pages in sizes.items():
        noun = "Page" if len(pages) == 1 else "Pages"
        verb = "is" if len(pages) == 1 else "are"
        yield f"{noun} {page_ranges(pages)} {verb} scaled to {percent}."


def scaled(answers: Answers) -> bool:
    """Every page is made smaller or larger."""
    near = answers.seen.size.near(answers.trim.size, _NEAR)
    return answers.fit in (None, "scale") and answers.advice.scale != 1 and not near


def _pages(answers: Answers, target: Path) -> str:
    return f"[{', '.join(_item(path, answers.spreads, target) for path in answers.seen.files)}]"


def _item(path: Path, spreads: str, target: Path) -> str:
    """Short where the short form says no more than a file's name."""
    name = toml_string(_relative(path, target))
    if spreads:
        return f"{{ file = {name}, spreads = {toml_string(spreads)} }}"
    if path.name == "blank" or name.endswith(']"'):
        return f"{{ file = {name} }}"
    return name


def _relative(path: Path, target: Path) -> str:
    """From the job file's folder, with slashes on every system."""
    return Path(os.path.relpath(path.resolve(), target.parent.resolve())).as_posix()


def _outside(answers: Answers, target: Path) -> bool:
    return any(_relative(path, target).startswith("..") for path in answers.seen.files)


def _said_of_pages(answers: Answers) -> str:
    seen = answers.seen
    words = f"{seen.count} pages."
    if answers.spreads:
        words += " Each page of the file is cut in two."
    if seen.at_edge:
        words += f" Pictures or colours reach the edge on {len(seen.at_edge)} of them."
    return words


def _size_text(answers: Answers) -> str:
    return _named(answers.trim.name, answers.trim.size, answers.trim.unit)


def _named(name: str, size: Size, unit: str) -> str:
    """A name, or figures each with its unit, as a job file wants them."""
    if not name[:1].isdigit() and " x " not in name:
        return name
    return f"{_plain(size.width, unit)} x {_plain(size.height, unit)}"


def _plain(length: Length, unit: str) -> str:
    """Exact: in points where the unit needs more digits than are written."""
    text = length.text(unit)
    return f"{points_text(length)}pt" if text.startswith("~") else text.replace(" ", "")


def _why_trim(answers: Answers) -> str:
    page, unit = answers.seen.size, answers.unit
    trim = answers.trim.size.text(unit)
    if answers.advice.bleed:
        return (
            f"The finished page, {trim}: a little smaller than the paper gives, so that pictures "
            "can run off the edge and be cut."
        )
    if page.near(answers.trim.size, _NEAR):
        return f"The finished page: as your pages are, {trim}."
    return (
        f"The finished page: {trim}. Your pages are {page.text(unit)}, and of these no two go "
        "beside each other on the paper."
        if answers.binding.folded
        else f"The finished page: {trim}. Your pages are {page.text(unit)}."
    )


def _fitting(answers: Answers) -> Iterator[Entry]:
    scale = answers.advice.scale
    if answers.fit == "centre":
        why = "A page of another size lies in the middle; what overhangs is cut off."
        yield Entry("fit", '"centre"', why)
    elif answers.fit == "":
        pass
    elif scaled(answers):
        why = f"Every page is scaled to {float(scale):.0%}; 100 % would need larger paper."
        yield Entry("fit", '"scale"', why)
    elif answers.fit == "scale" and not answers.seen.others:
        yield Entry("fit", '"scale"', "A page of another size than its place is scaled to it.")
    elif answers.seen.others:
        yield Entry("fit", '"scale"', f"{answers.seen.others} pages are of another size.")
    if answers.advice.bleed:
        yield Entry("bleed", toml_string(_plain(answers.advice.bleed, "mm")),
                    "Picture that is printed beyond the page and cut off.")  # fmt: skip


def told(plan: Plan, answers: Answers) -> Iterator[str]:
    """The proposal in a few lines: the book, the sheets, the reasons."""
    guts = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    first, trim = guts[0], plan.trim.text(plan.unit)
    bound = "read from the" if plan.panelled else "bound at the"
    yield f"The book: {plan.faces} pages of {trim}, {plan.binding}, {bound} {plan.bound_at.value}."
    yield f"  Why: {answers.why_bound}."
    yield _paper(plan, len(guts), answers)
    yield f"  Why: {_why_sheet(plan)}."
    order = plan.reading_order()
    empty = [number for number, page in enumerate(order, start=1) if page is None]
    if empty:
        yield f"Empty pages: {page_ranges(empty)}, because {_why_empty(answers)}."
    if scaled(answers):
        yield f"Your pages are scaled to {float(answers.advice.scale):.0%}."
    else:
        yield from _scaled_alone(plan)
    if plan.one_sided("guts"):
        yield "Printing: on one side, at actual size."
    elif answers.printer_word == ONE_SIDE:
        yield "Printing: one side at a time, at actual size; first all fronts, then all backs."
    else:
        flip = Flip.that_gives(first.turned, first.size).value
        yield f"Printing: on both sides, at actual size, turned over on the {flip}."


def _paper(plan: Plan, each: int, answers: Answers) -> str:
    count, size = each * answers.copies, plan.sheets[0].size.text(plan.unit)
    copies = f" for {answers.copies} copies, {each} for each" if answers.copies > 1 else ""
    return (
        f"Paper: {count} sheet{'s' if count > 1 else ''} of {answers.sheet.name} ({size}){copies}."
    )


def _why_sheet(plan: Plan) -> str:
    first = plan.sheets[0]
    up = len(first.front.placements)
    pages = "one page goes" if up == 1 else f"{up} pages go"
    return f"{pages} on each side of it, and {plan.faces} pages want {len(plan.sheets)} of them"


def _why_empty(answers: Answers) -> str:
    if answers.binding.folded:
        return "a folded sheet has four pages, or a multiple of four"
    if answers.binding is Binding.ONE_SHEET:
        return "one sheet folds to eight pages, or to sixteen"
    if answers.binding.panelled:
        return "every panel is a page"
    return "a leaf has two pages"
