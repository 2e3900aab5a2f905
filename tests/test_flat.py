"""Flat work end to end, its layouts in figures, and what is refused."""

from __future__ import annotations

import csv
import json
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from flatplans import GUILLOTINE, card, work_of
from PIL import Image, ImageChops
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas
from strategies import mm
from test_make import EXAMPLES

from impose.cli.main import run
from impose.errors import JobError, PlanMismatchError
from impose.geometry.box import Box, Edges, Size
from impose.model.machines import Bench
from impose.model.stock import Grain
from impose.plan.plan import Plan
from impose.plan.wire import from_text
from impose.schemes.guillotine import cut_apart
from impose.schemes.packing import Want, most_of_one, pack
from impose.units import ZERO, Length

SRA3 = Size(mm(320), mm(450))
A4 = Size(mm(210), mm(297))


def cards_pdf(path: Path, sizes: list[tuple[float, float]], bleed: float = 3) -> Path:
    """A page for each size in millimetres, its number large, art to the bleed, an upper left
    corner that differs."""
    unit = 72 / 25.4
    canvas = Canvas(str(path), invariant=True)
    b = bleed * unit
    for number, (width, height) in enumerate(sizes, start=1):
        w, h = width * unit, height * unit
        canvas.setPageSize((w + 2 * b, h + 2 * b))
        canvas.setTrimBox((b, b, b + w, b + h))
        canvas.translate(b, b)
        canvas.setFillGray(0.6 + 0.04 * number)
        canvas.rect(-b, -b, w + 2 * b, h + 2 * b, stroke=0, fill=1)
        canvas.setFillGray(0)
        canvas.rect(-b, h * 0.8, w * 0.3 + b, h * 0.2 + b, stroke=0, fill=1)
        canvas.setFont("Helvetica-Bold", h * 0.4)
        canvas.drawCentredString(w / 2, h * 0.3, str(number))
        canvas.showPage()
    canvas.save()
    return path


def make(*arguments: object) -> int:
    return run(["make", *map(str, arguments)])


def plan_in(folder: Path) -> Plan:
    return from_text((folder / "plan.json").read_text())


def rendered(page: Any, dots: int) -> Image.Image:
    return page.render(scale=dots / 72, grayscale=True).to_pil()


def job_file(folder: Path, text: str) -> Path:
    path = folder / "job.toml"
    path.write_text(text)
    return path


GANG = """
[book]
binding = "flat"
[[items]]
title = "Card"
pages = "art.pdf[1-2]"
trim = "85mm x 55mm"
amount = 200
[[items]]
pages = ["art.pdf[3]"]
title = "Label"
trim = "50mm x 70mm"
amount = 110
[[items]]
title = "Flyer"
pages = "art.pdf[4-5]"
trim = "105mm x 148mm"
amount = 75
back = "head to foot"
[guts]
sheet = "sra3"
stock = { name = "cover-80lb", grain = "long" }
flip = "FLIP"
[bench]
cutter = "guillotine-hydraulic"
"""
SIZES = [(85.0, 55.0), (85.0, 55.0), (50.0, 70.0), (105.0, 148.0), (105.0, 148.0)]


# -- a card over and over ----------------------------------------------------------------


def test_one_card_from_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    art = cards_pdf(tmp_path / "card.pdf", [(85, 55), (85, 55)], bleed=0)
    options = ["--binding", "flat", "--trim", "85mm x 55mm", "--sheet", "a4", "--copies", "95"]
    assert make(art, *options, "--out", tmp_path / "o") == 0
    plan = plan_in(tmp_path / "o")
    (item,) = plan.items
    assert (item.title, item.amount, item.faces) == ("card", 95, (1, 2))
    assert item.made == item.on[0] * plan.sheets[0].copies >= 95
    said = capsys.readouterr().err
    copies = plan.sheets[0].copies
    assert f"print {copies} sheets of 210 x 297 mm on both sides, turned over on the" in said
    names = {path.name for path in (tmp_path / "o").iterdir()}
    assert {"guts.pdf", "proof.pdf", "cuts.pdf", "cuts.csv", "ticket.pdf", "report.html"} <= names
    with pdfplumber.open(tmp_path / "o" / "guts.pdf") as pdf:
        for page, number in zip(pdf.pages, "12", strict=True):
            large = [c for c in page.chars if c["text"] == number and c["width"] > 20]
            assert len(large) == item.on[0]


