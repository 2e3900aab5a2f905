"""Functions for scripts: the README's example runs, names and types agree, starting is quick."""

from __future__ import annotations

import ast
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pdf_samples import numbered

import impose
from impose import (
    ImposeError,
    InputError,
    JobError,
    Length,
    Part,
    Plan,
    Result,
    Severity,
    Size,
    api,
    check,
    check_sheets,
    job_of_pages,
    job_of_values,
    make,
    make_many,
    plan_data,
    read_job,
    read_plan,
)
from impose.model.jobfile import as_toml
from impose.pipeline import Made
from impose.units import parse_length

ROOT = Path(__file__).parent.parent
VALUES = {
    "book": {"pages": ["in.pdf"], "trim": Size(Length.points(200), Length.points(300)),
             "binding": "saddle"},
    "guts": {"stock": {"caliper": Length.mm("0.1")}, "sheet": "500pt x 400pt"},
}  # fmt: skip


def test_the_example_of_the_readme_runs(tmp_path: Path) -> None:
    (code,) = re.findall(r"```python\n(.*?)```", (ROOT / "README.md").read_text(), re.DOTALL)
    shutil.copytree(ROOT / "examples", tmp_path / "examples")
    script = tmp_path / "script.py"  # without a guard for the main module: none is needed
    script.write_text(code)
    done = subprocess.run(
        [sys.executable, str(script)], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert any(line.startswith("warning white-edge") for line in lines), lines
    assert lines[-3] == f"6 sheets: {Path('print/zine/guts.pdf')} {Path('print/zine/plan.json')}"
    assert lines[-2:] == ["zine made 6", "perfect made 13"]


def test_names_types_and_lists_agree() -> None:
    stub = ast.parse((ROOT / "impose" / "__init__.pyi").read_text())
    imported = stub.body[0]
    assert isinstance(imported, ast.ImportFrom) and imported.module == "impose.api"
    told = [alias.name for alias in imported.names]
    listed = stub.body[1]
    assert isinstance(listed, ast.Assign) and ast.literal_eval(listed.value) == told
    assert told == impose.__all__ == api.__all__
    assert all(getattr(impose, name) is getattr(api, name) for name in impose.__all__)
    assert (ROOT / "impose" / "py.typed").is_file()
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        impose.nothing  # noqa: B018


def test_importing_the_package_imports_no_stage() -> None:
    code = "import sys, impose; print(*sorted(m for m in sys.modules if m.startswith('impose')))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), *filter(None, sys.path)])},
    )  # fmt: skip
    assert done.stdout.split() == ["impose"]


