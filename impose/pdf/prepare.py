"""Inputs made ready: pictures, folders and spreads become PDFs in a working folder.

Plain PDFs stay where they are.  What is made is named after what it was made
from, so that findings and slugs name the user's own file.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import pikepdf

from impose.errors import InputError
from impose.findings import Finding
from impose.model.facts import SourceFacts
from impose.model.job import Cover, CoverArt, Job, PagesItem
from impose.pdf.pictures import Laying, PictureFacts, is_picture, write_picture
from impose.pdf.read import Sources, open_sources
from impose.pdf.spreads import write_halves
from impose.schemes.draft import USUAL_BLEED

_DIGITS: Final = re.compile(r"(\d+)")
Test = Callable[[PictureFacts], bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """The job with every input a PDF.

    `inputs` are the user's own files, `names` gives for each file made the one
    it was made from.
    """

    job: Job
    inputs: tuple[Path, ...]
    names: dict[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


def natural_key(name: str) -> tuple[object, ...]:
    """Sorts page2 before page10: runs of digits by their value, the rest without case."""
    parts = _DIGITS.split(name.casefold())
    return tuple((1, int(part), part) if part.isdecimal() else (0, 0, part) for part in parts)


def needs_preparing(job: Job) -> bool:
    """Some input is more than a plain PDF."""
    items = [*job.pages, *art_items(job.cover)]
    return any(_special(item) for item in items)


def prepare(job: Job, folder: Path) -> Prepared:
    """What `needs_preparing` found, made in `folder`.  Raises InputError."""
    maker = _Maker(job, folder)
    pages = tuple(made for item in job.pages for made in maker.item(item))
    cover = job.cover
    if cover is not None:
        cover = replace(cover, art=maker.art(cover.art), inside=maker.art(cover.inside))
    return Prepared(
        job=replace(job, pages=pages, cover=cover),
        inputs=tuple(dict.fromkeys(maker.inputs)),
        names=maker.names,
        findings=tuple(maker.findings()),
    )


def art_items(cover: Cover | None) -> tuple[PagesItem, ...]:
    """The items of the cover's art, outside before inside."""
    if cover is None:
        return ()
    return tuple(item for art in (cover.art, cover.inside) if art for item in art.items)


def _special(item: PagesItem) -> bool:
    if item.file is None:
        return False
    return bool(item.spreads) or is_picture(item.file) or item.file.is_dir()


