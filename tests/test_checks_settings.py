"""What the checks take for enough is a setting of the job."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from look_samples import SAMPLES

from impose.cli.main import run

CASES = [
    ("text-far", 'safe_foot = "15mm"', "may-be-cut"),
    ("text-far", 'safe = "15mm"', "may-be-cut"),
    ("spine-far", 'safe_spine = "15mm"', "near-spine"),
    ("photo-fine", "resolution = 400", "picture-soft"),
    ("photo-fine", "resolution = 400\nresolution_least = 300", "picture-coarse"),
    ("line-art-fine", "resolution_line_art = 1200", "line-art-coarse"),
    ("thin-line", 'hairline = "0.5pt"', "hairline"),
    ("ink-enough", 'total_ink = "240%"', "total-ink"),
]


def codes(folder: Path, name: str, setting: str, capsys: pytest.CaptureFixture[str]) -> set[str]:
    sample = next(one for one in SAMPLES if one.name == name)
    sample.write(folder / "p.pdf")
    job = folder / "job.toml"
    job.write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "perfect"\ntrim = "a5"\n[guts]\nsheet = "sra3"\n'
        f"[checks]\n{setting}\n"
    )
    run(["check", str(job), "--json"])
    return {one["code"] for one in json.loads(capsys.readouterr().out)["findings"]}


@pytest.mark.parametrize(("name", "setting", "code"), CASES)
def test_a_stricter_limit_finds_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, setting: str, code: str
) -> None:
    assert code not in codes(tmp_path, name, "", capsys)
    assert code in codes(tmp_path, name, setting, capsys)


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        ("resolution = 100\nresolution_least = 150", "more than resolution, 100"),
        ('total_ink = "3"', "is not a share"),
        ('total_ink = "500%"', "100 % to 400 %"),
        ('safe_bottom = "3mm"', "safe_foot"),
    ],
)
def test_limits_that_are_none(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], setting: str, words: str
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(f'[book]\npages = ["p.pdf"]\nbinding = "perfect"\n[checks]\n{setting}\n')
    assert run(["check", str(job)]) == 2
    assert words in capsys.readouterr().err
