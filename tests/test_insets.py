"""Leaves that are not like the others: fold-outs, narrow ones, other stock, French-folded ones,
and pages of another size set at a side."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pypdf import PdfReader
from reportlab.lib.units import mm as points_per_mm
from reportlab.pdfgen.canvas import Canvas

from impose.bench.replay import replay_sheets
from impose.cli.main import run
from impose.geometry.box import Size
from impose.plan.insets import inset_views, without_insets
from impose.plan.parts import LineKind, When
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.schemes.foldouts import LEAST_PANEL, fold_out_panels, fold_places, folded_ends
from impose.schemes.gutspaper import gathered_block
from impose.units import Length


def mm(value: object) -> Length:
    return Length.mm(str(value))


def write_pages(path: Path, names: Sequence[str], width: float, height: float) -> Path:
    """A page for each name, with the name in its middle."""
    canvas = Canvas(str(path), pagesize=(width * points_per_mm, height * points_per_mm))
    for name in names:
        canvas.setFont("Helvetica", 30)
        canvas.drawCentredString(width * points_per_mm / 2, height * points_per_mm / 2, name)
        canvas.showPage()
    canvas.save()
    return path


def toml(value: object) -> str:
    """An item of `pages` as it is written in a job file."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {toml(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    return json.dumps(value)


def write_job(folder: Path, pages: list[object], book: str = "", guts: str = "") -> Path:
    """A5 pages in `body.pdf` (b1 to b40) and what else a test has written there."""
    if not (folder / "body.pdf").exists():
        write_pages(folder / "body.pdf", [f"b{n}" for n in range(1, 41)], 148, 210)
    job = folder / "job.toml"
    job.write_text(
        f'[book]\ntrim = "a5"\nproof = "single pages"\npages = {toml(pages)}\n{book}\n'
        f'[guts]\nstock = {{ caliper = "0.1mm" }}\n{guts}\n',
        "utf-8",
    )
    return job


def made(folder: Path, pages: list[object], book: str = "", guts: str = "") -> Plan:
    """The plan of the job, every file written and read back."""
    job = write_job(folder, pages, book, guts)
    assert run(["make", str(job), "--out", str(folder / "out"), "--quiet", "--no-check"]) == 0
    return from_text((folder / "out" / "plan.json").read_text("utf-8"))


def refused(folder: Path, capsys: Any, pages: list[object], book: str, guts: str = "") -> str:
    """What the command says of a job that it does not make."""
    job = write_job(folder, pages, book, guts)
    assert run(["make", str(job), "--out", str(folder / "out")]) == 2
    return str(capsys.readouterr().err)


def read_proof(folder: Path) -> list[str]:
    """What each page of the proof says within its trim."""
    found = []
    with pypdfium2.PdfDocument(folder / "out" / "proof.pdf") as pdf:
        for page in pdf:
            words = page.get_textpage().get_text_bounded(*page.get_trimbox())
            found.append(words.strip())
    return found


PERFECT = 'binding = "perfect"'
ON_A4 = 'sheet = "a4"'

BINDINGS = [
    (PERFECT, ON_A4),
    (f'{PERFECT}\nbound_at = "right"', f'{ON_A4}\ngrind = "2mm"'),
    (PERFECT, 'sheet = "sra3"\nup = 2'),
    ('binding = "stab"', 'sheet = "a3"\nflip = "short edge"'),
    ('binding = "saddle"', 'sheet = "sra3"'),
    ('binding = "sections"', 'sheet = "sra3"\nsection_pages = 8'),
    (f'{PERFECT}\nbound_at = "right"', 'sheet = "sra3"\nsection_pages = 8\ngrind = "2mm"'),
]


