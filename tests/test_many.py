"""Many jobs: side by side, each into its own folder, none stopped by another."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from pdf_samples import Sample, figure

import impose
from impose.cli.main import run
from impose.errors import ExitCode, ImposeError
from impose.findings import Finding
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_file
from impose.printroom import contents, one
from impose.printroom.contents import digest_of
from impose.printroom.many import make_many
from impose.printroom.task import Outcome, Result, Task, worst_code
from impose.printroom.workers import Workers
from impose.wishes import Wish

SCHEMA = Path(impose.__file__).parent / "plan" / "plan.schema.json"
QUICK = Wish(only=("guts", "plan"), look=False)


def pages(path: Path, count: int = 4, word: bytes = b"0 g") -> Path:
    sample = Sample()
    for number in range(1, count + 1):
        sample.page(word + b" " + figure(number))
    return sample.save(path)


def job(path: Path, source: str, more: str = "") -> Path:
    path.write_text(
        f'[book]\npages = ["{source}"]\ntrim = "200pt x 300pt"\nbinding = "saddle"\n'
        f'[guts]\nstock = "0.1mm"\nsheet = "500pt x 400pt"\n{more}'
    )
    return path


def shop(folder: Path, names: str = "abc") -> list[Path]:
    """Jobs with pages of their own, from the first letter's on with more pages each."""
    folder.mkdir(parents=True, exist_ok=True)
    return [
        job(folder / f"{name}.toml", pages(folder / f"{name}.pdf", 4 * count).name)
        for count, name in enumerate(names, start=1)
    ]


def task(path: Path, out: Path, **more: object) -> Task:
    made = Task(name=path.stem, source=path, folder=out / path.stem, wish=QUICK)
    return replace(made, **more)  # type: ignore[arg-type]


def impose_process(*arguments: object, **more: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "impose", *map(str, arguments)],
        capture_output=True, text=True, check=False, **more,  # type: ignore[call-overload]
    )  # fmt: skip