def test_without_an_amount_one_full_sheet_is_made_and_told(tmp_path: Path) -> None:
    art = cards_pdf(tmp_path / "card.pdf", [(85, 55)], bleed=0)
    assert make(art, "--binding", "flat", "--sheet", "a4", "--out", tmp_path / "o") == 0
    plan = plan_in(tmp_path / "o")
    assert plan.sheets[0].copies == 1 and plan.items[0].over == 0
    assert "amount-assumed" in {finding.code for finding in plan.findings}
    assert plan.one_sided("guts")
    assert len(PdfReader(tmp_path / "o" / "guts.pdf").pages) == 1
    assert len(PdfReader(tmp_path / "o" / "proof.pdf").pages) == 1


@pytest.mark.parametrize(
    ("size", "sheet", "many"),
    [
        # Worked out by hand: 5 x 5 the one way, 3 x 8 the other; both mixed hold 29.
        ((85, 55), (320, 450), 29),
        # 2 x 5 the one way, 3 x 3 the other; a column of two turned beside three rows: 11.
        ((85, 55), (210, 297), 11),
        # Quarter of the sheet: nothing to gain.
        ((105, 148), (210, 297), 4),
        # The five-block tile of 3 x 2 bricks in a 5 x 5 square is no guillotine layout: 3, not 4.
        ((3, 2), (5, 5), 3),
    ],
)
def test_ways_round_are_mixed_where_that_gains(
    size: tuple[int, int], sheet: tuple[int, int], many: int
) -> None:
    laid = most_of_one(*sheet, Want(*size, 1))
    assert len(laid) == many
    boxes = [
        Box.at(mm(one.x), mm(one.y), Size(*(mm(n) for n in (size[::-1] if one.turned else size))))
        for one in laid
    ]
    cut_apart(Box(ZERO, ZERO, *(mm(n) for n in sheet)), boxes)


def test_four_bricks_round_a_hole_cannot_be_cut_apart() -> None:
    """The pinwheel is the smallest arrangement that no knife from edge to edge can part."""
    places = [(0, 0, 3, 2), (3, 0, 5, 3), (2, 3, 5, 5), (0, 2, 2, 5)]
    boxes = [Box(*(mm(n) for n in place)) for place in places]
    with pytest.raises(PlanMismatchError, match="edge to edge"):
        cut_apart(Box(ZERO, ZERO, mm(5), mm(5)), boxes)


def test_without_bleed_neighbours_share_one_cut_with_bleed_there_are_two() -> None:
    one = work_of([card(100, 50, 8, turn=False)], Size(mm(200), mm(200))).plan
    assert [line.y0 for line in one.sheets[0].lines if not line.upright] == [
        mm(50), mm(100), mm(150),
    ]  # fmt: skip
    two = work_of([card(100, 50, 3, turn=False, supplied=mm(3))], Size(mm(106), mm(168))).plan
    levels = [line.y0 for line in two.sheets[0].lines if not line.upright]
    assert levels == [mm(3), mm(53), mm(59), mm(109), mm(115), mm(165)]
    assert any(step.title.startswith("Double cut") for step in two.cut_steps)
    assert not any(step.title.startswith("Double cut") for step in one.cut_steps)


