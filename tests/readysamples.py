"""Sheets that break no rule of ISO 15930 that can be told, and changes to them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pikepdf
from iccsamples import profile
from pdf_samples import Sample, annotation, appearance, output_intents
from pikepdf import Array, Dictionary, Name, Stream

from impose.checks.ready import check_ready
from impose.model.conditions import Part
from impose.pdf.sheetreading import read_sheets

Change = Callable[[Sample, pikepdf.Object], object]


def sheet(path: Path, change: Change | None = None, **save: object) -> Path:
    """A page that breaks no rule of any part, and then is changed."""
    sample = Sample()
    sample.pdf.Root.OutputIntents = output_intents(sample.pdf, "Quay", profile())
    sample.resources.Font = Dictionary()
    page = sample.page(b"0 0.5 0.5 0 k 10 10 50 50 re f")
    page.BleedBox = Array([5, 5, 195, 295])
    page.TrimBox = Array([10, 10, 190, 290])
    if change is not None:
        change(sample, page)
    save.setdefault("force_version", "1.4")
    if "encryption" not in save:
        save.setdefault("stream_decode_level", pikepdf.StreamDecodeLevel.none)
        save.setdefault("compress_streams", False)
    save.setdefault("object_stream_mode", pikepdf.ObjectStreamMode.disable)
    return sample.save(path, **save)


def broken(path: Path, part: Part) -> list[str]:
    return [f.code.removeprefix("ready-") for f in check_ready(read_sheets(path), part, "mm")]


def content(data: bytes) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        page.Contents = sample.stream(data)

    return change


def state(used: bool = True, **entries: object) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        sample.resources.ExtGState = Dictionary(G1=Dictionary(Type=Name.ExtGState, **entries))
        page.Contents = sample.stream(b"/G1 gs 1 1 2 2 re f" if used else b"1 1 2 2 re f")

    return change


def image(**entries: object) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        given = {"ColorSpace": Name.DeviceCMYK, "BitsPerComponent": 8, **entries}
        data = Stream(
            sample.pdf, bytes(8), Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1, **given
        )
        sample.resources.XObject = Dictionary(I1=data)
        page.Contents = sample.stream(b"q 10 0 0 10 20 20 cm /I1 Do Q")

    return change


def form(data: bytes = b"0 g", **entries: object) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        inner = sample.stream(
            data, Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]), **entries
        )
        outer = sample.stream(
            b"/X2 Do", Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]),
            Resources=Dictionary(XObject=Dictionary(X2=inner)),
        )  # fmt: skip
        sample.resources.XObject = Dictionary(X1=outer)
        page.Contents = sample.stream(b"/X1 Do")

    return change


def icc_space(channels: int) -> Callable[[Sample], object]:
    return lambda sample: Array(
        [Name.ICCBased, Stream(sample.pdf, profile(b"RGB ", b"mntr"), N=channels)]
    )


def tiles(data: bytes) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        tile = sample.stream(
            data, PatternType=1, PaintType=1, TilingType=1, BBox=Array([0, 0, 2, 2]), XStep=2,
            YStep=2, Resources=Dictionary(),
        )  # fmt: skip
        sample.resources.Pattern = Dictionary(P1=tile)
        page.Contents = sample.stream(b"/Pattern cs /P1 scn 1 1 2 2 re f")

    return change


def note(subtype: str, *rect: float) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        drawn = appearance(sample, b"0 g 0 0 9 9 re f")
        page.Annots = Array([annotation(sample, subtype, rect, AP=Dictionary(N=drawn))])

    return change


def root(**entries: object) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        for key, value in entries.items():
            sample.pdf.Root[f"/{key}"] = value

    return change
