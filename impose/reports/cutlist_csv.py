"""`cuts.csv`: the cut list as a table, a step a row."""

from __future__ import annotations

import csv
import io
from typing import Final

from impose.plan.cutsteps import CutStep
from impose.plan.plan import Plan
from impose.reports.cutlist_rows import Row, rows

COLUMNS: Final = (
    "number",
    "phase",
    "step",
    "on the table",
    "turn",
    "edge",
    "gauge reading",
    "gauge exact",
    "gauge pt",
    "set on marks",
    "falls away",
    "stays",
    "cuts",
    "notes",
)


def cutlist_csv(plan: Plan) -> str:
    """The same columns as the page; RFC 4180, lines ended by CR LF."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for row, step in zip(rows(plan), plan.cut_steps, strict=True):
        writer.writerow(_cells(row, step))
    return out.getvalue()


def _cells(row: Row, step: CutStep) -> tuple[str, ...]:
    setting = step.setting
    points = "" if setting is None else setting.gauge.text("pt").removesuffix(" pt")
    marks = "" if setting is None else ("yes" if setting.on_marks else "no")
    return (
        row.number,
        row.phase,
        row.title,
        row.on_table,
        row.turn,
        row.at_stop,
        row.gauge,
        row.exact,
        points,
        marks,
        row.falls,
        row.stays,
        " ".join(step.cuts),
        " ".join(row.notes),
    )