def tree(folder: Path) -> dict[str, bytes]:
    """Every file below the folder, hidden ones too."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


# -- the command -----------------------------------------------------------------------


def test_several_jobs_are_made_each_into_its_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    jobs = shop(tmp_path / "jobs")
    job(tmp_path / "jobs" / "bad.toml", "no.pdf")
    jobs.append(tmp_path / "jobs" / "bad.toml")
    options = ["--out", tmp_path / "out", "--only", "guts,cuts,plan", "--no-check", "--jobs", "2"]
    done = impose_process("make", *jobs, *options)
    assert done.returncode == 3, done.stderr
    assert "bad:" in done.stderr and "no.pdf does not exist" in done.stderr
    assert "4 jobs: 3 made, 1 not made" in done.stderr
    rows = [line.split() for line in done.stdout.splitlines()]
    assert rows[0] == ["job", "sheets", "findings", "result", "where"]
    assert [row[0] for row in rows[1:]] == ["a", "b", "c", "bad"]
    assert [row[1] for row in rows[1:]] == ["1", "2", "3", "-"]
    assert rows[1][-2:] == ["made", str(tmp_path / "out" / "a")]
    assert " ".join(rows[4][-4:]) == "not made (3) -"
    assert sorted(os.listdir(tmp_path / "out")) == ["a", "b", "c"]
    for name in "abc":
        assert (tmp_path / "out" / name / "cuts.pdf").is_file()
        data = json.loads((tmp_path / "out" / name / "plan.json").read_text())
        Draft202012Validator(json.loads(SCHEMA.read_text())).validate(data)
        assert len(data["made_from"]) == 64
    first = tree(tmp_path / "out")
    options[-1] = "1"  # and with one worker: the same job gives the same bytes
    once_more = ["make", *map(str, [*jobs, *options])]
    assert run(once_more) == 3
    assert capsys.readouterr().out.count("unchanged") == 3
    assert tree(tmp_path / "out") == first
    assert run([*once_more, "--again", "--json"]) == 3
    told = json.loads(capsys.readouterr().out)
    assert tree(tmp_path / "out") == first
    assert [each["result"] for each in told["jobs"]] == ["made", "made", "made", "not made"]
    assert [each["exit_code"] for each in told["jobs"]] == [0, 0, 0, 3]
    assert {f["job"] for f in told["findings"] if f["severity"] == "error"} == {"bad"}


def test_two_jobs_into_one_folder_are_refused_before_anything_is_made(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (one_job,) = shop(tmp_path / "x", "a")
    (other,) = shop(tmp_path / "y", "a")
    out = tmp_path / "out"
    assert run(["make", str(one_job), str(other), "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert str(one_job) in said and str(other) in said
    assert not out.exists()
    upper = shutil.copy(other, tmp_path / "y" / "A.toml")
    assert run(["make", str(one_job), str(upper), "--out", str(out)]) == 2
    assert not out.exists()


def test_pages_among_job_files_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    jobs = shop(tmp_path, "ab")
    assert run(["make", *map(str, jobs), str(tmp_path / "a.pdf")]) == 2
    assert "a.pdf is no job file" in capsys.readouterr().err


def test_check_takes_one_job(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", *map(str, shop(tmp_path, "ab"))]) == 2
    assert "named beside it" in capsys.readouterr().err


def test_one_job_file_goes_into_the_folder_itself_unless_many_are_meant(tmp_path: Path) -> None:
    (path,) = shop(tmp_path, "a")
    only = ["--only", "guts", "--no-check", "--quiet"]
    assert run(["make", str(path), *only, "--out", str(tmp_path / "one")]) == 0
    assert (tmp_path / "one" / "guts.pdf").is_file()
    assert run(["make", str(path), *only, "--jobs", "1", "--out", str(tmp_path / "many")]) == 0
    assert (tmp_path / "many" / "a" / "guts.pdf").is_file()


def test_options_win_over_every_job(tmp_path: Path) -> None:
    outcomes = make_many(
        [
            task(path, tmp_path / "out", overrides=Overrides(sheet="700pt x 500pt"))
            for path in shop(tmp_path, "ab")
        ],
        workers=1,
    )
    for outcome in outcomes:
        plan = json.loads((outcome.folder / "plan.json").read_text())
        assert plan["sheets"][0]["size"] == [700, 500]


# -- what is unchanged -----------------------------------------------------------------


def printer(margin: str) -> str:
    sides = ", ".join(f'{side} = "{margin}"' for side in ("lead", "tail", "left", "right"))
    return (
        'kind = "printer"\nname = "Mine"\ntechnique = "office"\nsheet_min = "50mm x 50mm"\n'
        f'sheet_max = "300mm x 400mm"\nmargins = {{ {sides} }}\nleads = "short edge"\n'
        'flips = "long edge"\nmarks = "black"\nsource = "measured"\n'
    )


@pytest.fixture
def made(tmp_path: Path) -> Task:
    """A job that has been made, with a printer's profile beside it."""
    (path,) = shop(tmp_path / "jobs", "a")
    folder = tmp_path / "jobs" / "profiles" / "printers"
    folder.mkdir(parents=True)
    (folder / "mine.toml").write_text(printer("4mm"))
    job(path, "a.pdf", 'printer = "mine"\n')
    it = task(path, tmp_path / "out")
    found = one.do(it)
    assert found.result is Result.MADE, found
    return it


def test_an_unchanged_job_is_left_alone_and_its_findings_told(made: Task) -> None:
    before = {path: path.stat().st_mtime_ns for path in made.folder.iterdir()}
    found = one.do(made)
    assert found.result is Result.UNCHANGED
    assert found.sheets == 1 and {path.name for path in found.files} == {"guts.pdf", "plan.json"}
    assert found.findings == one.do(replace(made, again=True)).findings
    assert before.keys() == {path for path in made.folder.iterdir()}


