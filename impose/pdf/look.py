"""Looking at pages, spread over child processes.

Each child looks at a run of pages (pdfium crashes in threads and may crash on a
damaged page).  A child that ends early or stays silent is replaced; the page it
was at is told as not looked at, the others go on.
"""

from __future__ import annotations

import pickle
import queue
import subprocess
import threading
import time
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Final

from impose.geometry.box import Box, Size
from impose.model.looks import InkSpace, Matter, Outline, PageLook, PictureLook
from impose.pdf.children import cores, start_child
from impose.pdf.lookchild import Errand, Order
from impose.pdf.lookthings import RawLook, RawPicture, Rect
from impose.pdf.repair import other_count
from impose.units import Length

#: Things nearer than this to an edge of the trim are told one by one; what lies deeper, as
#: one outline of each kind, whose edges are still right.
BAND: Final = Length.mm("6.5")
#: A page that takes longer is given up (seconds).
PATIENCE: Final = 60.0
#: Page numbers are read on all pages of a book up to this long, of a longer one on every so many.
_ALL_NUMBERED: Final = 300
_EVERY: Final = 4
#: Fewer pages are not worth another process.
_WORTH: Final = 150
_POINT: Final = Length.points(1).grains


def look_at(
    paths: Sequence[Path],
    wanted: Sequence[tuple[int, int]],
    passwords: Sequence[str] = (),
    progress: Callable[[int], None] | None = None,
    processes: int | None = None,
    trims: Sequence[Box] | None = None,
    whole: Collection[int] = (),
) -> tuple[PageLook, ...]:
    """A look at each wanted page (file index, 1-based page number), in that order.

    `progress` is told how many pages are done.  `processes` None: one for each
    core, fewer for few pages.  `trims`: for each wanted page, the part that
    becomes the trim, in the page's own coordinates (`PageFit.box`); without it,
    the page's TrimBox, else what a viewer shows.  `whole` are the indices of
    wanted pages of which everything is told one by one.  What a page or file does is no
    exception (such a look has `looked` False), but for one thing: `InputError` when
    pikepdf and pdfium count other pages in a file, since then no look is of the page
    that will be printed.
    """
    errands = [
        Errand(
            i,
            file,
            number,
            _rect(trims[i]) if trims is not None else None,
            whole=i in whole,
            numbered=len(wanted) <= _ALL_NUMBERED or i % _EVERY == 0,
        )
        for i, (file, number) in enumerate(wanted)
    ]
    looks: dict[int, PageLook] = {}
    for raw in _Children(paths, passwords, processes).look(errands):
        if raw.counts is not None:
            raise other_count(paths[wanted[raw.index][0]], *raw.counts)
        looks[raw.index] = _page_look(raw, *wanted[raw.index])
        if progress is not None:
            progress(len(looks))
    return tuple(looks[i] for i in range(len(wanted)))