def test_what_a_file_rounds_is_no_bleed() -> None:
    """55 mm written with two decimals of a point is 0.0016 mm more: no strip lies between."""
    rough = work_of([card(85, 55, 9, supplied=mm("0.0008"))], A4).plan
    plain = work_of([card(85, 55, 9)], A4).plan
    lines = [[(n.x0, n.y0, n.x1, n.y1) for n in plan.sheets[0].lines] for plan in (rough, plain)]
    assert lines[0] == lines[1]
    assert not [step for step in rough.cut_steps if "Double" in step.title]
    least = work_of([card(85, 55, 9, supplied=mm(1))], A4).plan
    assert [step for step in least.cut_steps if "Double" in step.title]


def test_a_shared_cut_may_be_asked_for_and_keeps_the_bleed_outside() -> None:
    items = [card(100, 50, 4, turn=False, supplied=mm(3))]
    plan = work_of(items, Size(mm(220), mm(120)), gutter=ZERO).plan
    assert len(plan.sheets[0].front.placements) == 4
    assert "one-cut-no-bleed" in {finding.code for finding in plan.findings}
    placed = plan.sheets[0].front.placements
    whole = placed[0].trim
    for p in placed:
        whole = whole.join(p.trim)
    for p in placed:
        assert p.clip.meet(whole) == p.trim
    inked = placed[0].clip
    for p in placed:
        inked = inked.join(p.clip)
    assert inked == whole.grown(Edges.all(mm(3)))


def test_a_gutter_is_as_wide_as_said() -> None:
    plan = work_of([card(90, 50, 4, turn=False)], A4, gutter=mm(8)).plan
    levels = sorted({p.trim.y0 for p in plan.sheets[0].front.placements}, key=lambda n: n.grains)
    assert {high - low for low, high in pairwise(levels)} == {mm(58)}


def test_so_many_up_as_said() -> None:
    plan = work_of([card(60, 40, 100, up=6)], A4).plan
    assert len(plan.sheets[0].front.placements) == 6
    assert plan.sheets[0].copies == 17 and plan.items[0].over == 2


# -- gangs -------------------------------------------------------------------------------


def test_a_gang_worked_out_by_hand() -> None:
    """Halves and quarters of a sheet: two of the large and four of the small would be two
    sheets; one of each kind of half meets the amounts with 50 sheets."""
    items = [card(200, 100, 50, turn=False), card(100, 100, 100, turn=False)]
    plan = work_of(items, Size(mm(200), mm(200))).plan
    assert [sheet.copies for sheet in plan.sheets] == [50]
    assert [item.on for item in plan.items] == [(1,), (2,)]
    assert [item.over for item in plan.items] == [0, 0]
    assert plan.cut_facts is not None and plan.cut_facts.waste == 0
    assert plan.cut_facts.before.strokes == 2


def test_amounts_far_apart_go_on_layouts_of_their_own() -> None:
    items = [card(100, 100, 1000), card(100, 100, 10)]
    alone = work_of(items, Size(mm(200), mm(200))).plan
    assert [sheet.copies for sheet in alone.sheets] == [250, 3]
    together = work_of(items, Size(mm(200), mm(200)), layouts=1).plan
    assert [sheet.copies for sheet in together.sheets] == [334]
    assert together.items[1].over == 324


def test_another_layout_must_save_a_tenth() -> None:
    items = [card(100, 100, 300), card(100, 100, 90)]
    plan = work_of(items, Size(mm(200), mm(200))).plan
    # Together 100 sheets of three and one; 75 and 23 alone would save two.
    assert [sheet.copies for sheet in plan.sheets] == [100]
    more = work_of(items, Size(mm(200), mm(200)), layouts=2).plan
    assert [sheet.copies for sheet in more.sheets] == [75, 23]