def test_dates_of_files_say_nothing(made: Task) -> None:
    assert isinstance(made.source, Path)
    os.utime(made.source)
    os.utime(made.source.with_name("a.pdf"))
    assert one.do(made).result is Result.UNCHANGED


def test_comments_in_the_job_file_change_nothing_but_values_do(made: Task) -> None:
    assert isinstance(made.source, Path)
    text = made.source.read_text()
    made.source.write_text("# for Thursday\n" + text)
    assert one.do(made).result is Result.UNCHANGED
    made.source.write_text(text + 'bleed = "2mm"\n'.replace("bleed", "gutter"))
    assert one.do(made).result is Result.MADE


@pytest.mark.parametrize("what", ["input", "profile", "output", "missing", "wish", "program"])
def test_a_change_of_anything_makes_it_again(
    what: str, made: Task, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert isinstance(made.source, Path)
    folder = made.source.parent
    if what == "input":
        pages(folder / "a.pdf", word=b"0.5 g")
    elif what == "profile":
        (folder / "profiles" / "printers" / "mine.toml").write_text(printer("5mm"))
    elif what == "output":
        (made.folder / "guts.pdf").write_bytes(b"spoiled")
    elif what == "missing":
        (made.folder / "guts.pdf").unlink()
    elif what == "wish":
        made = replace(made, wish=replace(QUICK, only=("guts", "cuts", "plan")))
    else:
        monkeypatch.setattr(contents.impose, "__version__", "99")
    assert one.do(made).result is Result.MADE
    assert one.do(made).result is Result.UNCHANGED


def test_a_folder_of_pictures_is_told_by_what_is_in_it(tmp_path: Path) -> None:
    (tmp_path / "scans").mkdir()
    pages(tmp_path / "scans" / "1.pdf")
    path = job(tmp_path / "job.toml", "scans")
    before = digest_of(job_from_file(path, Overrides()), QUICK)
    (tmp_path / "scans" / ".hidden").write_text("x")
    assert digest_of(job_from_file(path, Overrides()), QUICK) == before
    pages(tmp_path / "scans" / "2.pdf")
    assert digest_of(job_from_file(path, Overrides()), QUICK) != before


def test_the_digest_is_the_same_in_every_process(tmp_path: Path) -> None:
    """Sets have no order of their own; the order of hashing differs from process to process."""
    (path,) = shop(tmp_path, "a")
    code = (
        "import sys; from pathlib import Path; from impose.model.resolve import job_from_file;"
        "from impose.model.overrides import Overrides; from impose.wishes import Wish;"
        "from impose.printroom.contents import digest_of;"
        "print(digest_of(job_from_file(Path(sys.argv[1]), Overrides()), Wish()))"
    )
    found = {
        subprocess.run(
            [sys.executable, "-c", code, str(path)],
            capture_output=True, text=True, check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(found) == 1 and len(found.pop().strip()) == 64


def test_an_input_that_is_not_there_is_like_nothing(tmp_path: Path) -> None:
    path = job(tmp_path / "job.toml", "no.pdf")
    assert digest_of(job_from_file(path, Overrides()), QUICK) == ""
    found = one.do(task(path, tmp_path / "out"))
    assert (found.result, found.exit_code()) == (Result.NOT_MADE, ExitCode.INPUT)


def test_a_folder_can_move_with_its_jobs(tmp_path: Path) -> None:
    (path,) = shop(tmp_path / "monday", "a")
    before = digest_of(job_from_file(path, Overrides()), QUICK)
    (tmp_path / "monday").rename(tmp_path / "tuesday")
    moved = job_from_file(tmp_path / "tuesday" / "a.toml", Overrides())
    assert digest_of(moved, QUICK) == before


def test_a_password_is_not_in_the_digest(tmp_path: Path) -> None:
    (path,) = shop(tmp_path, "a")
    open_job = job_from_file(path, Overrides())
    assert digest_of(open_job, QUICK) == digest_of(replace(open_job, passwords=("x",)), QUICK)


# -- workers ---------------------------------------------------------------------------


def test_a_defect_of_one_job_is_told_and_stops_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise AssertionError("this cannot be")

    monkeypatch.setattr(one, "make", broken)
    found = one.do(task(shop(tmp_path, "a")[0], tmp_path / "out"))
    assert found.result is Result.DEFECT and "AssertionError" in found.trouble
    assert found.exit_code() == ExitCode.SPOILED


def test_a_worker_that_dies_costs_its_job_alone(tmp_path: Path) -> None:
    first, second = shop(tmp_path, "ab")
    with Workers(1) as pool:
        pool.give(1, task(first, tmp_path / "out"))
        pool._all[0].child.kill()
        said = None
        while said is None or not isinstance(said.word, Outcome):
            said = pool.hear(60)
            assert said is not None
        assert said.number == 1 and said.word.result is Result.NOT_MADE
        assert "SIGKILL" in said.word.findings[0].message
        pool.give(2, task(second, tmp_path / "out"))
        while said.number == 1 or not isinstance(said.word, Outcome):
            said = pool.hear(60)
            assert said is not None
        assert said.word.result is Result.MADE


def test_the_worst_exit_code_is_the_highest() -> None:
    def outcome(result: Result, refused: int = 0, *findings: Finding) -> Outcome:
        return Outcome(
            name="x", folder=Path(), result=result, refused=ExitCode(refused), findings=findings
        )

    fine = outcome(Result.MADE)
    warned = outcome(Result.UNCHANGED, 0, Finding.warning("w", "w"))
    spoiled = outcome(Result.MADE, 0, Finding.error("e", "e"))
    unwritten = outcome(Result.NOT_MADE, 4, Finding.error("e", "e"))
    assert worst_code([]) == worst_code([fine, warned]) == 0
    assert worst_code([fine, warned], strict=True) == 1
    assert worst_code([spoiled, fine]) == 1
    assert worst_code([unwritten, spoiled]) == 4
    assert not unwritten.spoiled() and spoiled.spoiled()


@contextmanager
def interrupts_heard() -> Iterator[None]:
    """A child started in here hears interrupts, also where whoever runs the tests ignores them."""
    handler = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, handler)


def _alive(group: int) -> bool:
    try:
        os.kill(group, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.skipif(os.name == "nt", reason="signals are sent otherwise")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupt_ends_all_workers_and_leaves_nothing(number: int, tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    pages(tmp_path / "jobs" / "long.pdf", 400)
    jobs = [job(tmp_path / "jobs" / f"{n}.toml", "long.pdf") for n in range(4)]
    out = tmp_path / "out"
    with interrupts_heard():
        process = subprocess.Popen(
            [sys.executable, "-m", "impose", "make", *map(str, jobs), "--out", str(out),
             "--jobs", "2"],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
    deadline = time.monotonic() + 60
    while not list(out.glob("*/.impose-*")) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert list(out.glob("*/.impose-*")), "no job was being made"
    working = {int(path.name.split("-")[1].split(".")[0]) for path in out.glob("*/.impose-*")}
    process.send_signal(number)
    _, said = process.communicate(timeout=60)
    assert process.returncode == 130, said
    assert "interrupted" in said and "Traceback" not in said
    assert not list(out.rglob(".impose-*"))
    assert not any(map(_alive, working))
    for folder in out.iterdir():
        assert sorted(os.listdir(folder)) in ([], sorted(EVERY))


EVERY = ("cuts.csv", "cuts.pdf", "guts.pdf", "plan.json", "proof.pdf", "report.html", "ticket.pdf")


def test_names_of_folders_are_checked_before_anything_is_made(tmp_path: Path) -> None:
    (path,) = shop(tmp_path, "a")
    twice = [task(path, tmp_path / "out"), task(path, tmp_path / "out")]
    with pytest.raises(ImposeError, match="two jobs"):
        make_many(twice)
    assert not (tmp_path / "out").exists()