class _Children:
    """One child for each share of the pages; what they tell comes together here."""

    def __init__(
        self, paths: Sequence[Path], passwords: Sequence[str], processes: int | None
    ) -> None:
        self._paths = tuple(str(path) for path in paths)
        self._passwords = tuple(passwords)
        self._most = processes or cores()
        self._told: queue.SimpleQueue[RawLook] = queue.SimpleQueue()
        self._shares: list[_Share] = []

    def look(self, errands: Sequence[Errand]) -> Iterator[RawLook]:
        """Every page once, in the order in which they are done."""
        count = max(1, min(self._most, -(-len(errands) // _WORTH)))
        each = -(-len(errands) // count) if errands else 1
        for start in range(0, len(errands), each):
            order = Order(
                self._paths, self._passwords, tuple(errands[start : start + each]),
                float(BAND.as_points),
            )  # fmt: skip
            self._shares.append(_Share(order, self._told))
        try:
            for share in self._shares:
                share.start()
            for _ in errands:
                yield self._next()
        finally:
            for share in self._shares:
                share.stop()

    def _next(self) -> RawLook:
        while True:
            try:
                return self._told.get(timeout=1)
            except queue.Empty:
                for share in self._shares:
                    share.give_up_after(PATIENCE)


class _Share(threading.Thread):
    """Runs a child until every page of the order is told, starting another after a crash.

    The thread only reads a pipe: pdfium is never called in this process.
    """

    def __init__(self, order: Order, told: queue.SimpleQueue[RawLook]) -> None:
        super().__init__(daemon=True, name="looking")
        self._order = order
        self._told = told
        self._child: subprocess.Popen[bytes] | None = None
        self._heard = time.monotonic()
        self._stopped = False
        self._late = False

    def run(self) -> None:
        left = self._order.errands
        while left and not self._stopped:
            done = self._serve(replace(self._order, errands=left))
            left = left[done:]
            if left and not self._stopped:
                why = "it took too long" if self._late else "looking at it ended the process"
                self._told.put(RawLook(left[0].index, trouble=why))
                left = left[1:]

    def stop(self) -> None:
        """Ends the child, if it still runs."""
        self._stopped = True
        child = self._child
        if child is not None and child.poll() is None:
            child.kill()
        if self.ident is not None:
            self.join()

    def give_up_after(self, seconds: float) -> None:
        """Ends a child that has been silent for longer."""
        child = self._child
        if child is None or child.poll() is not None:
            return
        if time.monotonic() - self._heard > seconds:
            self._late = True
            child.kill()

    def _serve(self, order: Order) -> int:
        """How many pages, from the first on, the child told."""
        done = 0
        self._late, self._heard = False, time.monotonic()
        with _start() as child:
            self._child = child
            assert child.stdin is not None and child.stdout is not None
            try:
                pickle.dump(order, child.stdin, protocol=pickle.HIGHEST_PROTOCOL)
                child.stdin.close()
                while done < len(order.errands):
                    self._told.put(pickle.load(child.stdout))
                    self._heard = time.monotonic()
                    done += 1
            except (EOFError, OSError, pickle.UnpicklingError):
                child.kill()
        return done


def _start() -> subprocess.Popen[bytes]:
    return start_child("impose.pdf.lookchild")


# -- from points to lengths ------------------------------------------------------------


def _page_look(raw: RawLook, file: int, number: int) -> PageLook:
    if raw.trouble:
        return PageLook(file=file, number=number, looked=False, trouble=raw.trouble)
    return PageLook(
        file=file,
        number=number,
        outlines=tuple(
            Outline(Matter(kind), _box(rect), words) for kind, rect, words in raw.outlines
        ),
        pictures=tuple(_picture(picture) for picture in raw.pictures),
        fonts_missing=raw.fonts_missing,
        spots=raw.spots,
        thinnest=_length(raw.thinnest),
        thinnest_box=_box(raw.thinnest_box) if raw.thinnest_box is not None else None,
        scan=raw.scan,
        blank=raw.blank,
        scanty=raw.scanty,
        fingerprint=raw.fingerprint,
        most_ink=Fraction(round(raw.most_ink * 1000), 1000),
        rgb=raw.rgb,
        process=raw.process,
        white_overprint=raw.white_overprint,
        transparent=raw.transparent,
        old_workflow=raw.old_workflow,
    )


def _picture(raw: RawPicture) -> PictureLook:
    return PictureLook(
        box=_box(raw.box),
        size=Size(_length(raw.wide), _length(raw.high)),
        across=raw.across,
        down=raw.down,
        space=InkSpace(raw.space),
        line_art=raw.line_art,
    )


def _length(points: float) -> Length:
    """pdfium's figures are 32-bit floats: good to about 0.0001 pt on a page."""
    return Length(round(points * _POINT))


def _box(rect: Rect) -> Box:
    return Box(*(_length(n) for n in rect))


def _rect(box: Box) -> Rect:
    return Rect(*(n.grains / _POINT for n in (box.x0, box.y0, box.x1, box.y1)))
