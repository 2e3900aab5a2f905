"""A drop folder: jobs in, results out; half-copied files wait, findings lie beside their job."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from test_many import interrupts_heard, job, pages

from impose.cli.main import run
from impose.printroom.arrivals import Arrivals, DropFolder

QUICK = ["--settle", "0.3", "--patience", "2", "--jobs", "1", "--no-check", "--only", "guts,plan"]
ONCE = ["--settle", "0", "--once", "--no-check", "--only", "guts,plan"]


class Watched:
    """A folder being watched by a process of its own."""

    def __init__(self, process: subprocess.Popen[str], folder: Path, out: Path) -> None:
        self.process, self.folder, self.out = process, folder, out

    def until(self, test: Callable[[], bool], seconds: float = 60) -> None:
        end = time.monotonic() + seconds
        while not test():
            assert self.process.poll() is None, self.process.communicate()
            assert time.monotonic() < end, sorted(map(str, self.folder.rglob("*")))
            time.sleep(0.05)

    def made(self, name: str) -> bool:
        return (self.out / name / "plan.json").is_file()

    def stop(self, number: int = signal.SIGINT) -> tuple[str, str]:
        self.process.send_signal(number)
        return self.process.communicate(timeout=60)


@contextmanager
def watching(folder: Path, out: Path, *more: str) -> Iterator[Watched]:
    arguments = ["watch", str(folder), "--out", str(out), *QUICK, *more]
    with interrupts_heard():
        process = subprocess.Popen(
            [sys.executable, "-m", "impose", *arguments],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
    try:
        yield Watched(process, folder, out)
    finally:
        if process.poll() is None:
            process.kill()
            process.communicate()


@pytest.fixture
def drop(tmp_path: Path) -> Path:
    folder = tmp_path / "in"
    folder.mkdir()
    pages(folder / "pages.pdf")
    return folder


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise")
def test_a_day_in_the_shop(drop: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    job(drop / "early.toml", "pages.pdf")
    whole = (drop / "pages.pdf").read_bytes()
    with watching(drop, out) as seen:
        seen.until(lambda: seen.made("early"))  # there before the start
        job(drop / "late.toml", "late.pdf")  # its pages are still being copied
        (drop / "late.pdf").write_bytes(whole[:-200])
        time.sleep(1)
        assert not seen.made("late")
        (drop / "late.pdf").write_bytes(whole)
        seen.until(lambda: seen.made("late"))
        bad = job(drop / "bad.toml", "pages.pdf", "bindin = 1\n")
        beside = drop / "bad.toml.findings.txt"
        seen.until(beside.is_file)
        assert "there is no such key" in beside.read_text()
        seen.until((drop / "bad.toml.findings.json").is_file)
        told = json.loads((drop / "bad.toml.findings.json").read_text())
        assert (told["job"], told["result"], told["exit_code"]) == ("bad", "not made", 2)
        assert told["findings"][0]["line"] == 8
        job(bad, "pages.pdf")  # mended: made, and nothing is told any more
        seen.until(lambda: seen.made("bad") and not beside.exists())
        (drop / "early.toml").rename(drop / "renamed.toml")
        seen.until(lambda: seen.made("renamed"))
        said, words = seen.stop()
    assert seen.process.returncode == 130
    assert "Traceback" not in words and "early: taken away" in words
    assert "waiting for" in words
    names = [line.split(":")[0] for line in said.splitlines()]
    assert names[:4] == ["early", "late", "bad", "bad"]
    assert sorted(os.listdir(out)) == ["bad", "early", "late", "renamed"]
    assert not list(out.rglob(".impose-*"))


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise")
def test_a_stop_in_the_middle_leaves_nothing_and_the_next_run_goes_on(
    drop: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    pages(drop / "long.pdf", 300)
    job(drop / "long.toml", "long.pdf")
    with watching(drop, out) as seen:
        seen.until(lambda: bool(list(out.rglob(".impose-*"))))
        _, words = seen.stop(signal.SIGTERM)
    assert seen.process.returncode == 130 and "Traceback" not in words
    assert not list(out.rglob(".impose-*")) and not seen.made("long")
    job(drop / "short.toml", "pages.pdf")
    options = ["--out", str(out), "--once", *QUICK]
    assert run(["watch", str(drop), *options]) == 0
    first = (out / "short" / "plan.json").stat().st_mtime_ns
    assert seen.made("long")
    assert run(["watch", str(drop), *options]) == 0
    assert (out / "short" / "plan.json").stat().st_mtime_ns == first


def test_what_never_comes_is_told_after_a_while(
    drop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job(drop / "job.toml", "never.pdf")
    options = ["--settle", "0", "--patience", "0.3", "--once", "--no-check", "--only", "guts,plan"]
    assert run(["watch", str(drop), "--out", str(tmp_path / "out"), *options]) == 3
    said = capsys.readouterr()
    assert "job: waiting for" in said.err and "never.pdf" in said.err
    assert "job: not made (1 error)" in said.out
    assert "never.pdf does not exist" in (drop / "job.toml.findings.txt").read_text()


def test_plain_pdfs_are_jobs_when_that_is_said(
    drop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Those that a job names are no jobs of their own."""
    job(drop / "job.toml", "pages.pdf")
    pages(drop / "zine.pdf", 8)
    out = tmp_path / "out"
    base = [
        "watch",
        str(drop),
        "--out",
        str(out),
        "--settle",
        "0",
        "--once",
        "--no-check",
        "--only",
        "guts,plan",
    ]
    how = ["--binding", "saddle", "--trim", "200pt x 300pt", "--sheet", "500pt x 400pt"]
    assert run(base) == 0
    assert sorted(os.listdir(out)) == ["job"]
    assert run([*base, *how, "--pdfs", "--json"]) == 0
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines() if line[0] == "{"]
    assert {(each["job"], each["sheets"]) for each in lines} == {("job", 1), ("zine", 2)}
    assert sorted(os.listdir(out)) == ["job", "zine"]