@pytest.mark.parametrize(("book", "guts"), BINDINGS)
def test_the_proof_reads_through_all_kinds_of_leaves(tmp_path: Path, book: str, guts: str) -> None:
    write_pages(tmp_path / "map.pdf", ["map1", "map2"], 380, 210)
    write_pages(tmp_path / "slip.pdf", ["slip"], 90, 210)
    write_pages(tmp_path / "plate.pdf", ["pl1", "pl2", "pl3", "pl4"], 148, 210)
    write_pages(tmp_path / "fold.pdf", ["fr1", "fr2", "fr3", "fr4"], 140, 210)
    pages: list[object] = [
        "body.pdf[1-4]",
        {"file": "map.pdf", "leaf": "fold-out", "sheet": "a2"},
        "body.pdf[5-7]",
        {"file": "slip.pdf", "leaf": "narrow"},
        {"file": "plate.pdf", "leaf": "tipped in", "stock": "silk-150gsm"},
        "body.pdf[8]",
        {"file": "fold.pdf", "leaf": "french fold", "sheet": "a2"},
        "body.pdf[9-12]",
    ]
    plan = made(tmp_path, pages, book, guts)
    read = [word for word in read_proof(tmp_path) if word]
    body = [f"b{n}" for n in range(1, 13)]
    want = [*body[:4], "map1", "map2", *body[4:7], "slip", "pl1", "pl2", "pl3", "pl4", body[7],
            "fr1", "fr2", "fr3", "fr4", *body[8:]]  # fmt: skip
    assert read == want
    names = ["map1", "slip", "pl1", "fr1"]
    positions = [read_proof(tmp_path).index(name) + 1 for name in names]
    assert all(position % 2 == 1 for position in positions)  # a leaf begins with a recto
    assert not [f for f in plan.findings if f.code.startswith("proof-")]
    assert {inset.kind.value for inset in plan.insets} == {
        "fold-out", "narrow", "tipped in", "french fold",
    }  # fmt: skip
    for inset in plan.insets:
        pdf = PdfReader(tmp_path / "out" / f"inset-{inset.number}.pdf")
        sides = 1 if inset.kind.value == "french fold" else 2
        sheets = [s for s in plan.sheets if s.role == f"inset {inset.number}"]
        assert len(pdf.pages) == sides * len(sheets)


@pytest.mark.parametrize(("book", "guts"), BINDINGS)
def test_what_is_put_in_has_the_paper_of_the_guts_and_stays_inside_the_knife(
    tmp_path: Path, book: str, guts: str
) -> None:
    """Head and foot as the guts have them, so that all is jogged to one lay; what has its own
    width ends 1/4 in or more inside the trim when it is folded."""
    write_pages(tmp_path / "map.pdf", ["map1", "map2"], 380, 210)
    write_pages(tmp_path / "fold.pdf", ["fr1", "fr2"], 138, 210)
    pages: list[object] = [
        "body.pdf[1-16]",
        {"file": "map.pdf", "leaf": "fold-out", "sheet": "a2"},
        {"file": "fold.pdf", "leaf": "french fold", "sheet": "a2"},
        {"blank": 2, "leaf": "tipped in", "stock": "silk-150gsm"},
    ]
    plan = made(tmp_path, pages, book, guts)
    guts_block = gathered_block(without_insets(plan)).paper
    whole = gathered_block(plan).paper
    assert (whole.y0, whole.y1) == (guts_block.y0, guts_block.y1)
    fold_out, french, _ = plan.insets
    clear = Length.inches("1/4")
    ends = [end for end in folded_ends(panels_of(fold_out.size.width, fold_out.folds))]
    assert max(ends) <= plan.leaf.width - clear
    assert min(ends) >= clear
    assert french.size.width <= plan.leaf.width - clear
    validator = Draft202012Validator(json.loads(SCHEMA.read_text("utf-8")))
    assert not list(validator.iter_errors(json.loads((tmp_path / "out/plan.json").read_text())))
    assert from_text(to_text(plan)) == plan
    for number, view in enumerate(inset_views(plan), start=1):
        steps = [
            s for s in plan.cut_steps if s.table and s.table.things.endswith(f"inset {number}")
        ]
        piles, _ = replay_sheets(steps, view.sheets[0].size, f"sheets of inset {number}")
        trims = [p.trim for p in view.sheets[0].front.placements]
        assert all(any(pile.contains(trim) for pile in piles.values()) for trim in trims)


SCHEMA = Path(__file__).parent.parent / "impose" / "plan" / "plan.schema.json"


