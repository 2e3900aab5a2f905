"""Values of a job that are fine alone and impossible together."""

from __future__ import annotations

from impose.geometry.box import Size
from impose.model.asked import Asked
from impose.model.flatjobs import refuse_flat
from impose.model.job import Binding, Job
from impose.model.leafkinds import LeafKind
from impose.model.panelcombinations import refuse_panels
from impose.model.presscombinations import refuse_press_work
from impose.units import Length


def refuse_impossible(asked: Asked, job: Job) -> None:
    """Notes a fault for each pair of values that no book can have; both are named."""
    _refuse_ground_fold(asked, job)
    _refuse_french_fold(asked, job)
    _refuse_two_places(asked, job)
    refuse_panels(asked, job)
    refuse_flat(asked, job)
    refuse_press_work(asked, job)
    if job.trim is not None:
        leaf = job.bound_at.leaf_size(job.trim.size)
        _refuse_wide_grind(asked, job, leaf)
        _refuse_wide_hinge(asked, job, leaf)


def _refuse_ground_fold(asked: Asked, job: Job) -> None:
    grind = job.guts.grind
    if job.binding is Binding.SADDLE and grind:
        asked.fault(
            ("guts", "grind"),
            f"grind is {grind.text(job.unit)}, and binding is saddle, whose spine is a fold",
            "leave grind out: a fold that is milled off holds nothing",
        )


def _refuse_french_fold(asked: Asked, job: Job) -> None:
    """Folded leaves are held at their open edges, by glue, thread or holes."""
    guts = job.guts
    if job.binding is Binding.LOOSE and any(
        item.leaf.kind is LeafKind.FRENCH for item in job.pages
    ):
        asked.fault(
            ("book", "pages"),
            "French-folded leaves are bound at their open edges; binding is loose",
            "choose another binding, or another kind of leaf",
        )
    if not guts.french_fold:
        return
    path = ("guts", "french_fold")
    if job.binding not in (Binding.PERFECT, Binding.STAB, Binding.PUNCHED):
        asked.fault(
            path,
            f"French-folded leaves are bound at their open edges; binding is {job.binding.value}",
            'choose binding = "perfect", "stab" or "punched"',
        )
    elif guts.section_pages:
        asked.fault(
            path,
            f"leaves are French-folded, and section_pages is {guts.section_pages}: no leaf can "
            "be both",
            "leave one of them out",
        )


def _refuse_two_places(asked: Asked, job: Job) -> None:
    """A lay edge says where a leaf lies, and so do the margins."""
    if job.guts.clear_of_margins and job.guts.lay is not None:
        asked.fault(
            ("guts", "on_sheet"),
            f'on_sheet is "clear of margins", and lay is {job.guts.lay}: both say where the page '
            "lies between head and foot",
            "leave one of them out",
        )


def _refuse_wide_grind(asked: Asked, job: Job, leaf: Size) -> None:
    _refuse_not_below(asked, job, ("guts", "grind"), job.guts.grind, leaf)


def _refuse_wide_hinge(asked: Asked, job: Job, leaf: Size) -> None:
    hinge = job.cover.hinge if job.cover is not None else None
    _refuse_not_below(asked, job, ("cover", "hinge"), hinge, leaf)


def _refuse_not_below(
    asked: Asked, job: Job, path: tuple[str, str], length: Length | None, leaf: Size
) -> None:
    if length is not None and length >= leaf.width:
        asked.fault(
            path,
            f"{path[1]} is {length.text(job.unit)}, and the trim is only "
            f"{leaf.width.text(job.unit)} wide from the spine",
            "check the unit",
        )