def test_thirty_items_go_on_sheets() -> None:
    items = [
        card(40 + 7 * n % 90, 50 + 11 * n % 70, 100 * (1 + n % 4), sides=1 + n % 2, supplied=mm(3))
        for n in range(30)
    ]
    plan = work_of(items, Size(mm(520), mm(720)), bench=Bench(cutter=GUILLOTINE)).plan
    assert all(item.made >= item.amount for item in plan.items)
    used = sum(s.copies for s in plan.sheets) * 520 * 720
    needed = sum(
        Fraction(i.amount) * (i.trim.width + mm(6)).as_mm * (i.trim.height + mm(6)).as_mm
        for i in plan.items
    )
    assert needed / used > Fraction(7, 10)


def test_grain_decides_which_way_an_item_lies() -> None:
    for grain, turned in ((Grain.LONG, False), (Grain.SHORT, True)):
        plan = work_of([card(50, 150, 3, grain=grain)], A4, grain=Grain.LONG).plan
        sheet = plan.sheets[0]
        lies_across = {p.turn == 90 for p in sheet.front.placements}
        assert lies_across == {turned != sheet.size.landscape}


def test_two_that_do_not_fit_together_are_packed_apart() -> None:
    assert pack(10, 10, [Want(6, 6, 2)]) is None
    assert pack(12, 6, [Want(6, 6, 2)]) is not None


@pytest.mark.parametrize("flip", ["long edge", "short edge"])
def test_the_proof_of_a_gang_is_the_art(tmp_path: Path, flip: str) -> None:
    """Each face of the proof, cut out of the written sheets, looks like its page."""
    art = cards_pdf(tmp_path / "art.pdf", SIZES)
    job = job_file(tmp_path, GANG.replace("FLIP", flip))
    assert make(job, "--no-check", "--only", "proof,plan", "--out", tmp_path / "o") == 0
    plan = plan_in(tmp_path / "o")
    dots = 100
    with (
        pypdfium2.PdfDocument(art) as source,
        pypdfium2.PdfDocument(tmp_path / "o" / "proof.pdf") as proof,
    ):
        assert len(proof) == len(source) == 5
        for number in range(5):
            want = _trimmed(source[number], dots)
            have = _trimmed(proof[number], dots)
            assert want.size == have.size
            unlike = ImageChops.difference(want, have).point(lambda n: 255 if n > 60 else 0)
            inner = unlike.crop((2, 2, unlike.width - 2, unlike.height - 2))
            assert inner.histogram()[255] <= inner.width * inner.height // 100
            assert want.crop((4, 4, 9, 9)).getextrema()[1] < 40  # the corner that differs
    assert plan.items[2].head_to_foot


def _trimmed(page: Any, dots: int) -> Image.Image:
    image = rendered(page, dots)
    x0, y0, x1, y1 = page.get_trimbox()
    high = page.get_mediabox()[3]
    scale = dots / 72
    left, upper = round(x0 * scale), round((high - y1) * scale)
    wide, tall = round((x1 - x0) * scale), round((y1 - y0) * scale)
    return image.crop((left, upper, left + wide, upper + tall))