def test_help_waits_for_no_stage() -> None:
    code = (
        "import sys; from impose.cli.main import run; run(['--help']);"
        "print([m for m in ('pikepdf', 'pydantic', 'watchfiles', 'impose.pipeline')"
        " if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
    assert "print-ready" in done.stdout and "watch" in done.stdout


def test_sheets_are_held_to_a_part(tmp_path: Path) -> None:
    numbered(tmp_path / "in.pdf", 4)
    make(job_of_values(VALUES, tmp_path), tmp_path, only=["guts"], look=False)
    for part in (Part.X4, "X-4"):
        told = check_sheets(tmp_path / "guts.pdf", part)
        assert [finding.code for finding in told] == ["ready-version", "ready-intent", "ready-font"]
    with pytest.raises(ImposeError, match="no part X-9"):
        check_sheets(tmp_path / "guts.pdf", "X-9")


def test_a_job_from_values_is_that_of_the_file(tmp_path: Path) -> None:
    numbered(tmp_path / "in.pdf", 4)
    (tmp_path / "job.toml").write_text(
        '[book]\npages = ["in.pdf"]\ntrim = "200pt x 300pt"\nbinding = "saddle"\n'
        '[guts]\nstock = { caliper = "0.1mm" }\nsheet = "500pt x 400pt"\n'
    )
    read, told = read_job(tmp_path / "job.toml"), job_of_values(VALUES, tmp_path)
    assert told == read
    assert check(told).plan == check(read).plan


def test_making_returns_plan_findings_and_files(tmp_path: Path) -> None:
    numbered(tmp_path / "in.pdf", 4)
    job = job_of_values(VALUES, tmp_path)
    made = make(job, tmp_path / "out", only=["guts", "plan"], look=False)
    assert isinstance(made, Made) and isinstance(made.plan, Plan)
    assert [path.name for path in made.files] == ["guts.pdf", "plan.json"]
    assert all(path.is_file() for path in made.files)
    assert read_plan(tmp_path / "out" / "plan.json") == made.plan
    assert plan_data(made.plan)["format"] == "impose-plan"
    assert {finding.severity for finding in made.findings} <= set(Severity)


def test_pages_with_options(tmp_path: Path) -> None:
    numbered(tmp_path / "in.pdf", 4)
    options = {"binding": "saddle", "sheet": Size(Length.points(500), Length.points(400))}
    job = job_of_pages(tmp_path / "in.pdf", stock=Length.mm("0.1"), **options)
    assert check(job).plan.sheets[0].size == Size(Length.points(500), Length.points(400))


def test_many_from_values_by_name(tmp_path: Path) -> None:
    numbered(tmp_path / "in.pdf", 4)
    job = job_of_values(VALUES, tmp_path)
    jobs = {"first": job, "second": job}
    options = {"workers": 2, "look": False}
    told = make_many(jobs, tmp_path / "out", only=["guts", "plan"], **options)
    assert [(o.name, o.result, o.sheets) for o in told] == [
        ("first", Result.MADE, 1),
        ("second", Result.MADE, 1),
    ]
    again = make_many(jobs, tmp_path / "out", only=["guts", "plan"], **options)
    assert {o.result for o in again} == {Result.UNCHANGED}


@pytest.mark.parametrize(
    ("call", "kind", "words"),
    [
        (lambda p: read_job(p / "no.toml"), InputError, "cannot be read"),
        (lambda p: read_job(p / "no.toml", colour="red"), ImposeError, "no option colour"),
        (lambda p: job_of_values({"book": {"bindin": "x"}}), JobError, "no such key"),
        (lambda p: job_of_values({"bok": {}}), JobError, "no such key"),
        (lambda p: job_of_values({"book": 1}), JobError, "table"),
        (lambda p: check(job_of_values(VALUES, p)), InputError, "does not exist"),
        (lambda p: make(job_of_values(VALUES, p), p, only=["gut"]), ImposeError, "no product gut"),
        (lambda p: make_many({"../up": job_of_values(VALUES, p)}, p), ImposeError, "cannot be the"),
        (lambda p: make_many([p / "a.toml", p / "x" / "a.toml"], p), ImposeError, "two jobs"),
        (lambda p: read_plan(p / "plan.json"), InputError, "cannot be read"),
    ],
)
def test_every_mistake_has_the_one_root(
    call: object, kind: type[ImposeError], words: str, tmp_path: Path
) -> None:
    assert callable(call)
    with pytest.raises(kind, match=words) as caught:
        call(tmp_path)
    assert isinstance(caught.value, ImposeError)


def test_a_plan_of_another_version_is_refused_in_words(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    for text in ('{"format": "impose-plan", "version": 1}', "no JSON", "[]", "{}"):
        path.write_text(text)
        with pytest.raises(InputError, match="not a plan of this version"):
            read_plan(path)


@given(grains=st.integers(min_value=1, max_value=10**11))
def test_lengths_as_values_are_exact(grains: int) -> None:
    assert parse_length(as_toml(Length(grains))) == Length(grains)  # type: ignore[arg-type]


def test_faults_of_values_name_their_keys_and_no_file(tmp_path: Path) -> None:
    with pytest.raises(JobError) as caught:
        job_of_values({"book": {"bindin": "saddle"}, "guts": {"up": 0}}, tmp_path)
    assert {(fault.file, fault.line) for fault in caught.value.faults} == {("", 0)}
    told = " ".join(fault.message for fault in caught.value.faults)
    assert "book.bindin" in told and "guts.up" in told