def panels_of(width: Length, folds: Sequence[Length]) -> tuple[Length, ...]:
    places = [Length(), *folds, width]
    return tuple(b - a for a, b in pairwise(places))


@given(
    trim=st.integers(60, 300),
    width=st.integers(61, 2000),
    clear=st.integers(0, 15),
)
@settings(max_examples=300)
def test_panels_of_a_fold_out_fit_in_the_book(trim: int, width: int, clear: int) -> None:
    """They add up to the page; folded, all lie between the clearances of spine and fore-edge;
    one panel fewer would not do."""
    assume(width > trim and trim - 2 * clear >= 40)
    panels = fold_out_panels(mm(width), mm(trim), mm(clear))
    assert sum(panels, Length()) == mm(width)
    assert len(panels) >= 2
    ends = folded_ends(panels)
    assert all(mm(clear) <= end <= mm(trim - clear) for end in ends)
    assert all(panel <= panels[0] or panel <= mm(trim - 2 * clear) for panel in panels)
    most = mm(trim - clear) + mm(trim - 2 * clear) * (len(panels) - 2)
    assert mm(width) > most or len(panels) == 2
    assert min(panels) >= min(LEAST_PANEL, mm(trim - 2 * clear).half)
    assert fold_places(panels) == tuple(sum(panels[:n], Length()) for n in range(1, len(panels)))


def test_a_fold_out_by_hand() -> None:
    """A5 (148 mm), a page of 400 mm, 6 mm clear: the first panel ends at 142; 258 are left, in
    panels of 136 at the most: two of 129, folds at 142 and 271; folded they end at 142, 13, 142."""
    panels = fold_out_panels(mm(400), mm(148), mm(6))
    assert panels == (mm(142), mm(129), mm(129))
    assert fold_places(panels) == (mm(142), mm(271))
    assert folded_ends(panels) == (mm(142), mm(13), mm(142))


def test_the_spine_counts_what_is_put_in(tmp_path: Path) -> None:
    """20 leaves of 0.1 mm, a fold-out (one thickness at the spine), two French-folded leaves
    (four), and a board of 0.5 mm: 2 + 0.1 + 0.4 + 0.5 = 3 mm."""
    write_pages(tmp_path / "map.pdf", ["map1", "map2"], 250, 210)
    write_pages(tmp_path / "fold.pdf", ["f1", "f2", "f3", "f4"], 140, 210)
    pages: list[object] = [
        "body.pdf[1-40]",
        {"file": "map.pdf", "leaf": "fold-out", "sheet": "a3"},
        {"file": "fold.pdf", "leaf": "french fold", "sheet": "a2"},
        {"blank": 2, "stock": {"name": "board", "caliper": "0.5mm"}},
    ]
    cover = '\n[cover]\nsheet = "sra3"\nstock = { caliper = "0.3mm" }\n'
    plan = made(tmp_path, pages, PERFECT, ON_A4 + cover)
    assert plan.cover is not None
    assert plan.cover.spine.width == mm(3)
    assert "put in" in plan.cover.spine.source
    rows = " ".join(PdfReader(tmp_path / "out" / "ticket.pdf").pages[0].extract_text().split())
    assert "Inset 3" in rows and "board" in rows


# -- sheets of another stock among folded ones -------------------------------------------------


def test_a_coloured_sheet_in_the_middle_of_a_zine(tmp_path: Path) -> None:
    """Pages 7 to 10 of 16 are the innermost sheet of four."""
    pages: list[object] = [
        "body.pdf[1-6]", {"file": "body.pdf", "pages": "7-10", "stock": "cover-65lb"},
        "body.pdf[11-16]",
    ]  # fmt: skip
    plan = made(tmp_path, pages, 'binding = "saddle"', 'sheet = "sra3"')
    assert [bool(sheet.stock) for sheet in plan.sheets] == [False, False, False, True]
    assert read_proof(tmp_path) == [f"b{n}" for n in range(1, 17)]
    assert not [f for f in plan.findings if f.code.startswith("proof-")]


