"""Files written whole or not at all."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from impose.errors import ExitCode, OutputError
from impose.pdf.files import (
    ensure_folder,
    refuse_input,
    replacing,
    sha256_of,
    write_atomically,
)
from impose.pdf.publishing import sweep_leftovers


def test_a_file_is_written_and_written_over(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    write_atomically(target, b"one")
    write_atomically(target, b"two")
    assert target.read_bytes() == b"two"
    assert list(tmp_path.iterdir()) == [target]


def test_an_exception_leaves_the_old_file_alone(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_bytes(b"old")
    with pytest.raises(KeyboardInterrupt), replacing(target) as part:
        part.write_bytes(b"half of the new")
        raise KeyboardInterrupt
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_what_cannot_be_written_is_said(tmp_path: Path) -> None:
    for target in (tmp_path / "none" / "a.txt", tmp_path / "folder"):
        (tmp_path / "folder").mkdir(exist_ok=True)
        with pytest.raises(OutputError) as caught:
            write_atomically(target, b"x")
        assert str(target) in caught.value.message and caught.value.hint
        assert caught.value.exit_code is ExitCode.OUTPUT
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_folders_are_made_with_those_above(tmp_path: Path) -> None:
    ensure_folder(tmp_path / "a" / "b")
    ensure_folder(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b").is_dir()
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(OutputError, match="not a folder"):
        ensure_folder(tmp_path / "file")
    with pytest.raises(OutputError):
        ensure_folder(tmp_path / "file" / "below")


def test_an_input_is_refused_by_whatever_name(tmp_path: Path) -> None:
    source = tmp_path / "a.pdf"
    source.write_bytes(b"x")
    (tmp_path / "soft.pdf").symlink_to(source)
    (tmp_path / "hard.pdf").hardlink_to(source)
    for name in ("a.pdf", "soft.pdf", "hard.pdf", "../" + tmp_path.name + "/a.pdf"):
        with pytest.raises(OutputError, match="input"):
            refuse_input(tmp_path / name, [source])
    refuse_input(tmp_path / "b.pdf", [source])


def test_leftovers_of_a_killed_run_are_swept(tmp_path: Path) -> None:
    keep = tmp_path / "a.part"
    keep.write_bytes(b"")
    (tmp_path / ".impose-guts.pdf.part").write_bytes(b"half")
    sweep_leftovers(tmp_path)
    sweep_leftovers(tmp_path / "none")
    assert list(tmp_path.iterdir()) == [keep]


def test_hashes(tmp_path: Path) -> None:
    target = tmp_path / "a"
    target.write_bytes(b"data" * 100_000)
    assert sha256_of(target) == hashlib.sha256(b"data" * 100_000).hexdigest()
    with pytest.raises(OutputError):
        sha256_of(tmp_path / "none")
