"""The trim that is taken from the pages when nobody named one.

Programs write a page in points with few decimals, many in whole points: A5 comes as
419.53 x 595.28 pt, A4 as 595 x 842 pt.  Taken as they are, two such pages side by side are
wider than the sheet they are halves of.
"""

from __future__ import annotations

from impose.geometry.box import Size
from impose.model.job import Job
from impose.schemes.fitting import SAME, tidy


def taken_from(job: Job, size: Size) -> tuple[Size, str]:
    """`size`, of a page as it is read; that of the trade it is meant to be (within the tolerance
    of pages), the nearest one.  Also in words, both where they are not the same."""
    plain, unit = tidy(size), job.unit
    near = [
        (_off(plain, one), one, named.name)
        for named in job.page_sizes
        for one in (named.size, named.size.turned)
        if one.near(plain, job.tolerance)
    ]
    if not near:
        return plain, plain.text(unit)
    _, meant, name = min(near, key=lambda one: one[0])
    if plain.near(meant, SAME) or size.near(meant, SAME * 2):
        return meant, meant.text(unit)
    return meant, f"{plain.text(unit)}, which is meant as {name}, {meant.text(unit)}"


def _off(size: Size, other: Size) -> int:
    """How far apart: both differences together, in the grains of a length."""
    across, up = size.width - other.width, size.height - other.height
    return int(abs(across).grains) + int(abs(up).grains)
