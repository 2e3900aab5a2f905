"""Keys of folded panels that another binding knows nothing of, and what panels cannot have."""

from __future__ import annotations

from impose.geometry.sides import BoundAt
from impose.model.asked import Asked
from impose.model.job import Binding, Job
from impose.model.leafkinds import AS_THE_REST
from impose.model.panels import LeafletFold

#: Which binding each key belongs to.
_OF = {
    "fold": Binding.LEAFLET,
    "nest": Binding.LEAFLET,
    "panels": Binding.CONCERTINA,
    "tab": Binding.CONCERTINA,
}


def refuse_panels(asked: Asked, job: Job) -> None:
    """Notes a fault for each key that the job's binding cannot use."""
    guts = job.guts
    for key, binding in _OF.items():
        if getattr(guts.panel, key) is not None and job.binding is not binding:
            asked.fault(
                ("guts", key),
                f"{key} is said, and binding is {job.binding.value}",
                f'it belongs to binding = "{binding.value}"',
            )
    if not job.binding.panelled:
        return
    if job.cover is not None:
        asked.fault(
            ("cover",),
            f"a cover is described, and binding is {job.binding.value}: it is folded from its own "
            "sheet",
            "leave the cover out; make it as a job of its own if there is to be one",
        )
    if any(item.leaf is not AS_THE_REST for item in job.pages):
        asked.fault(
            ("book", "pages"),
            f"pages ask for a leaf of their own, and binding is {job.binding.value}: all panels "
            "are of one sheet",
            "leave the kind, stock or size of single leaves out",
        )
    if job.binding is Binding.LEAFLET and guts.panel.fold is None and asked.sound(("guts", "fold")):
        asked.fault(
            ("guts", "fold"),
            "the fold of the leaflet is not said",
            "it is half, letter, roll, z, gate, double gate, double parallel or tent",
        )
    if guts.panel.fold is LeafletFold.TENT and job.bound_at is BoundAt.HEAD:
        asked.fault(
            ("book", "bound_at"),
            "bound_at is head, and a tent hinges at the head of its pages anyway",
            "leave bound_at out",
        )
    for key in ("section_pages", "grind", "lip"):
        if getattr(guts, key):
            asked.fault(
                ("guts", key),
                f"{key} is said, and binding is {job.binding.value}",
                "leave it out: nothing is gathered into sections or glued here",
            )
