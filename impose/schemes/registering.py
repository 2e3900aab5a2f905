"""Sides moved for a printer whose front and back do not fall together."""

from __future__ import annotations

from dataclasses import replace

from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.turning import Flip
from impose.model.job import Job
from impose.model.registers import Register, register_for
from impose.plan.parts import Sheet
from impose.plan.plan import Plan


def add_register(plan: Plan, job: Job) -> Plan:
    """The plan with the corrections of the job's printer on every sheet that they were read for.

    Says once for each kind of sheet what was moved, or that nothing fits.
    """
    printer = job.guts.printer
    if printer is None or not printer.registers:
        return plan
    sheets: list[Sheet] = []
    findings: dict[tuple[Size, Flip | None], Finding] = {}
    for sheet in plan.sheets:
        if sheet.one_forme:  # the plates are the same in both passes: no side can be moved alone
            sheets.append(sheet)
            findings[sheet.size, None] = _one_forme(sheet)
            continue
        flip = Flip.that_gives(sheet.turned, sheet.size)
        found = register_for(printer.registers, sheet.size, flip, job.guts.one_side)
        sheets.append(_moved(sheet, found) if found else sheet)
        said = (sheet.size, flip)
        if said not in findings:
            findings[said] = _told(found, plan.unit) if found else _unread(sheet, flip, job)
    return replace(plan, sheets=tuple(sheets), findings=(*plan.findings, *findings.values()))


def _one_forme(sheet: Sheet) -> Finding:
    return Finding.note(
        "register-one-forme",
        f"the printer's correction is not used: {sheet.work} prints both sides with one forme, "
        "and no side can be moved alone",
        hint="register the passes at the press, by the lays",
    )


def _moved(sheet: Sheet, register: Register) -> Sheet:
    return replace(
        sheet,
        front=replace(sheet.front, move=register.front),
        back=replace(sheet.back, move=register.back),
    )


def _told(register: Register, unit: str) -> Finding:
    middle = (register.sheet.width.half, register.sheet.height.half)
    words = []
    for name, move in (("front", register.front), ("back", register.back)):
        right, up = move.shift_at(middle)
        if not move.idle:
            words.append(f"the {name} by {right.text(unit)} to the right and {up.text(unit)} up")
    moved = " and ".join(words) or "nothing"
    read = f", read on {register.read_on}" if register.read_on else ""
    return Finding.note(
        "register-corrected",
        f"the sides are moved for this printer: {moved}, at the middle of the sheet, each side "
        f"as it is seen from itself (below zero: left, down){read}",
    )


def _unread(sheet: Sheet, flip: Flip, job: Job) -> Finding:
    assert job.guts.printer is not None
    size = sheet.size.text(job.unit)
    by_hand, option = "", ""
    if job.guts.one_side:
        by_hand, option = " and put back by hand", ' --printing "one side at a time"'
    return Finding.warning(
        "register-unread",
        f"the printer's register was never read on sheets of {size} as they lie here, turned "
        f"over on the {flip.value}{by_hand}: nothing is moved",
        hint=f'impose register --printer NAME --sheet "{size}" --flip "{flip.value}"{option} '
        "makes the sheet to read",
    )