def test_creep_follows_the_calipers_of_the_sheets_outside(tmp_path: Path) -> None:
    """The outermost sheet of 0.5 mm, the others 0.1: shifts of 0, 0.5, 0.6, 0.7 mm."""
    thick = {"name": "board", "caliper": "0.5mm"}
    pages: list[object] = [
        {"file": "body.pdf", "pages": "1-2", "stock": thick}, "body.pdf[3-14]",
        {"file": "body.pdf", "pages": "15-16", "stock": thick},
    ]  # fmt: skip
    plan = made(tmp_path, pages, 'binding = "saddle"', 'sheet = "sra3"')
    shifts = [sheet.front.placements[0].shift for sheet in plan.sheets]
    assert shifts == [mm(0), mm("0.5"), mm("0.6"), mm("0.7")]
    assert not [f for f in plan.findings if f.code.startswith("proof-")]


def test_a_page_alone_cannot_have_a_folded_sheet_of_its_own(tmp_path: Path, capsys: Any) -> None:
    pages: list[object] = [
        "body.pdf[1-2]", {"file": "body.pdf", "pages": "3-4", "stock": "cover-65lb"},
        "body.pdf[5-8]",
    ]  # fmt: skip
    said = refused(tmp_path, capsys, pages, 'binding = "saddle"', 'sheet = "sra3"')
    assert "pages 3-6" in said and "tipped in" in said


# -- faults ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "item", "words"),
    [
        (148, {"leaf": "fold-out"}, "page 3 is 148 mm wide"),
        (160, {"leaf": "narrow"}, "a narrow leaf ends inside the trim"),
        (148, {"leaf": "french fold"}, "the fold must keep"),
        (200, {}, "fold-out"),
        (160, {"fit": "refuse"}, "the trim is 148 x 210 mm"),
        (400, {"leaf": "fold-out"}, "there is no room for"),
    ],
)
def test_leaves_that_do_not_suit(
    tmp_path: Path, capsys: Any, width: int, item: dict[str, str], words: str
) -> None:
    write_pages(tmp_path / "odd.pdf", ["o1", "o2"], width, 210)
    pages: list[object] = ["body.pdf[1-2]", {"file": "odd.pdf", **item}, "body.pdf[3-4]"]
    assert words in refused(tmp_path, capsys, pages, PERFECT, ON_A4).replace("\n", " ")


def test_french_folded_leaves_are_not_left_loose(tmp_path: Path, capsys: Any) -> None:
    pages: list[object] = ["body.pdf[1-2]", {"blank": 2, "leaf": "french fold"}]
    assert "open edges" in refused(tmp_path, capsys, pages, 'binding = "loose"', ON_A4)


def test_two_sides_of_a_leaf_are_equally_wide(tmp_path: Path, capsys: Any) -> None:
    write_pages(tmp_path / "one.pdf", ["o1"], 250, 210)
    write_pages(tmp_path / "two.pdf", ["o2"], 260, 210)
    pages: list[object] = [
        "body.pdf[1-2]", {"file": "one.pdf", "leaf": "fold-out"},
        {"file": "two.pdf", "leaf": "fold-out"},
    ]  # fmt: skip
    said = refused(tmp_path, capsys, pages, PERFECT, 'sheet = "a3"')
    assert "250 mm" in said and "260 mm" in said


def test_a_book_of_insets_alone_is_refused(tmp_path: Path, capsys: Any) -> None:
    pages: list[object] = [{"file": "body.pdf", "pages": "1-4", "stock": "cover-65lb"}]
    assert "no guts" in refused(tmp_path, capsys, pages, PERFECT, ON_A4)


# -- rules of size by range --------------------------------------------------------------------


@pytest.mark.parametrize("bound_at", ["left", "right"])
def test_pages_set_at_the_spine_change_sides(tmp_path: Path, bound_at: str) -> None:
    """Pages 130 x 200 mm on A5, at spine and head: the trim begins at the page's own spine edge."""
    write_pages(tmp_path / "odd.pdf", ["o1", "o2", "o3"], 130, 200)
    pages: list[object] = [
        "body.pdf[1-2]", {"file": "odd.pdf", "align": ["spine", "head"]}, "body.pdf[3-5]",
    ]  # fmt: skip
    plan = made(tmp_path, pages, f'{PERFECT}\nbound_at = "{bound_at}"', ON_A4)
    left = [fit.box.x0.near(mm(0), mm("0.5")) for fit in plan.pages[2:5]]
    assert left == ([True, False, True] if bound_at == "left" else [False, True, False])
    assert all(fit.box.y1.near(mm(200), mm("0.5")) for fit in plan.pages[2:5])
    assert all(fit.box.size.near(Size(mm(148), mm(210)), mm("0.001")) for fit in plan.pages[2:5])


