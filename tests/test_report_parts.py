"""The parts of the report: pages chosen, what is marked on them, words made harmless."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from impose.cli.main import run
from impose.findings import Finding, Severity
from impose.geometry.box import Box
from impose.plan.parts import Side
from impose.plan.plan import Plan
from impose.plan.wire import from_text
from impose.reports.html_words import escaped_words, seen_words
from impose.reports.page_choice import A_FINDING, PAGES, box_from, choose_pages
from impose.reports.page_svg import Picture
from impose.reports.page_views import PageView, View
from impose.reports.report_findings import finding_rows
from impose.reports.report_html import Given, report_html
from impose.reports.report_pictures import BUDGET, within_budget
from impose.reports.report_sheets import DRAWN, guts_views
from impose.units import ZERO, Length

SVG = "{http://www.w3.org/2000/svg}"


def told(pages: list[int], severity: Severity = Severity.WARNING, **more: str | int) -> Finding:
    numbers: Mapping[str, str | int] = more
    return Finding(
        severity=severity,
        code="may-be-cut",
        message=f"told of {len(pages)}",
        pages=tuple(pages),
        side="foot",
        numbers=numbers,
    )


# -- which pages -----------------------------------------------------------------------


def test_a_box_written_in_a_finding_is_read_again() -> None:
    box = Box(Length.points("1.5"), Length.points(-2), Length.points(30), Length.points("4.125"))
    assert box_from(box.text("pt")) == box
    rounded = box_from(replace(box, x0=Length.points("1.50049")).text("pt"))
    assert rounded is not None and rounded.x0 == Length.points("1.5")
    assert box_from("somewhere") is None


def test_the_nearest_page_comes_first_and_a_finding_has_few_pictures() -> None:
    where = Box(Length.points(1), Length.points(2), Length.points(3), Length.points(4)).text("pt")
    chosen = choose_pages([told(list(range(1, 101)), nearest_page=42, box=where)], 100)
    assert [one.page for one in chosen] == [1, 42, 100]
    boxes = {one.page: one.pointers[0].box for one in chosen}
    assert boxes[42] is not None and boxes[1] is None and boxes[100] is None


def test_every_finding_has_a_picture_before_any_has_a_second() -> None:
    findings = [told([n, 1000 + n, 2000 + n]) for n in range(1, PAGES)]
    chosen = choose_pages(findings, 3000)
    assert len(chosen) == PAGES
    assert {one.page for one in chosen} >= set(range(1, PAGES))


def test_notes_without_a_thing_and_pages_that_do_not_exist_are_not_pictured() -> None:
    assert choose_pages([told([1, 2], Severity.NOTE), told([7], nearest_page=7)], 6) == ()


def test_a_page_of_many_findings_is_pictured_once_with_all_their_numbers() -> None:
    chosen = choose_pages([told([3]), told([3]), told([3, 4])], 4)
    assert [[p.finding for p in one.pointers] for one in chosen] == [[1, 2, 3], [3]]


# -- what is marked --------------------------------------------------------------------

_PLACES = """
[book]
title = "Places"
pages = ["places.pdf"]
trim = "100mm x 150mm"
binding = "saddle"
bound_at = "{bound}"