class _Maker:
    """Makes items ready; what it did is told at the end, once for each kind."""

    def __init__(self, job: Job, folder: Path) -> None:
        self.job, self.folder = job, folder
        self.inputs: list[Path] = []
        self.names: dict[str, str] = {}
        self._facts: list[tuple[Path, PictureFacts]] = []
        self._skipped: list[str] = []
        self._cut: dict[str, int] = {}
        self._count = 0

    def item(self, item: PagesItem) -> Iterator[PagesItem]:
        """One item as items of PDFs, in reading order."""
        if item.file is None:
            yield item
        elif item.file.is_dir():
            for path in self._files_of(item.file):
                yield from self.item(replace(item, file=path, text=path.name))
        else:
            self.inputs.append(item.file)
            yield self._ready(item, item.file)

    def art(self, art: CoverArt | None) -> CoverArt | None:
        """Cover art: pictures keep their own size and are fitted by the cover."""
        if art is None:
            return None

        def ready(item: PagesItem | None) -> PagesItem | None:
            if item is None or item.file is None:
                return item
            self.inputs.append(item.file)
            if not is_picture(item.file):
                return item
            return replace(item, file=self._picture(item.file, Laying(dpi=item.dpi)))

        return CoverArt(
            wide=ready(art.wide),
            back=ready(art.back),
            spine=ready(art.spine),
            front=ready(art.front),
        )

    def _ready(self, item: PagesItem, path: Path) -> PagesItem:
        if is_picture(path):
            if item.spreads:
                item = replace(item, fit_picture="")
            path = self._picture(path, self._laying(item))
        if item.spreads:
            path = self._halves(path, item)
        return replace(item, file=path)

    def _laying(self, item: PagesItem) -> Laying:
        """Two-page scans are cut at their own size, and fitted page by page afterwards."""
        trim = self.job.trim if item.flat is None else self.job.items[item.flat].trim
        if item.spreads:
            if trim is None:
                return Laying(dpi=item.dpi)
            wide = replace(trim.size, width=trim.size.width * 2)
            return Laying(trim=wide, dpi=item.dpi, over=False)
        bleed = self.job.guts.bleed
        if item.flat is not None and self.job.items[item.flat].bleed is not None:
            bleed = self.job.items[item.flat].bleed
        over = {"trim": False, "trim and bleed": True}.get(item.fit_picture)
        return Laying(
            trim=trim.size if trim else None,
            bleed=USUAL_BLEED if bleed is None else bleed,
            over=over,
            dpi=item.dpi,
        )

    def _files_of(self, folder: Path) -> list[Path]:
        """Pictures and PDFs of a folder in natural order; hidden files are passed over."""
        try:
            seen = sorted(folder.iterdir(), key=lambda path: natural_key(path.name))
        except OSError as fault:
            raise InputError(f"{folder} cannot be read: {fault.strerror}") from fault
        shown = [path for path in seen if not path.name.startswith(".") and path.is_file()]
        found = [p for p in shown if is_picture(p) or p.suffix.lower() == ".pdf"]
        self._skipped += [path.name for path in shown if path not in found]
        if not found:
            raise InputError(
                f"{folder} holds no pictures and no PDFs", hint="check the name of the folder"
            )
        return found

    def _target(self, path: Path) -> Path:
        """A file of the same name in a folder of its own."""
        self._count += 1
        place = self.folder / f"{self._count:05}"
        place.mkdir()
        target = place / path.name
        self.names[str(target)] = self.names.get(str(path), str(path))
        return target

    def _picture(self, path: Path, laying: Laying) -> Path:
        target = self._target(path)
        if not path.exists():
            raise InputError(f"{path} does not exist", hint="check the name and the folder")
        self._facts += [(path, facts) for facts in write_picture(path, target, laying)]
        return target

    def _halves(self, path: Path, item: PagesItem) -> Path:
        target = self._target(path)
        right_first = item.spreads == "right to left"
        cut = write_halves(path, target, self._password(path), right_first)
        self._cut[path.name] = cut
        return target

    def _password(self, path: Path) -> str:
        for password in ("", *self.job.passwords):
            try:
                pikepdf.open(path, password=password).close()
            except pikepdf.PasswordError:
                continue
            except pikepdf.PdfError:
                break
            except OSError as fault:
                raise InputError(f"{path} cannot be read: {fault.strerror}") from fault
            return password
        return ""

    # -- what was done -----------------------------------------------------------------

    def findings(self) -> Iterator[Finding]:
        """Notes on pictures and spreads."""
        if self._facts:
            dots = [facts.dots for _, facts in self._facts]
            span = f"{min(dots)}" if min(dots) == max(dots) else f"{min(dots)} to {max(dots)}"
            word = "picture is" if len(dots) == 1 else "pictures are"
            yield Finding.note(
                "pictures-as-pages",
                f"{len(dots)} {word} printed as pages, at {span} dots to the inch",
                least=min(dots),
                most=max(dots),
            )
        yield from self._told(
            "picture-alpha", "was see-through and is laid on white", lambda f: f.flattened
        )
        yield from self._told(
            "picture-frames", "moves: only its first picture is printed", lambda f: f.first_only
        )
        cropped = [(path, f.cropped) for path, f in self._facts if f.cropped > Fraction(1, 100)]
        if cropped:
            most = max(share for _, share in cropped)
            yield Finding.note(
                "picture-cropped",
                "pictures are cut off to cover trim and bleed: "
                f"{_listed([path for path, _ in cropped])}, at most "
                f"{float(most):.0%} of their width or height",
                hint='fit = "trim" lays them whole within the trim',
            )
        if self._skipped:
            yield Finding.note(
                "files-skipped",
                f"not pictures and not PDFs, passed over: {', '.join(self._skipped[:5])}"
                + (" and others" if len(self._skipped) > 5 else ""),
                files=len(self._skipped),
            )
        if self._cut:
            count = sum(self._cut.values())
            yield Finding.note(
                "spreads-cut", f"{count} two-page sheets are cut into single pages", spreads=count
            )

    def _told(self, code: str, words: str, test: Test) -> Iterator[Finding]:
        paths = [path for path, facts in self._facts if test(facts)]
        if paths:
            yield Finding.note(code, f"{_listed(paths)} {words}", pictures=len(paths))


def _listed(paths: Sequence[Path]) -> str:
    names = list(dict.fromkeys(path.name for path in paths))
    return ", ".join(names[:5]) + (" and others" if len(names) > 5 else "")


@contextmanager
def opened(job: Job) -> Iterator[tuple[Prepared, Sources]]:
    """The job with its inputs made ready and open; what was made goes away afterwards.

    Raises InputError as `prepare` and `open_sources` do.
    """
    with ExitStack() as stack:
        ready = Prepared(job=job, inputs=input_files(job))
        if needs_preparing(job):
            folder = Path(stack.enter_context(TemporaryDirectory(prefix="impose-")))
            ready = prepare(job, folder)
            told = (*job.findings, *ready.findings)
            ready = replace(ready, job=replace(ready.job, findings=told))
        sources = stack.enter_context(open_sources(input_files(ready.job), job.passwords))
        if ready.names:
            sources.facts = tuple(_renamed(facts, ready.names) for facts in sources.facts)
        yield ready, sources


def input_files(job: Job) -> tuple[Path, ...]:
    """The files of pages and cover, each once, in the order of first use."""
    items = (*job.pages, *art_items(job.cover))
    return tuple(dict.fromkeys(item.file for item in items if item.file is not None))


def files_read(job: Job) -> tuple[Path, ...]:
    """Every file or folder that the job names, the colour profile too."""
    profile = job.conditions.profile
    return (*input_files(job), *((profile,) if profile is not None else ()))


def _renamed(facts: SourceFacts, names: Mapping[str, str]) -> SourceFacts:
    """Findings name the user's own file."""
    own = names.get(facts.file)
    if own is None:
        return facts
    found = tuple(replace(finding, file=own) for finding in facts.findings)
    return replace(facts, file=own, findings=found)
