"""Looking at pages made in code, judged by all checks: each fault is found, each twin is clean."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from look_samples import SAMPLES, Sample

from impose.checks.run import check_all
from impose.findings import Finding
from impose.model.job import Job
from impose.model.looks import Matter, PageLook
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_options
from impose.pdf import look
from impose.pdf.look import look_at
from impose.pdf.prepare import input_files
from impose.pdf.read import open_sources
from impose.pipeline import plan_job
from impose.units import Length

EXAMPLES = Path(__file__).parent.parent / "examples"


def _job(sample: Sample, path: Path) -> Job:
    return job_from_options(
        Overrides(
            pages=(str(path),),
            binding=sample.binding,
            trim="148mm x 210mm",
            units="mm",
            **{"sheet": "320mm x 450mm", "stock": "copy-80gsm", **sample.options},  # type: ignore[arg-type]
        ),
        path.parent,
    )


def _findings(jobs: list[Job]) -> Iterator[tuple[Finding, ...]]:
    """What all checks find, the pages of all jobs looked at in one go."""
    planned, paths, wanted, trims = [], [], [], []
    for job in jobs:
        with open_sources(input_files(job)) as sources:
            plan = plan_job(job, sources)
            planned.append((plan, job, sources.facts))
        for fit in plan.pages:
            wanted.append((len(paths) + fit.file, fit.number))
            trims.append(fit.box)
        paths.extend(input_files(job))
    looks = list(look_at(paths, wanted, trims=trims))
    for plan, job, facts in planned:
        own, looks = looks[: len(plan.pages)], looks[len(plan.pages) :]
        yield check_all(plan, job, facts, own)


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Finding, ...]]:
    """Findings by sample."""
    folder = tmp_path_factory.mktemp("samples")
    jobs = []
    for sample in SAMPLES:
        path = folder / f"{sample.name}.pdf"
        sample.write(path)
        jobs.append(_job(sample, path))
    return dict(zip([s.name for s in SAMPLES], _findings(jobs), strict=True))


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda s: s.name)
def test_exactly_what_is_wrong_is_found(
    sample: Sample, found: dict[str, tuple[Finding, ...]]
) -> None:
    told = {(f.severity.value, f.code, f.side, f.pages) for f in found[sample.name]}
    assert told == sample.wanted


def test_numbers_and_words_are_said(found: dict[str, tuple[Finding, ...]]) -> None:
    (near,) = found["text-near"]
    assert near.message == ('"12" on page 3: 2 mm from the foot trim; 3.175 mm is safe: may be cut')
    assert near.file == "text-near.pdf"
    (short,) = found["picture-short"]
    assert short.numbers["missing"] in ("1.5 mm", "~1.5 mm")
    assert short.numbers["thing"] == "picture 90 x 40 mm"
    (folios,) = found["folios"]
    assert folios.message.startswith("page numbers on pages 2-6: ")
    (bite,) = found["spread"]
    assert bite.numbers["bite"] == "1 mm"  # two pages, one level of 0.5 mm each


@pytest.mark.parametrize("binding", ["saddle", "perfect", "sections"])
def test_example_book_has_its_two_faults_and_no_other(binding: str) -> None:
    job = job_from_options(
        Overrides(
            pages=(str(EXAMPLES / "pages.pdf"),),
            binding=binding,
            trim="5.5in x 8.5in",
            sheet="19in x 25in",
            section_pages=8 if binding == "sections" else None,
        ),
        EXAMPLES,
    )
    (told,) = _findings([job])
    bad = {(f.severity.value, f.code, f.side, f.pages) for f in told if f.severity.value != "note"}
    assert bad == {
        ("warning", "may-be-cut", "foot", (9,)),
        ("warning", "white-edge", "fore-edge", (14,)),
    }


def test_words_of_a_line_are_joined_and_kept(tmp_path: Path) -> None:
    sample = next(s for s in SAMPLES if s.name == "text-near")
    path = tmp_path / "words.pdf"
    sample.write(path)
    progress: list[int] = []
    (seen,) = look_at([path], [(0, 3)], progress=progress.append)
    words = [o.words for o in seen.outlines if o.matter is Matter.TEXT]
    assert sorted(words) == ["12", *["Page 3: the keepers count herrings"] * 3]
    (number,) = [o for o in seen.outlines if o.words == "12"]
    # Read in the page's own frame: bleed, then 2 mm (a TrueType figure overshoots by some 1 %).
    assert number.box.y0.near(Length.mm(5), Length.mm("0.1"))
    assert progress == [1]


def test_a_page_that_does_not_exist_is_told_and_the_others_are_looked_at(tmp_path: Path) -> None:
    sample = next(s for s in SAMPLES if s.name == "text-far")
    path = tmp_path / "six.pdf"
    sample.write(path)
    looks = look_at([path, tmp_path / "none.pdf"], [(0, 1), (0, 99), (1, 1), (0, 2)])
    assert [one.looked for one in looks] == [True, False, False, True]
    assert looks[1].trouble and looks[2].trouble


def test_a_crash_costs_one_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sample = next(s for s in SAMPLES if s.name == "text-far")
    path = tmp_path / "six.pdf"
    sample.write(path)
    program = (
        "import os\n"
        "from impose.pdf import lookchild, lookfile\n"
        "look = lookfile.LookFile.look\n"
        "def crash(self, index, number, region, band, numbered):\n"
        "    if number == 4: os._exit(11)\n"
        "    return look(self, index, number, region, band, numbered)\n"
        "lookchild.LookFile.look = crash\n"
        "lookchild.main()\n"
    )

    def start() -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-c", program], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )

    monkeypatch.setattr(look, "_start", start)
    looks = look_at([path], [(0, n) for n in range(1, 7)])
    assert [one.number for one in looks if not one.looked] == [4]


def test_a_page_that_never_ends_is_given_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sample = next(s for s in SAMPLES if s.name == "text-far")
    path = tmp_path / "six.pdf"
    sample.write(path)
    program = (
        "import time\n"
        "from impose.pdf import lookchild\n"
        "look = lookchild.LookFile.look\n"
        "def hang(self, index, number, region, band, numbered):\n"
        "    time.sleep(99 if number == 2 else 0)\n"
        "    return look(self, index, number, region, band, numbered)\n"
        "lookchild.LookFile.look = hang\n"
        "lookchild.main()\n"
    )

    def start() -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-c", program], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )

    monkeypatch.setattr(look, "_start", start)
    monkeypatch.setattr(look, "PATIENCE", 2.0)
    looks = look_at([path], [(0, 1), (0, 2), (0, 3)])
    assert [one.looked for one in looks] == [True, False, True]
    assert looks[1].trouble == "it took too long"


def test_looks_do_not_depend_on_how_many_look(tmp_path: Path) -> None:
    sample = Sample(name="long", draw=lambda s: s.text("12", 70, 2), pages=310)
    path = tmp_path / "long.pdf"
    sample.write(path)
    wanted = [(0, n) for n in range(1, 311)]
    one: tuple[PageLook, ...] = look_at([path], wanted, processes=1)
    assert one == look_at([path], wanted, processes=2)
