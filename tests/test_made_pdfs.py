"""PDFs that nobody would write by hand, through `make` and its proof: the page on the sheet, and
in the book, equals the source; every reader opens what is written.

Boxes lie anywhere, in any order, beyond each other or without an area; pages are
turned by any multiple of 90, measured in any unit; contents are one stream, many,
none, shared or broken off; annotations have appearances with matrices, or none.
"""

from __future__ import annotations

import json
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from pdf_samples import Sample, appearance
from pikepdf import Array, Dictionary, Name, Object

from impose.cli.main import run
from tests.corpus.comparing import SHARE, Spot, compare, complaints, difference, readers

BOXES = st.sampled_from(["none", "same", "inside", "beyond", "apart", "flat", "turned round"])
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Drawn:
    """One page as drawn by hypothesis; `x`, `y` is the MediaBox's lower left corner."""

    x: float
    y: float
    width: int
    height: int
    swapped: bool
    crop: str
    trim: str
    bleed: str
    rotate: int
    unit: float
    contents: str
    annotation: str

    @property
    def media(self) -> Box:
        return self.x, self.y, self.x + self.width, self.y + self.height


CONTENTS = ("one", "split", "none", "empty", "unbalanced", "cut short", "shared")
PAGES = st.builds(
    Drawn,
    x=st.sampled_from([0, -37.25, 512.125, 3]),
    y=st.sampled_from([0, 81.5, -300]),
    width=st.integers(150, 420),
    height=st.integers(150, 420),
    swapped=st.booleans(),
    crop=BOXES,
    trim=BOXES,
    bleed=BOXES,
    rotate=st.sampled_from([0, 0, 90, 180, 270, -90, -270, 450, -540]),
    unit=st.sampled_from([1, 1, 1, 0.5, 2.25]),
    contents=st.sampled_from(
        ["one", "split", "none", "empty", "unbalanced", "cut short", "shared"]
    ),
    annotation=st.sampled_from(["none", "none", "stamp", "turned", "no appearance"]),
)


def box_of(kind: str, media: Box) -> Box | None:
    x0, y0, x1, y1 = media
    w, h = x1 - x0, y1 - y0
    return {
        "none": None,
        "same": media,
        "inside": (x0 + w / 16, y0 + h / 8, x1 - w / 4, y1 - h / 16),
        "beyond": (x0 - 50, y0 - 20, x1 + 30, y1 + 10),
        "apart": (x1 + 10, y1 + 10, x1 + 60, y1 + 60),
        "flat": (x0 + 5, y0 + 5, x0 + 5, y1 - 5),
        "turned round": (x1 - w / 8, y1 - h / 8, x0 + w / 8, y0 + h / 8),
    }[kind]


def operators(page: Drawn) -> bytes:
    """A grey ground, a corner, a bar and a rule that tell every turn and mirror apart."""
    x0, y0, x1, y1 = page.media
    w, h = page.width, page.height
    parts = [
        f"0.85 g {x0} {y0} {w} {h} re f",
        f"0 g {x0 + w / 3} {y0 + h / 3} {w / 6} {h / 3} re f",
        f"0.4 g {x0 + w / 2} {y0 + h / 2} {w / 4} {h / 8} re f",
        f"q 0 G 6 w {x0} {y1 - h / 6} m {x0 + w / 2} {y1 - h / 6} l S Q",
        f"0.6 g {x1 - w / 5} {y0} {w / 5} {h / 5} re f",
    ]
    return "\n".join(parts).encode()


def contents_of(page: Drawn, sample: Sample, shared: list[Object]) -> Object | bytes | None:
    drawn = operators(page)
    if page.contents == "none":
        return None
    if page.contents == "empty":
        return Array([])
    if page.contents == "split":
        lines = drawn.split(b"\n")
        streams = [sample.pdf.make_indirect(sample.stream(line)) for line in lines]
        return Array([sample.pdf.make_indirect(sample.stream(b"")), *streams])
    if page.contents == "unbalanced":
        return b"Q Q q q 1 0 0 1 0 0 cm\n" + drawn + b"\nq 3 0 0 3 7 7 cm BT"
    if page.contents == "cut short":
        return drawn + b"\n1 0 0 1 20"
    if page.contents == "shared":
        if not shared:
            shared.append(sample.pdf.make_indirect(sample.stream(drawn)))
        return shared[0]
    return drawn


