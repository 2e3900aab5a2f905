"""The plan as JSON data and back: `plan.json` is the contract with other programs.

Lengths are numbers in points with at most seven decimals, which gives the same
exact `Length` when they are read as decimals.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from impose.findings import Finding, Severity
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import BoundAt, Edge, PageSides
from impose.geometry.turning import Turnover
from impose.plan.coverfacts import cover_data, cover_of
from impose.plan.cutwire import facts_data, facts_of, step_data, step_of
from impose.plan.flatfacts import items_data, items_of
from impose.plan.holes import holes_data, holes_of
from impose.plan.insetfacts import gather_data, gather_of, inset_data, inset_of
from impose.plan.movewire import fill_data, fill_of, move_data, move_of, strip_data, strip_of
from impose.plan.parts import (
    Cut,
    FoldStep,
    Line,
    LineKind,
    Mark,
    MarkGroup,
    Placement,
    Shape,
    Sheet,
    Side,
    When,
)
from impose.plan.plan import FORMAT, VERSION, Creep, PageFit, Plan
from impose.plan.pressfacts import click_data, click_of, press_data, press_of
from impose.plan.printfacts import print_data, print_of
from impose.plan.scoresteps import score_data, score_of
from impose.units import Length, points_text

Data = dict[str, Any]


def to_text(plan: Plan, made: Iterable[tuple[str, str]] = (), made_from: str = "") -> str:
    """`plan.json`: the plan, name and SHA-256 of each file made from it, and the digest of all
    that it was made from, where one is known."""
    data = to_data(plan)
    data["made"] = dict(made)
    if made_from:
        data["made_from"] = made_from
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")) + "\n"


def from_text(text: str) -> Plan:
    """The plan of a `plan.json`.  Raises ValueError for another format or version."""
    return from_data(json.loads(text, parse_float=Decimal))


def to_data(plan: Plan) -> Data:
    """The plan as JSON data."""
    groups = _groups(plan)
    index = {id(group): number for number, group in enumerate(groups)}
    return {
        "format": FORMAT,
        "version": VERSION,
        "units": "pt",
        "title": plan.title,
        "unit_for_people": plan.unit,
        "scheme": plan.scheme,
        "binding": plan.binding,
        "bound_at": plan.bound_at.value,
        "trim_size": [_pt(plan.trim.width), _pt(plan.trim.height)],
        "faces": plan.faces,
        "grind": _pt(plan.grind),
        "creep": {
            "per_level": _pt(plan.creep.per_level),
            "total": _pt(plan.creep.total),
            "source": plan.creep.source,
        },
        "mark_ink": plan.mark_ink,
        **({"two_up": plan.two_up} if plan.two_up else {}),
        **({"press": press_data(plan.press)} if plan.press else {}),
        **click_data(plan.clicks),
        **print_data(plan.condition),
        "files": list(plan.files),
        "pages": [_page(fit) for fit in plan.pages],
        "sheets": [_sheet(sheet, index) for sheet in plan.sheets],
        "mark_groups": [[_mark(mark) for mark in group.marks] for group in groups],
        "cuts": [
            {"id": c.id, "when": c.when.value, "side": c.side, "title": c.title} for c in plan.cuts
        ],
        "cut_steps": [step_data(step) for step in plan.cut_steps],
        "cut_facts": facts_data(plan.cut_facts),
        "cover": cover_data(plan.cover),
        "score_steps": [score_data(step) for step in plan.score_steps],
        "gathering": [gather_data(step) for step in plan.gathering],
        **({"insets": [inset_data(inset) for inset in plan.insets]} if plan.insets else {}),
        **({"holes": holes_data(plan.holes)} if plan.holes else {}),
        **items_data(plan.items),
        "findings": [finding_data(finding) for finding in plan.findings],
    }


def finding_data(finding: Finding) -> Data:
    """A finding for `--json` and `plan.json`."""
    return {
        "severity": finding.severity.value,
        "code": finding.code,
        "message": finding.message,
        "hint": finding.hint,
        "file": finding.file,
        "pages": list(finding.pages),
        "side": finding.side,
        "line": finding.line,
        "numbers": dict(finding.numbers),
    }


def _pt(length: Length) -> float | int:
    text = points_text(length)
    return float(text) if "." in text else int(text)


def _groups(plan: Plan) -> list[MarkGroup]:
    """Each group once, in the order of first use."""
    found: dict[int, MarkGroup] = {}
    for sheet in plan.sheets:
        for _, side in sheet.sides:
            for group in side.marks:
                found.setdefault(id(group), group)
    return list(found.values())


def _box(box: Box) -> list[float | int]:
    return [_pt(box.x0), _pt(box.y0), _pt(box.x1), _pt(box.y1)]


def _page(fit: PageFit) -> Data:
    supplied = fit.supplied
    return {
        "file": fit.file,
        "number": fit.number,
        "box": _box(fit.box),
        "rotate": fit.rotate,
        "scale": str(fit.scale),
        "supplied": [
            _pt(n) for n in (supplied.left, supplied.bottom, supplied.right, supplied.top)
        ],
    }


def _sheet(sheet: Sheet, index: dict[int, int]) -> Data:
    return {
        "number": sheet.number,
        "role": sheet.role,
        **({"work": sheet.work} if sheet.work else {}),
        "size": [_pt(sheet.size.width), _pt(sheet.size.height)],
        "turned": sheet.turned.value,
        **({"stock": sheet.stock, "caliper": _pt(sheet.caliper)} if sheet.stock else {}),
        "section": sheet.section,
        "copies": sheet.copies,
        "front": _side(sheet.front, index),
        "back": _side(sheet.back, index),
        "lines": [
            *(_line(line, False) for line in sheet.lines),
            *(_line(line, True) for line in sheet.creep_lines),
        ],
        "folds": [
            {
                "id": f.id,
                "across": f.across,
                "at": _pt(f.at),
                "moving": f.moving.value,
                "under": f.under,
            }
            for f in sheet.folds
        ],
    }


def _side(side: Side, index: dict[int, int]) -> Data:
    return {
        "placements": [_placement(placement) for placement in side.placements],
        "marks": [index[id(group)] for group in side.marks],
        "own_marks": [_mark(mark) for mark in side.own_marks],
        "move": move_data(side.move),
        "fills": [fill_data(fill) for fill in side.fills],
        "strips": [strip_data(strip) for strip in side.strips],
    }


def _placement(p: Placement) -> Data:
    b = p.bleed
    return {
        "page": p.page,
        "position": p.position,
        "leaf": p.leaf,
        "trim": _box(p.trim),
        "art": _box(p.art),
        "turn": p.turn,
        "spine_at": p.spine_at.value,
        "upside_down": p.upside_down,
        "bleed": {
            "head": _pt(b.head),
            "foot": _pt(b.foot),
            "spine": _pt(b.spine),
            "fore_edge": _pt(b.fore_edge),
        },
        "shift": _pt(p.shift),
    }


def _line(line: Line, creeps: bool) -> Data:
    return {
        "kind": line.kind.value,
        "of": line.of,
        "from": [_pt(line.x0), _pt(line.y0)],
        "to": [_pt(line.x1), _pt(line.y1)],
        "creeps": creeps,
    }


def _mark(mark: Mark) -> Data:
    return {
        "kind": mark.kind,
        "shape": mark.shape.value,
        "from": [_pt(mark.x0), _pt(mark.y0)],
        "to": [_pt(mark.x1), _pt(mark.y1)],
        "weight": _pt(mark.weight),
        "text": mark.text,
        "turn": mark.turn,
    }


# -- and back --------------------------------------------------------------------------


def from_data(data: Data) -> Plan:
    """The plan of JSON data whose fractions were read as decimals."""
    if data.get("format") != FORMAT or data.get("version") != VERSION:
        raise ValueError(f"not a plan of version {VERSION}")
    groups = [MarkGroup(tuple(map(_mark_of, group))) for group in data["mark_groups"]]
    shared: dict[str, tuple[Line, ...]] = {}
    creep = data["creep"]
    return Plan(
        title=data["title"],
        unit=data["unit_for_people"],
        scheme=data["scheme"],
        binding=data["binding"],
        bound_at=BoundAt(data["bound_at"]),
        trim=_size_of(data["trim_size"]),
        pages=tuple(_page_of(page) for page in data["pages"]),
        files=tuple(data["files"]),
        faces=data["faces"],
        sheets=tuple(_sheet_of(sheet, groups, shared) for sheet in data["sheets"]),
        cuts=tuple(
            Cut(id=c["id"], when=When(c["when"]), side=c["side"], title=c["title"])
            for c in data["cuts"]
        ),
        cut_steps=tuple(map(step_of, data["cut_steps"])),
        cut_facts=facts_of(data["cut_facts"]),
        cover=cover_of(data["cover"]),
        score_steps=tuple(map(score_of, data["score_steps"])),
        gathering=tuple(map(gather_of, data["gathering"])),
        insets=tuple(map(inset_of, data.get("insets", ()))),
        holes=holes_of(data.get("holes")),
        creep=Creep(
            per_level=_len(creep["per_level"]), total=_len(creep["total"]), source=creep["source"]
        ),
        grind=_len(data["grind"]),
        mark_ink=data["mark_ink"],
        findings=tuple(map(finding_of, data["findings"])),
        items=items_of(data),
        two_up=data.get("two_up", ""),
        press=press_of(data["press"]) if "press" in data else None,
        clicks=click_of(data),
        condition=print_of(data),
    )


def _len(number: Decimal | int) -> Length:
    return Length.points(number)


def _size_of(pair: list[Any]) -> Size:
    return Size(_len(pair[0]), _len(pair[1]))


def _box_of(four: list[Any]) -> Box:
    return Box(_len(four[0]), _len(four[1]), _len(four[2]), _len(four[3]))


def _page_of(page: Data) -> PageFit:
    left, bottom, right, top = map(_len, page["supplied"])
    return PageFit(
        page["file"],
        page["number"],
        _box_of(page["box"]),
        page["rotate"],
        Fraction(page["scale"]),
        Edges(left=left, bottom=bottom, right=right, top=top),
    )


def _sheet_of(data: Data, groups: list[MarkGroup], shared: dict[str, tuple[Line, ...]]) -> Sheet:
    lines = tuple(_line_of(line) for line in data["lines"] if not line["creeps"])
    lines = shared.setdefault(repr(lines), lines)
    return Sheet(
        number=data["number"],
        size=_size_of(data["size"]),
        turned=Turnover(data["turned"]),
        front=_side_of(data["front"], groups),
        back=_side_of(data["back"], groups),
        lines=lines,
        creep_lines=tuple(_line_of(line) for line in data["lines"] if line["creeps"]),
        folds=tuple(
            FoldStep(
                id=f["id"],
                across=f["across"],
                at=_len(f["at"]),
                moving=Edge(f["moving"]),
                under=f["under"],
            )
            for f in data["folds"]
        ),
        section=data["section"],
        copies=data["copies"],
        role=data["role"],
        work=data.get("work", ""),
        stock=data.get("stock", ""),
        caliper=_len(data.get("caliper", 0)),
    )


def _side_of(data: Data, groups: list[MarkGroup]) -> Side:
    return Side(
        tuple(_placement_of(p) for p in data["placements"]),
        tuple(groups[number] for number in data["marks"]),
        tuple(_mark_of(mark) for mark in data["own_marks"]),
        move_of(data["move"]),
        tuple(fill_of(fill) for fill in data["fills"]),
        tuple(strip_of(strip) for strip in data["strips"]),
    )


def _placement_of(p: Data) -> Placement:
    bleed = PageSides(**{side: _len(value) for side, value in p["bleed"].items()})
    return Placement(
        p["page"],
        p["position"],
        _box_of(p["trim"]),
        _box_of(p["art"]),
        p["turn"],
        Edge(p["spine_at"]),
        p["upside_down"],
        bleed,
        _len(p["shift"]),
        p["leaf"],
    )


def _line_of(line: Data) -> Line:
    (x0, y0), (x1, y1) = line["from"], line["to"]
    return Line(LineKind(line["kind"]), line["of"], _len(x0), _len(y0), _len(x1), _len(y1))


def _mark_of(mark: Data) -> Mark:
    (x0, y0), (x1, y1) = mark["from"], mark["to"]
    return Mark(
        mark["kind"],
        Shape(mark["shape"]),
        _len(x0),
        _len(y0),
        _len(x1),
        _len(y1),
        _len(mark["weight"]),
        mark["text"],
        mark["turn"],
    )


def finding_of(data: Data) -> Finding:
    return Finding(
        severity=Severity(data["severity"]),
        code=data["code"],
        message=data["message"],
        hint=data["hint"],
        file=data["file"],
        pages=tuple(data["pages"]),
        side=data["side"],
        line=data["line"],
        numbers=data["numbers"],
    )