[guts]
sheet = "a4"
stock = {{ grammage = "90gsm", caliper = "0.1mm" }}
"""
_MM = 72 / 25.4


@pytest.mark.parametrize(("bound", "rotate"), [("left", 0), ("right", 90), ("left", 180)])
def test_the_ring_lies_round_the_thing_and_the_bar_at_its_side(
    bound: str, rotate: int, tmp_path: Path
) -> None:
    """A square 1.5 mm from the foot of page 3, 60 mm from its left edge."""
    _places(tmp_path, rotate)
    (tmp_path / "job.toml").write_text(_PLACES.format(bound=bound))
    out = tmp_path / "made"
    run(["make", str(tmp_path / "job.toml"), "--only", "report,plan", "--out", str(out), "--quiet"])
    html = (out / "report.html").read_text("utf-8")
    page = _svg(html.partition('<figure id="page-3"')[2])
    ring, bar, trim = (_box(page, kind) for kind in ("ring", "risk", "trimline"))
    # Down the drawing: the square's foot is 1.5 mm above the trim, the ring 1.2 mm round it.
    assert (trim[3] - ring[3]) / _MM == pytest.approx(1.5 - 1.2, abs=0.15)
    assert (ring[0] - trim[0]) / _MM == pytest.approx(60 - 1.2, abs=0.15)
    assert bar[3] == pytest.approx(trim[3], abs=0.02)
    assert bar[2] - bar[0] == pytest.approx(trim[2] - trim[0], abs=0.02)
    assert bar[3] - bar[1] == pytest.approx(72 / 8, abs=0.02), "1/8 in is the safe distance"
    assert page.find(f".//{SVG}image") is not None
    close = _svg(html.partition('<figure class="close">')[2])
    words = [one.text for one in close.iter(f"{SVG}text")]
    assert words == ["1.5 mm"]
    assert close.find(f".//{SVG}image") is not None
    _box(close, "trimline"), _box(close, "ring")


def _places(folder: Path, rotate: int) -> None:
    """Eight pages, upright as read whatever their /Rotate; a number too low on the third."""
    wide, high = 100 * _MM, 150 * _MM
    canvas = Canvas(str(folder / "places.pdf"), (wide, high))  # it turns the MediaBox itself
    for number in range(1, 9):
        canvas.setPageRotation(rotate)
        if rotate == 90:
            canvas.translate(high, 0)
        elif rotate == 180:
            canvas.translate(wide, high)
        canvas.rotate(rotate)
        canvas.drawString(30 * _MM, 80 * _MM, f"the words of page {number}")
        if number == 3:
            canvas.rect(60 * _MM, 1.5 * _MM, 5 * _MM, 5 * _MM, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()


def _svg(html: str) -> ElementTree.Element:
    start = html.index("<svg")
    return ElementTree.fromstring(html[start : html.index("</svg>") + len("</svg>")])


def _box(svg: ElementTree.Element, kind: str) -> tuple[float, float, float, float]:
    """The only rectangle of that kind: left, top, right, bottom of the drawing."""
    (rect,) = [one for one in svg.iter(f"{SVG}rect") if one.get("class") == kind]
    x, y, wide, high = (float(rect.get(name, "")) for name in ("x", "y", "width", "height"))
    return x, y, x + wide, y + high


# -- words -----------------------------------------------------------------------------


def test_controls_and_turned_writing_are_shown_as_what_they_are_not() -> None:
    assert seen_words("plain <b> text") == "plain <b> text"
    assert seen_words("a\u202egnp.exe") == "a\ufffdgnp.exe"
    assert seen_words("bell\x07 del\x7f csi\x9b half\udc80 none\uffff") == (
        "bell\ufffd del\ufffd csi\ufffd half\ufffd none\ufffd"
    )
    assert seen_words("one\ntwo\u2028three") == "one two three"
    assert seen_words("שלום שנים 家族 👩\u200d🚀") == "שלום שנים 家族 👩\u200d🚀"
    assert escaped_words("</svg>\u2067") == "&lt;/svg&gt;\ufffd"


HOSTILE = "\"'><script>alert(1)</script>\u202e\x00\udcff & co"


def test_a_hostile_title_file_and_message_stay_words(perfect: Plan) -> None:
    finding = Finding.error("text-cut", f"{HOSTILE} is cut", hint=HOSTILE, file=HOSTILE, pages=(3,))
    named = replace(perfect, title=HOSTILE, findings=(finding,))
    html = report_html(named, Given(files=("guts.pdf", HOSTILE)))
    html.encode()
    assert "<script" not in html
    assert html.count("&lt;script&gt;alert(1)&lt;/script&gt;") >= 5
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", html)


@pytest.fixture(scope="module")
def perfect(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    out = tmp_path_factory.mktemp("perfect")
    job = Path(__file__).parent.parent / "examples" / "perfect.toml"
    options = ["--only", "plan", "--no-check", "--out", str(out), "--quiet"]
    assert run(["make", str(job), *options]) == 0
    return from_text((out / "plan.json").read_text("utf-8"))


# -- what is shown ---------------------------------------------------------------------


def test_bench_and_cover_are_drawn_with_cautions(perfect: Plan) -> None:
    html = report_html(perfect)
    for heading in ("The book", "Paper and printing", "Sheets", "The open cover", "Scores", "Cuts"):
        assert f">{heading}</h2>" in html
    assert html.count('class="drawing"') == 1 + 3, "the open cover and three last cuts"
    for words in ("Hands clear of clamp and knife", "Fingers clear of the creasing bar"):
        assert words in html
    assert html.index("Hands clear of clamp") < html.index("Trim the foot")
    assert "5.5 in (139.7 mm) across" in html
    for number, step in enumerate(perfect.score_steps[1:], start=1):
        assert f'<th scope="row">{number}</th>' in html
        assert step.reading.partition(" (")[0] in html


def test_every_drawing_is_sound_xml_with_a_name(perfect: Plan) -> None:
    drawings = re.findall(r"<svg xmlns.*?</svg>", report_html(perfect), re.S)
    assert len(drawings) == 4 + 1 + 2 + 3, "two sheets, the open cover, its sheet, three cuts"
    for drawing in drawings:
        root = ElementTree.fromstring(drawing)
        assert root.get("role") == "img" and root.get("aria-label")


def test_the_verdict_is_for_people_who_do_not_print(perfect: Plan) -> None:
    fine = replace(perfect, findings=())
    assert "Nothing suspicious was found" in report_html(fine)
    assert "was not looked at" in report_html(fine, Given(looked=False))
    warned = replace(perfect, findings=(told([3]),))
    assert "Look before you print" in report_html(warned)
    bad = report_html(replace(perfect, findings=(told([3]), told([4], Severity.ERROR))))
    assert bad.index("DO NOT PRINT") < bad.index('id="book"')
    assert "One thing must be put right first (one thing more to look at below)" in bad


def test_figures_of_a_finding_stand_in_both_units(perfect: Plan) -> None:
    one = told([3], distance="~0.0772 in", safe="0.125 in")
    beyond = replace(told([3], distance="-2.5 mm"), side="spine")
    rows = finding_rows(replace(perfect, findings=(one, beyond)), ())
    assert rows[0].figures == (
        ("distance from the trim", "about 0.08 in (about 2 mm)"),
        ("safe", "0.125 in (3.175 mm)"),
    )
    assert rows[1].figures == (("beyond the spine edge", "about 0.1 in (2.5 mm)"),)


def test_a_long_list_of_pages_is_shortened_and_can_be_unfolded(perfect: Plan) -> None:
    pages = list(range(2, 402, 2))
    listed = ", ".join(map(str, pages))
    finding = replace(told(pages), message=f"lines on pages {listed}: 2.5 mm from the trim")
    (row,) = finding_rows(replace(perfect, findings=(finding,)), ())
    assert row.message == (
        "lines on pages 2, 4, 6, 8, 10, 12, 14, 16, 18, 20 and 190 more: 2.5 mm from the trim"
    )
    assert row.pages == "pages 2, 4, 6, 8, 10, 12, 14, 16, 18, 20 and 190 more"
    html = report_html(replace(perfect, findings=(finding,)))
    assert html.count(listed) == 1, "under 'All pages' alone"


def test_of_many_sheets_the_first_the_last_and_those_of_the_worst_findings_are_drawn(
    perfect: Plan,
) -> None:
    one = perfect.sheets[0]
    many = tuple(
        replace(
            sheet,
            number=number,
            front=_carrying(sheet.front, 2 * number - 1),
            back=_carrying(sheet.back, 2 * number),
        )
        for number, sheet in enumerate([one] * 200, start=1)
    )
    plan = replace(perfect, sheets=many, cover=None, faces=400)
    views, left_out = guts_views(plan, [300, *range(10, 100)])
    titles = [view.title.split(",")[0] for view in views]
    assert len(views) == DRAWN and left_out == 200 - DRAWN
    assert titles[0] == "Sheet 1 of 200" and titles[-1] == "Sheet 200 of 200"
    assert "Sheet 150 of 200" in titles
    assert views[titles.index("Sheet 150 of 200")].told == (300,)


def _carrying(side: Side, page: int) -> Side:
    return replace(side, placements=(replace(side.placements[0], page=page, position=page),))


def test_a_long_book_of_photographs_makes_a_small_report(tmp_path: Path) -> None:
    """400 pages, each with a photograph that stops short of the edge and a number too low."""
    pictures = [
        ImageReader(Image.effect_noise((500, 700), 60 + n).convert("RGB")) for n in range(6)
    ]
    canvas = Canvas(str(tmp_path / "long.pdf"), (6 * 72, 9 * 72))
    for number in range(1, 401):
        canvas.drawImage(pictures[number % 6], number % 7, number % 11, 6 * 72, 9 * 72)
        canvas.drawString(200, 2 + number % 9, str(number))
        canvas.showPage()
    canvas.save()
    out = tmp_path / "made"
    options = ["--binding", "perfect", "--trim", "6in x 9in", "--sheet", "letter", "--quiet"]
    job = str(tmp_path / "long.pdf")
    assert run(["make", job, *options, "--only", "report", "--out", str(out)]) in (0, 1)
    html = (out / "report.html").read_text("utf-8")
    assert len(html.encode()) < 10_000_000
    assert 10 < html.count('<figure id="page-') <= PAGES
    assert html.count('class="sheetview"') <= DRAWN


def test_pictures_beyond_the_budget_are_left_out_the_least_bad_first() -> None:
    def picture(page: int, finding: int) -> Picture:
        box = Box(ZERO, ZERO, Length.mm(100), Length.mm(150))
        view = PageView(
            page=page,
            name=f"Page {page}",
            size=box.size,
            trim=box,
            bleed=None,
            live=None,
            views=(View(finding=finding),),
        )
        return Picture(view=view, data="x" * (BUDGET // 3))

    kept = within_budget([picture(1, 4), picture(2, 3), picture(3, 1), picture(4, 2)])
    assert [one.view.page for one in kept] == [2, 3, 4]


def test_a_finding_has_at_most_so_many_pictures() -> None:
    assert len(choose_pages([told(list(range(1, 50)))], 50)) == A_FINDING