def test_two_jobs_that_would_share_a_folder(
    drop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job(drop / "zine.toml", "pages.pdf")
    pages(drop / "zine.pdf")
    options = [
        "--pdfs",
        "--binding",
        "saddle",
        "--settle",
        "0",
        "--once",
        "--no-check",
        "--only",
        "guts,plan",
    ]
    assert run(["watch", str(drop), "--out", str(tmp_path / "out"), *options]) == 2
    assert "one folder" in capsys.readouterr().err


def test_folders_within_are_looked_at_and_results_are_not(drop: Path, tmp_path: Path) -> None:
    inner = drop / "monday"
    inner.mkdir()
    shutil.move(drop / "pages.pdf", inner)
    job(inner / "job.toml", "pages.pdf")
    (inner / "profiles" / "stocks").mkdir(parents=True)
    (inner / "profiles" / "stocks" / "x.toml").write_text('source = "x"\ncaliper = "0.1mm"\n')
    (drop / ".hidden").mkdir()
    job(drop / ".hidden" / "no.toml", "pages.pdf")
    out = drop / "done"
    options = ["--out", str(out), "--settle", "0", "--once", "--no-check", "--only", "guts,plan"]
    for _ in range(2):
        assert run(["watch", str(drop), *options]) == 0
        assert sorted(p.parent.relative_to(out).as_posix() for p in out.rglob("plan.json")) == [
            "monday/job"
        ]


def test_folders_that_cannot_be_used(
    drop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["watch", str(tmp_path / "no"), "--out", str(tmp_path / "out")]) == 3
    assert run(["watch", str(drop), "--out", str(drop), "--once"]) == 2
    assert run(["watch", str(drop), "--out", str(tmp_path), "--once"]) == 2
    assert "where the results go" in capsys.readouterr().err


def test_a_job_waits_while_its_files_change(drop: Path, tmp_path: Path) -> None:
    """By a clock of the test's own: steady means unchanged for as long as is said."""
    job(drop / "job.toml", "pages.pdf")
    folder = DropFolder(folder=drop, out=tmp_path / "out", settle=2, patience=30)
    seen = Arrivals(folder)

    def ready(now: float) -> bool:
        (arrival,), _ = seen.scan(now)
        return arrival.ready(folder, now)

    assert not ready(0) and not ready(1.9) and ready(2)
    whole = (drop / "pages.pdf").read_bytes()
    (drop / "pages.pdf").write_bytes(whole[:-100])
    assert not ready(3) and not ready(10)  # steady, but without its end
    assert ready(33)  # given up waiting
    (drop / "pages.pdf").write_bytes(whole)
    assert not ready(34) and ready(36)
    (drop / "job.toml").unlink()
    here, gone = seen.scan(40)
    assert not here and [arrival.source.name for arrival in gone] == ["job.toml"]