def test_pages_keep_to_the_spine_when_blanks_move_them(tmp_path: Path) -> None:
    """Five pages make eight in a saddle book: with the blanks before page 2, page 3 of the file
    falls on a verso."""
    write_pages(tmp_path / "odd.pdf", ["o1"], 130, 210)
    pages: list[object] = [
        "body.pdf[1-2]", {"file": "odd.pdf", "align": "spine"}, "body.pdf[3-4]",
    ]  # fmt: skip
    plan = made(tmp_path, pages, 'binding = "saddle"\nblanks = "before page 2"', 'sheet = "sra3"')
    order = plan.reading_order()
    assert order.index(3) % 2 == 1  # the sixth page
    assert plan.pages[2].box.x1.near(mm(130), mm("0.5"))


def test_one_range_is_scaled_and_another_refused(tmp_path: Path, capsys: Any) -> None:
    write_pages(tmp_path / "big.pdf", ["o1", "o2"], 210, 297)
    pages: list[object] = ["body.pdf[1-2]", {"file": "big.pdf", "fit": "scale"}]
    plan = made(tmp_path, pages, PERFECT, ON_A4)
    assert [fit.scale == 1 for fit in plan.pages] == [True, True, False, False]
    pages = ["body.pdf[1-2]", {"file": "big.pdf", "pages": "1", "fit": "scale"}, "big.pdf[2]"]
    said = refused(tmp_path, capsys, pages, PERFECT, ON_A4)
    assert "page 4" in said and "page 3" not in said


def test_a_page_cannot_be_set_at_both_sides(tmp_path: Path, capsys: Any) -> None:
    write_pages(tmp_path / "odd.pdf", ["o1"], 130, 200)
    pages: list[object] = ["body.pdf[1-2]", {"file": "odd.pdf", "align": ["head", "foot"]}]
    assert "head and foot" in refused(tmp_path, capsys, pages, PERFECT, ON_A4)


# -- what the knife takes of them --------------------------------------------------------------


def test_live_matter_is_judged_at_the_leafs_own_edges(tmp_path: Path, capsys: Any) -> None:
    """A word 1 mm from the outer edge of a fold-out, which is cut before it is folded."""
    path = tmp_path / "map.pdf"
    canvas = Canvas(str(path), pagesize=(300 * points_per_mm, 210 * points_per_mm))
    canvas.setFont("Helvetica", 20)
    canvas.drawRightString(299 * points_per_mm, 300, "harbour")
    canvas.showPage()
    canvas.save()
    pages: list[object] = ["body.pdf[1-2]", {"file": "map.pdf", "leaf": "fold-out"}]
    job = write_job(tmp_path, pages, PERFECT, 'sheet = "a3"')
    assert run(["check", str(job), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["findings"]
    cut = [f for f in found if f["code"] == "may-be-cut" and f["pages"] == [3]]
    assert [f["side"] for f in cut] == ["fore-edge"]


def test_no_fold_line_is_a_cut(tmp_path: Path) -> None:
    write_pages(tmp_path / "map.pdf", ["map1"], 380, 210)
    pages: list[object] = [
        "body.pdf[1-4]", {"file": "map.pdf", "leaf": "fold-out", "sheet": "a2"},
    ]  # fmt: skip
    plan = made(tmp_path, pages, PERFECT, ON_A4)
    (sheet,) = [sheet for sheet in plan.sheets if sheet.role == "inset 1"]
    folds = [line for line in sheet.lines if line.kind is LineKind.FOLD]
    assert [line.of for line in folds] == ["fold-out"] * len(plan.insets[0].folds)
    early = {cut.id for cut in plan.cuts if cut.when is When.BEFORE_BINDING}
    assert all(cut.endswith(", inset 1") for cut in early)