def annotate(made: Object, page: Drawn, sample: Sample) -> None:
    x, y = page.x + page.width / 2, page.y + page.height / 10
    entries: dict[str, Any] = {
        "Type": Name.Annot, "Subtype": Name.Stamp, "F": 4,
        "Rect": Array([x, y, x + 60, y + 40]),
    }  # fmt: skip
    if page.annotation != "no appearance":
        more = {"Matrix": Array([0, 1, -1, 0, 0, 0])} if page.annotation == "turned" else {}
        look = appearance(sample, b"0.2 g 0 0 40 40 re f 1 g 4 4 10 20 re f", **more)
        entries["AP"] = Dictionary(N=sample.pdf.make_indirect(look))
    made.Annots = Array([sample.pdf.make_indirect(Dictionary(**entries))])


def write(pages: list[Drawn], path: Path) -> Path:
    sample = Sample()
    shared: list[Object] = []
    for page in pages:
        x0, y0, x1, y1 = page.media
        corners = (x1, y1, x0, y0) if page.swapped else page.media
        made = sample.page(contents_of(page, sample, shared), MediaBox=Array(list(corners)))
        for name in ("crop", "trim", "bleed"):
            box = box_of(getattr(page, name), page.media)
            if box is not None:
                made[f"/{name.capitalize()}Box"] = Array(list(box))
        if page.rotate:
            made.Rotate = page.rotate
        if page.unit != 1:
            made.UserUnit = page.unit
        if page.annotation != "none":
            annotate(made, page, sample)
    return sample.save(path)


@pytest.mark.parametrize("binding", ["perfect", "saddle"])
@given(pages=st.lists(PAGES, min_size=1, max_size=5))
@settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],  # to shrink a book takes minutes
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_the_page_on_the_sheet_and_in_the_book_is_the_source(
    binding: str, pages: list[Drawn]
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        source = write(pages, folder / "source.pdf")
        before = source.read_bytes()
        job = folder / "job.toml"
        job.write_text(
            f'[book]\npages = "source.pdf"\ntrim = "a6"\nfit = "scale"\nbinding = "{binding}"\n'
            f'proof = "single pages"\n[guts]\nsheet = "a4"\n'
        )
        out = folder / "out"
        only = "guts,proof,plan"
        code = run(["make", str(job), "--out", str(out), "--only", only, "--no-check", "--quiet"])
        assert code == 0
        assert readers(out / "guts.pdf", str(source)) == []
        assert complaints(out / "proof.pdf") == []
        _, faults = compare(out, str(source))
        assert faults == []
        if binding == "perfect":
            assert in_the_proof(out, source) == []
        assert source.read_bytes() == before


def in_the_proof(out: Path, source: Path) -> list[str]:
    """Pages of the proof that are not the source's."""
    plan = json.loads((out / "plan.json").read_text("utf-8"))
    lost = {n for f in plan["findings"] if f["code"] == "annotation-lost" for n in f["pages"]}
    units = {n: page for n, page in enumerate(plan["pages"], start=1)}
    faults = []
    with (
        pypdfium2.PdfDocument(out / "proof.pdf") as proof,
        pypdfium2.PdfDocument(source) as original,
    ):
        for number, page in units.items():
            if number in lost:
                continue
            trim = list(proof[number - 1].get_trimbox())
            spot = Spot(number - 1, {"art": trim, "trim": trim, "turn": 0}, page)
            share = difference(original, proof, spot, user_unit(source, number))
            if share is not None and share > SHARE:
                faults.append(f"page {number} differs on {share:.1%} of its area")
    return faults


def user_unit(source: Path, number: int) -> float:
    with pikepdf.open(source) as pdf:
        return float(pdf.pages[number - 1].obj.get("/UserUnit", 1))