def test_lists_and_ticket_name_items_and_amounts(tmp_path: Path) -> None:
    cards_pdf(tmp_path / "art.pdf", SIZES)
    job = job_file(tmp_path, GANG.replace("FLIP", "long edge"))
    assert make(job, "--no-check", "--out", tmp_path / "o") == 0
    plan = plan_in(tmp_path / "o")
    ticket = _words(tmp_path / "o" / "ticket.pdf")
    cuts = _words(tmp_path / "o" / "cuts.pdf")
    report = (tmp_path / "o" / "report.html").read_text()
    for item in plan.items:
        wanted = f"{item.amount} wanted"
        assert f"{wanted}, {item.made} made" in ticket
        assert f"{item.made} in all, {wanted}" in cuts
        assert item.title in report and f"{item.made} made" in report
    assert "Guards" in ticket and "Guards" in cuts
    with (tmp_path / "o" / "cuts.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(plan.cut_steps)
    assert {row["phase"] for row in rows} == {"apart"}


def _words(path: Path) -> str:
    reader = PdfReader(path)
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def test_the_unit_is_that_of_the_items(tmp_path: Path) -> None:
    cards_pdf(tmp_path / "art.pdf", [(88.9, 50.8)])
    items = '[[items]]\npages = "art.pdf"\ntrim = "3.5in x 2in"\namount = 5\n'
    job = job_file(tmp_path, f'{items}[guts]\nsheet = "sra3"\n')  # the binding follows, too
    assert make(job, "--no-check", "--only", "plan", "--out", tmp_path / "o") == 0
    plan = plan_in(tmp_path / "o")
    assert (plan.unit, plan.binding) == ("in", "flat")


def test_sides_makes_an_item_of_every_two_pages(tmp_path: Path) -> None:
    cards_pdf(tmp_path / "art.pdf", [(85, 55)] * 6)
    job = job_file(
        tmp_path,
        """
[book]
binding = "flat"
[[items]]
title = "Keeper"
pages = "art.pdf"
sides = 2
amount = 40
[guts]
sheet = "sra3"
""",
    )
    assert make(job, "--no-check", "--only", "plan", "--out", tmp_path / "o") == 0
    plan = plan_in(tmp_path / "o")
    assert [(item.title, item.faces) for item in plan.items] == [
        ("Keeper 1", (1, 2)), ("Keeper 2", (3, 4)), ("Keeper 3", (5, 6)),
    ]  # fmt: skip


def test_live_matter_is_told_by_item_and_by_left_and_right(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    unit = 72 / 25.4
    canvas = Canvas(str(tmp_path / "card.pdf"), pagesize=(85 * unit, 55 * unit), invariant=True)
    for _ in range(2):
        canvas.setFont("Helvetica", 10)
        canvas.drawString(1 * unit, 25 * unit, "too near the left")
        canvas.showPage()
    canvas.save()
    options = ["--binding", "flat", "--sheet", "a4", "--copies", "10", "--title", "Card"]
    run(["check", str(tmp_path / "card.pdf"), *options, "--json"])
    found = json.loads(capsys.readouterr().out)["findings"]
    (near,) = [finding for finding in found if finding["code"] == "may-be-cut"]
    assert near["side"] == "left"
    assert "Card (front), Card (back)" in near["message"] and "left trim" in near["message"]


def test_bleed_is_made_at_the_sides_of_a_turned_item(tmp_path: Path) -> None:
    cards_pdf(tmp_path / "art.pdf", [(60, 200)], bleed=0)
    options = ["--binding", "flat", "--sheet", "210mm x 150mm", "--make-bleed", "mirror"]
    assert make(tmp_path / "art.pdf", *options, "--out", tmp_path / "o") == 0
    plan = plan_in(tmp_path / "o")
    front = plan.sheets[0].front
    assert {p.turn for p in front.placements} == {90} or plan.sheets[0].size.height > mm(200)
    assert len(front.strips) == 8 * len(front.placements)
    assert {p.clip.width - p.trim.width for p in front.placements} == {mm(6)}


def test_the_example_is_made(tmp_path: Path) -> None:
    assert make(EXAMPLES / "flat.toml", "--out", tmp_path) == 0
    plan = plan_in(tmp_path)
    assert [item.title for item in plan.items] == ["Card", "Bookmark", "Jar label", "Postcard"]
    assert not [f for f in plan.findings if f.severity.value != "note"]


# -- what is refused ---------------------------------------------------------------------


def refused(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], code: int = 2) -> str:
    cards_pdf(tmp_path / "art.pdf", SIZES)
    assert make(job_file(tmp_path, text), "--no-check", "--out", tmp_path / "o") == code
    words = capsys.readouterr().err
    assert "Traceback" not in words and not (tmp_path / "o").exists()
    return words


ITEM = '[[items]]\npages = "art.pdf[1-2]"\ntrim = "85mm x 55mm"\n'
FLAT = '[book]\nbinding = "flat"\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (FLAT + ITEM, "items[1].amount: the amount is not said"),
        (FLAT + ITEM + "amount = 0\n", "items[1].amount"),
        (FLAT + ITEM + "amont = 5\n", "did you mean items[1].amount?"),
        (FLAT + ITEM.replace("[1-2]", "[1-3]") + "amount = 5\n", "has 3 pages"),
        (FLAT + ITEM.replace("[1-2]", "") + "amount = 5\nsides = 2\n", "has 5 pages"),
        (FLAT + ITEM + "amount = 5\nsides = 3\n", "a front, or a front and a back"),
        (FLAT + ITEM + 'amount = 5\nsheet = "a4"\n', "sheet belongs in [guts]"),
        (
            FLAT + ITEM.replace("85mm x 55mm", "105mm x 148mm").replace("[1-2]", "[4]")
            + 'amount = 5\n[guts]\nsheet = "100mm x 150mm"\n',
            "(105 x 148 mm), with its bleed 111 x 154 mm, does not go on "
            "100 x 150 mm (100 x 150 mm)",
        ),
        (
            FLAT + ITEM + 'amount = 5\nstock = "copy-80gsm"\n' + ITEM
            + 'amount = 5\nstock = "silk-cover-300gsm"\n',
            "split the job",
        ),
        (FLAT + ITEM + 'amount = 5\n[guts]\nsection_pages = 16\n', "guts.section_pages: flat work"),
        (FLAT + ITEM + 'amount = 5\n[guts]\nup = 4\n', "guts.up: up is 4"),
        (FLAT + ITEM + 'amount = 5\n[cover]\nspine = "from stock"\n', "flat work has no cover"),
        (FLAT + 'pages = "art.pdf"\n' + ITEM + "amount = 5\n", "go ill together"),
        (FLAT.replace("flat", "saddle") + 'pages = "art.pdf"\n' + ITEM + "amount = 5\n",
         "binding is saddle"),
        (FLAT + ITEM + 'amount = 5\ngrain = "long"\n[guts]\nstock = "0.1mm"\nsheet = "a4"\n',
         "the grain of"),
        (FLAT + ITEM + "amount = 5\nup = 400\n", "does not go 400 times"),
    ],
)  # fmt: skip
def test_bad_flat_jobs_are_told(
    text: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert words in refused(text, tmp_path, capsys)


def test_an_odd_count_of_pages_on_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    art = cards_pdf(tmp_path / "art.pdf", SIZES)
    assert make(art, "--binding", "flat", "--trim", "a6", "--out", tmp_path / "o") == 2
    assert "art has 5 pages: an item has a front (1), or a front and a back (2)" in (
        capsys.readouterr().err
    )


@pytest.mark.parametrize("command", ["spine", "cover"])
def test_flat_work_has_neither_spine_nor_cover(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = ["--out", str(tmp_path / "o")] if command == "cover" else []
    assert run([command, str(EXAMPLES / "flat.toml"), *out]) == 2
    assert f"flat work has no {command}" in capsys.readouterr().err


def test_confetti_is_refused() -> None:
    with pytest.raises(JobError, match="pieces go on one sheet; 2000 are the most"):
        work_of([card(2, 3, 10)], Size(mm(180), mm(270)))


def test_a_gutter_too_narrow_for_a_bleed_that_is_asked_for() -> None:
    with pytest.raises(JobError, match="gutter"):
        work_of([card(60, 40, 10, supplied=mm(3))], A4, bleed=mm(3), gutter=mm(4))


def test_a_narrow_gutter_lets_bleed_reach_its_middle() -> None:
    plan = work_of([card(60, 40, 10, turn=False, supplied=mm(3))], A4, gutter=mm(4)).plan
    inner = {
        length
        for p in plan.sheets[0].front.placements
        for length in (p.bleed.head, p.bleed.foot, p.bleed.spine, p.bleed.fore_edge)
    }
    assert inner == {mm(2), mm(3)}
    assert isinstance(plan.trim.width, Length)
