"""The rules that need no PDF: plans made from facts alone, looks written by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from impose.checks.machines import book_thickness, check_machine, saddle_pile, untrimmed_spine
from impose.checks.papers import check_grain, check_score
from impose.checks.run import check_all
from impose.checks.safe import SafeDistances
from impose.checks.words import is_number, measured, stated
from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt
from impose.model.facts import BookPage, PageFacts, SourceFacts
from impose.model.job import Binding, Guts, Job, NamedSize
from impose.model.looks import Matter, Outline, PageLook
from impose.model.machines import Bench, Binder, Creaser, Creasing, Cutter
from impose.model.stock import CaliperFrom, Grain, Stock
from impose.plan.parts import Side
from impose.plan.plan import Plan
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

MM = Length.mm
A5 = Size(MM(148), MM(210))
STOCK = Stock(
    name="copy", caliper=MM("0.1"), caliper_from=CaliperFrom.STATED, grammage=Fraction(80)
)


def job_of(binding: Binding, stock: Stock = STOCK, **more: object) -> Job:
    """A5 on a sheet of 320 x 450 mm."""
    job = Job(
        title="t",
        unit="mm",
        pages=(),
        binding=binding,
        guts=Guts(stock=stock, sheets=(NamedSize(size=Size(MM(320), MM(450)), name="sra3"),)),
        folder=Path("."),
        trim=NamedSize(size=A5, name="a5"),
    )
    return replace(job, **more)  # type: ignore[arg-type]


def facts_of(count: int, size: Size = A5) -> SourceFacts:
    box = Box(ZERO, ZERO, size.width, size.height)
    return SourceFacts("book.pdf", (PageFacts(media=box, crop=box),) * count)


def plan_of(job: Job, count: int) -> Plan:
    pages = [BookPage(0, i + 1, page) for i, page in enumerate(facts_of(count).pages)]
    return plan_sheets(job, pages, range(1, count + 1), ["book.pdf"])


def checked(
    job: Job, count: int, outlines: dict[int, list[Outline]], safe: SafeDistances | None = None
) -> tuple[Finding, ...]:
    """Findings for pages of which only these outlines are known."""
    looks = [
        PageLook(file=0, number=n, outlines=tuple(outlines.get(n, ()))) for n in range(1, count + 1)
    ]
    return check_all(plan_of(job, count), job, [facts_of(count)], looks, safe or SafeDistances())


def text(words: str, x0: str, y0: str, x1: str, y1: str) -> Outline:
    return Outline(Matter.TEXT, Box(MM(x0), MM(y0), MM(x1), MM(y1)), words)


# -- which side is which ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("bound_at", "page", "x0", "side"),
    [
        # From the definition: a left-bound recto has its spine at its left.
        (BoundAt.LEFT, 3, "1", "spine"),
        (BoundAt.LEFT, 4, "1", "fore-edge"),
        (BoundAt.LEFT, 3, "145", "fore-edge"),
        (BoundAt.LEFT, 4, "145", "spine"),
        (BoundAt.RIGHT, 3, "1", "fore-edge"),
        (BoundAt.RIGHT, 4, "1", "spine"),
    ],
)
@pytest.mark.parametrize("binding", [Binding.PERFECT, Binding.SECTIONS])
def test_sides_follow_the_binding(
    binding: Binding, bound_at: BoundAt, page: int, x0: str, side: str
) -> None:
    end = str(int(x0) + 2)
    found = checked(
        job_of(binding, bound_at=bound_at), 16, {page: [text("x", x0, "80", end, "84")]}
    )
    (one,) = found
    assert (one.side, one.pages) == (side, (page,))
    # The second leaf of a section lies one caliper nearer to the fold.
    creeps = binding is Binding.SECTIONS and side == "spine"
    assert one.numbers["distance"] == ("0.9 mm" if creeps else "1 mm")


def test_head_bound_pages_lose_their_head_and_foot_to_the_spine() -> None:
    """Seen upright, the spine side of a recto is its head, that of a verso its foot."""
    job = job_of(Binding.PERFECT, bound_at=BoundAt.HEAD)
    at_head, at_foot = text("h", "60", "207", "70", "209"), text("f", "60", "1", "70", "3")
    assert [f.side for f in checked(job, 8, {3: [at_head]})] == ["spine"]
    assert [f.side for f in checked(job, 8, {4: [at_foot]})] == ["spine"]
    assert [f.side for f in checked(job, 8, {3: [at_foot]})] == ["fore-edge"]


def test_no_knife_no_alarm() -> None:
    """A5 on A4 leaves nothing to cut at head and foot, but the sheet ends there."""
    sheet = NamedSize(size=Size(MM(210), MM(297)), name="a4")
    job = job_of(Binding.SADDLE)
    job = replace(job, guts=replace(job.guts, sheets=(sheet,)))
    near, over = text("near", "60", "1", "70", "3"), text("over", "60", "-1", "70", "3")
    assert checked(job, 8, {2: [near]}) == ()
    (one,) = checked(job, 8, {2: [over]})
    assert (one.code, one.side) == ("cut-off", "foot")


# -- the same thing on many pages ------------------------------------------------------


def test_page_numbers_are_one_finding_with_the_nearest() -> None:
    numbers = {n: [text(str(n), "70", f"2.{n % 3}", "74", "5")] for n in range(3, 119)}
    (one,) = checked(job_of(Binding.PERFECT), 120, numbers)
    assert one.message == (
        "page numbers on pages 3-118: 2 mm from the foot trim; 3.175 mm is safe: may be cut"
    )
    assert one.pages == tuple(range(3, 119))


def test_things_at_different_places_are_told_apart() -> None:
    found = checked(
        job_of(Binding.PERFECT),
        8,
        {
            3: [text("a note", "20", "1", "40", "3"), text("3", "120", "2.8", "124", "5")],
            5: [text("a note", "20", "1", "40", "3")],
            6: [text("another", "60", "1", "100", "3")],
        },
    )
    # The place is measured from the spine: 48 mm on page 6, 20 mm on pages 3 and 5.
    told = {(f.pages, str(f.numbers["thing"])) for f in found}
    assert told == {((3,), '"3"'), ((3, 5), '"a note"'), ((6,), '"another"')}


def test_a_book_full_of_different_lines_is_told_once() -> None:
    lines = {n: [text(f"line {n}", "60", f"0.{n:02d}", "90", "4")] for n in range(3, 90, 7)}
    lines |= {n: [text(f"line {n}", "60", f"2.{n:02d}", "90", "4")] for n in range(4, 90, 7)}
    found = checked(job_of(Binding.PERFECT), 96, lines)
    assert len(found) <= 6
    assert {page for f in found for page in f.pages} == set(lines)


def test_safe_distances_are_settings() -> None:
    line = {3: [text("x", "60", "4", "70", "6")]}
    assert checked(job_of(Binding.PERFECT), 8, line) == ()
    (one,) = checked(job_of(Binding.PERFECT), 8, line, SafeDistances(foot=MM(5)))
    assert one.numbers == {
        "thing": '"x"',
        "distance": "4 mm",
        "safe": "5 mm",
        "nearest_page": 3,
        "box": Box(MM(60), MM(4), MM(70), MM(6)).text("pt"),
    }


def test_the_cutters_tolerance_is_said() -> None:
    cutter = Cutter(
        name="Lever", widest=MM(430), gauge_min=MM(20), gauge_max=MM(400), clamp_opening=MM(40),
        tolerance=MM("0.5"),
    )  # fmt: skip
    job = job_of(Binding.PERFECT, bench=Bench(cutter=cutter))
    (one,) = checked(job, 8, {3: [text("x", "60", "1", "70", "3")]})
    assert one.message.endswith("may be cut (Lever cuts to within 0.5 mm)")


def test_a_page_not_looked_at_is_said_and_nothing_else() -> None:
    job = job_of(Binding.PERFECT)
    looks = [PageLook(file=0, number=n, looked=n != 3, trouble="x" * (n == 3)) for n in range(1, 9)]
    found = check_all(plan_of(job, 8), job, [facts_of(8)], looks)
    assert [(f.code, f.pages, f.severity.value) for f in found] == [
        ("page-not-looked-at", (3,), "note")
    ]


def test_the_covers_art_is_called_the_cover() -> None:
    job = job_of(Binding.PERFECT)
    plan = plan_of(job, 8)
    # As a cover is appended: a fit after the book's pages, placed on a sheet of its own.
    front = replace(plan.sheets[0].front.placements[0], page=9)
    sheet = replace(plan.sheets[0], role="cover", front=Side((front,)), back=Side(()))
    plan = replace(plan, pages=(*plan.pages, plan.pages[0]), sheets=(*plan.sheets, sheet))
    looks = [
        PageLook(file=0, number=n, fonts_missing=("Courier",) * (n in (2, 9))) for n in range(1, 10)
    ]
    near = Outline(Matter.TEXT, Box(MM(1), MM(1), MM(5), MM(3)), "x")
    looks[8] = replace(looks[8], outlines=(near,))
    (one,) = check_all(plan, job, [facts_of(9)], looks)
    assert one.message.startswith("the font Courier on page 2 and the cover is not in the file")
    assert one.pages == (2,)


# -- machines --------------------------------------------------------------------------


def codes(found: tuple[Finding, ...]) -> list[str]:
    return [f.code for f in found]


def test_page_count_against_the_stapler() -> None:
    stapler = Binder(name="Stapler", pages_min=8, pages_max=16, binding="saddle")
    for pages, wanted in ((4, ["page-count"]), (8, []), (16, []), (20, ["page-count"])):
        job = job_of(Binding.SADDLE, bench=Bench(binder=stapler))
        assert codes(check_machine(plan_of(job, pages), job)) == wanted


def test_spine_against_the_binder() -> None:
    """Thinnest spine 0.060 in: pugetbindery.com, printoriumbookworks.islandblue.com."""
    thin = Length.inches("0.060")
    binder = Binder(name="Clamp", spine_min=thin, spine_max=MM(5))
    job = job_of(Binding.PERFECT, bench=Bench(binder=binder))
    assert codes(check_machine(plan_of(job, 30), job)) == ["spine-thickness"]  # 1.5 mm
    assert codes(check_machine(plan_of(job, 32), job)) == []  # 1.6 mm
    assert codes(check_machine(plan_of(job, 102), job)) == ["spine-thickness"]  # 5.1 mm
    assert book_thickness(plan_of(job, 32), job) == MM("1.6")


def test_pile_under_the_stapling_head() -> None:
    stapler = Binder(name="Stapler", pile_max=MM("0.5"))
    job = job_of(Binding.SADDLE, bench=Bench(binder=stapler))
    assert saddle_pile(plan_of(job, 20), job) == MM("0.5")
    assert codes(check_machine(plan_of(job, 20), job)) == []
    assert codes(check_machine(plan_of(job, 24), job)) == ["pile-thickness"]


def test_untrimmed_spine_is_what_goes_into_the_binder() -> None:
    job = job_of(Binding.SADDLE)
    # Folded once across the long way: the whole short edge of the sheet is the spine.
    assert untrimmed_spine(plan_of(job, 8)) in (MM(320), MM(450))
    loose = replace(job_of(Binding.PERFECT), guts=replace(job.guts, up=1))
    assert untrimmed_spine(plan_of(loose, 8)) in (MM(320), MM(450))
    # Several leaves a sheet are parted first: trim and 1/8 in at head and at foot.
    parted = replace(loose, guts=replace(job.guts, up=4))
    assert untrimmed_spine(plan_of(parted, 8)) == MM(210) + Length.inches("1/8") * 2
    short = Binder(name="Clamp", spine_length_min=MM(250))
    parted = replace(parted, bench=Bench(binder=short))
    assert codes(check_machine(plan_of(parted, 8), parted)) == ["spine-length"]


def test_a_machine_that_makes_other_books() -> None:
    job = job_of(Binding.PERFECT, bench=Bench(binder=Binder(name="S", binding="saddle")))
    assert codes(check_machine(plan_of(job, 8), job)) == ["binder-binding"]


# -- paper -----------------------------------------------------------------------------


@pytest.mark.parametrize("grain", list(Grain))
@pytest.mark.parametrize("binding", [Binding.PERFECT, Binding.SADDLE])
def test_grain_runs_along_the_spine_or_is_told(binding: Binding, grain: Grain) -> None:
    """Spines run up the sheet as it lies: along its long edge when it stands upright."""
    job = job_of(binding, replace(STOCK, grain=grain))
    plan = plan_of(job, 16)
    size = plan.sheets[0].size
    fibres_up = (grain is Grain.LONG) == (size.height > size.width)
    assert codes(check_grain(plan, job)) == ([] if fibres_up else ["grain-across"])


def test_grain_that_nobody_said_is_not_judged() -> None:
    job = job_of(Binding.PERFECT)
    assert check_grain(plan_of(job, 8), job) == ()


def test_heavy_stock_that_folds_wants_a_score() -> None:
    """150 g/m2: condat-pap.com."""
    for weight, wanted in ((149, []), (150, ["score-needed"])):
        stock = replace(STOCK, grammage=Fraction(weight))
        folded, glued = job_of(Binding.SADDLE, stock), job_of(Binding.PERFECT, stock)
        assert codes(check_score(plan_of(folded, 8), folded)) == wanted
        assert codes(check_score(plan_of(glued, 8), glued)) == []
    creaser = Creaser(
        name="C", folds=Creasing.BOTH, stop_min=MM(10), stop_max=MM(600), widest=MM(500)
    )
    folded = job_of(Binding.SADDLE, stock, bench=Bench(creaser=creaser))
    (one,) = check_score(plan_of(folded, 8), folded)
    assert one.severity.value == "note"


# -- words -----------------------------------------------------------------------------


@pytest.mark.parametrize("words", ["12", "xiv", "- 7 -", "– 118 –", "[3]"])
def test_page_numbers_are_known(words: str) -> None:
    assert is_number(words)


@pytest.mark.parametrize("words", ["", "-", "page one", "12 monkeys", "mix up"])
def test_other_words_are_not_page_numbers(words: str) -> None:
    assert not is_number(words)


def test_measures_are_exact_or_say_about() -> None:
    assert stated(Length.inches("1/8"), "mm") == "3.175 mm"
    assert stated(Length.inches("3/16"), "mm") == "about 4.762 mm"
    assert measured(MM(2), "mm") == "2 mm"
    assert measured(MM("2.0371"), "mm") == "about 2 mm"
    assert measured(MM(2), "in") == "about 0.08 in"
