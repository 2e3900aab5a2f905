"""Output appears whole or not at all, whatever happens to the run; inputs stay as they are."""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import pytest
from hostilefiles import sample

from impose.cli.main import run
from impose.errors import OutputError
from impose.pdf import files, publishing

OPTIONS = ["--binding", "saddle", "--trim", "a6", "--sheet", "a5", "--fit", "scale"]
PRODUCTS = "guts,proof,cuts,ticket,report,plan"


def arguments(source: Path, out: Path, title: str) -> list[str]:
    more = ["--title", title, "--only", PRODUCTS, "--out", str(out), "--quiet", "--no-check"]
    return ["make", str(source), *OPTIONS, *more]


def start(source: Path, out: Path, title: str, before: str = "") -> subprocess.Popen[bytes]:
    """The program in a process of its own; `before` is Python that is run first."""
    code = f"{before}\nfrom impose.cli.main import main\nmain({arguments(source, out, title)!r})"
    return subprocess.Popen(
        [sys.executable, "-c", code],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)},
    )


def ended(child: subprocess.Popen[bytes]) -> tuple[int, bytes]:
    """Its exit code and what it said, once it is over."""
    _, said = child.communicate()
    return child.returncode, said


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def is_whole(folder: Path) -> bool:
    """The files are those whose hashes `plan.json` holds."""
    plan = json.loads((folder / "plan.json").read_text("utf-8"))
    return all(
        hashlib.sha256((folder / name).read_bytes()).hexdigest() == told
        for name, told in plan["made"].items()
    )


def temporary(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if path.name.startswith(".impose")]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = sample(8).save(tmp_path / "book.pdf")
    os.utime(path, (1_000_000_000, 1_000_000_000))
    return path


@pytest.fixture
def out(tmp_path: Path, book: Path) -> Path:
    """A folder with the complete set of an earlier run, and a file of somebody else's."""
    folder = tmp_path / "out"
    assert run(arguments(book, folder, "earlier")) in (0, 1)
    (folder / "letter.txt").write_text("mine")
    return folder


# -- stopped ---------------------------------------------------------------------------


def test_killed_at_many_moments(book: Path, out: Path, tmp_path: Path) -> None:
    """Twenty moments spread over a run: the folder has the complete earlier set, or the new."""
    earlier = contents(out)
    began = time.monotonic()
    assert ended(start(book, tmp_path / "new", "later"))[0] in (0, 1)
    lasted = time.monotonic() - began
    later = {**contents(tmp_path / "new"), "letter.txt": b"mine"}
    for moment in range(20):
        child = start(book, out, "later")
        time.sleep(lasted * (moment + 1) / 20)
        child.kill()
        child.communicate()
        assert contents(out) in (earlier, later), moment
        assert is_whole(out)
    assert run(arguments(book, out, "earlier")) in (0, 1)
    assert contents(out) == earlier
    assert temporary(out) == []


#: Ends the process without a word when the set's n-th file has got its name.
KILL_AT = """
import os
replace, count = os.replace, [0]
def replacing(a, b):
    replace(a, b)
    if '/out/.impose' in str(a) and '/out/.impose' not in str(b):
        count[0] += 1
        if count[0] == {n}:
            os.kill(os.getpid(), 9)
os.replace = replacing
"""


@pytest.mark.parametrize("n", [1, 3, 6])
def test_killed_among_the_renames(n: int, book: Path, out: Path, tmp_path: Path) -> None:
    """The one moment at which a folder is mixed: `plan.json` says so, the next run mends it."""
    child = start(book, out, "later", KILL_AT.format(n=n))
    assert ended(child)[0] == -signal.SIGKILL
    assert not is_whole(out)
    ended(start(book, tmp_path / "new", "later"))
    publishing.sweep_leftovers(out, alone=True)
    assert is_whole(out) and temporary(out) == []
    assert contents(out) == {**contents(tmp_path / "new"), "letter.txt": b"mine"}


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_interrupted(how: signal.Signals, book: Path, out: Path) -> None:
    """At some moments of the run; it ends with 130, and leaves nothing behind."""
    earlier = contents(out)
    codes = set()
    before = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    for moment in range(3):
        child = start(book, out, "later", before)
        end = time.monotonic() + 20
        while not temporary(out) and child.poll() is None and time.monotonic() < end:
            time.sleep(0.005)
        time.sleep(0.03 * moment)
        child.send_signal(how)
        _, said = child.communicate()
        codes.add(child.returncode)
        assert temporary(out) == []
        assert b"Traceback" not in said
        if child.returncode == 130:
            assert b"interrupted" in said
            assert contents(out) == earlier
    assert codes <= {0, 1, 130} and 130 in codes


def test_a_run_that_ends_early_leaves_no_empty_folder(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: Any) -> None:
        raise OutputError("stopped")

    monkeypatch.setattr("impose.pipeline.publish", stopped)
    new = tmp_path / "shelf" / "new"
    assert run(arguments(book, new, "one")) == 4
    assert not new.exists()
    there = tmp_path / "there"
    there.mkdir()
    assert run(arguments(book, there, "one")) == 4
    assert there.is_dir()


def test_an_interrupt_waits_for_the_renames(
    book: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    earlier = contents(out)
    replace = os.replace

    def interrupting(one: Path, other: Path) -> None:
        replace(one, other)
        if Path(other).name == "guts.pdf" and Path(other).parent == out:
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(publishing.os, "replace", interrupting)
    handler = signal.signal(signal.SIGINT, signal.default_int_handler)  # may be ignored
    try:
        assert run(arguments(book, out, "later")) == 130
    finally:
        signal.signal(signal.SIGINT, handler)
    assert contents(out) != earlier and is_whole(out) and temporary(out) == []


# -- what cannot be written ------------------------------------------------------------


@pytest.mark.parametrize("size", [0, 1_000, 4_000, 20_000, 60_000])
def test_a_disk_that_is_full(size: int, book: Path, out: Path) -> None:
    """No file may become larger: the system's answer is the same as on a full disk."""
    earlier = contents(out)
    before = (
        "import resource, signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({size}, {size}))"
    )
    child = start(book, out, "later", before)
    _, said = child.communicate()
    if child.returncode == 4:
        assert b"ERROR" in said and b"cannot be written" in said and b"has room" in said
        assert contents(out) == earlier
    else:
        assert child.returncode in (0, 1) and is_whole(out)
    assert child.returncode == 4 or size > 50_000
    assert b"Traceback" not in said and temporary(out) == []


@pytest.mark.parametrize("name", ["guts.pdf", "ticket.pdf", "plan.json"])
def test_a_rename_that_fails_brings_the_earlier_set_back(
    name: str, book: Path, out: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    """As when a program holds the file open on a system that locks such files."""
    earlier = contents(out)
    (out / "cuts.csv").unlink()  # one that is not there yet
    del earlier["cuts.csv"]
    replace = os.replace

    def refusing(one: Path, other: Path) -> None:
        if Path(other) == out / name and "earlier" not in str(one):
            raise PermissionError(errno.EACCES, "The file is open in another program", str(other))
        replace(one, other)

    monkeypatch.setattr(publishing.os, "replace", refusing)
    assert run(arguments(book, out, "later")) == 4
    said = capsys.readouterr().err
    assert name in said and "open in another program" in said
    assert contents(out) == earlier and temporary(out) == []


def test_a_folder_that_may_not_be_written(
    book: Path, out: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    earlier = contents(out)
    mkdir = Path.mkdir

    def refusing(self: Path, *args: Any, **more: Any) -> None:
        if self.parent == out:
            raise PermissionError(errno.EACCES, "Permission denied", str(self))
        mkdir(self, *args, **more)

    monkeypatch.setattr(Path, "mkdir", refusing)
    assert run(arguments(book, out, "later")) == 4
    assert f"{out} cannot be written: Permission denied" in capsys.readouterr().err
    assert contents(out) == earlier


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="no such folder here")
def test_a_folder_that_nobody_may_write(book: Path, capsys: Any) -> None:
    assert run(arguments(book, Path("/proc/self/fd"), "later")) == 4
    assert "cannot be written" in capsys.readouterr().err


def test_files_that_are_open_elsewhere_are_replaced(book: Path, out: Path) -> None:
    """Who reads the earlier file goes on reading it."""
    earlier = (out / "guts.pdf").read_bytes()
    with (out / "guts.pdf").open("rb") as reading:
        assert run(arguments(book, out, "later")) in (0, 1)
        assert reading.read() == earlier
    assert is_whole(out)


def test_a_folder_in_the_place_of_a_file(book: Path, out: Path, capsys: Any) -> None:
    (out / "ticket.pdf").unlink()
    (out / "ticket.pdf").mkdir()
    earlier = contents(out)
    assert run(arguments(book, out, "later")) == 4
    assert "ticket.pdf is a folder" in capsys.readouterr().err
    assert contents(out) == earlier and temporary(out) == []


# -- two runs --------------------------------------------------------------------------


def test_two_runs_into_one_folder(book: Path, out: Path, capsys: Any) -> None:
    earlier = contents(out)
    with publishing.only_run(out):
        child = start(book, out, "later")
        _, said = child.communicate()
        assert child.returncode == 4
        assert b"another run is writing into" in said
    assert contents(out) == earlier
    assert run(arguments(book, out, "later")) in (0, 1)


def test_many_runs_at_once_leave_one_whole_set(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    children = [start(book, out, f"run {n}") for n in range(4)]
    codes = []
    for child in children:
        _, said = child.communicate()
        codes.append(child.returncode)
        assert b"Traceback" not in said
    assert set(codes) <= {0, 1, 4} and set(codes) & {0, 1}
    assert is_whole(out) and temporary(out) == []


def test_where_the_system_has_no_locks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(publishing, "fcntl", None)
    with publishing.only_run(tmp_path) as held:
        assert not held
    (tmp_path / f".impose-{os.getppid()}.part").mkdir()
    with pytest.raises(OutputError, match="another run"), publishing.only_run(tmp_path):
        pass
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    (tmp_path / f".impose-{os.getppid()}.part").rename(tmp_path / f".impose-{gone.pid}.part")
    with publishing.only_run(tmp_path):
        publishing.sweep_leftovers(tmp_path)
    assert list(tmp_path.iterdir()) == []


# -- links and inputs ------------------------------------------------------------------


def test_nothing_is_written_through_a_link(
    book: Path, out: Path, tmp_path: Path, capsys: Any
) -> None:
    victim = tmp_path / "victim"
    victim.write_bytes(b"precious")
    (out / "guts.pdf").unlink()
    (out / "guts.pdf").symlink_to(victim)
    assert run(arguments(book, out, "later")) == 4
    assert f"guts.pdf is a link to {victim}" in capsys.readouterr().err
    assert victim.read_bytes() == b"precious" and (out / "guts.pdf").is_symlink()
    with pytest.raises(OutputError), files.replacing(out / "guts.pdf"):
        pass


def test_a_link_in_the_place_of_a_temporary_file(tmp_path: Path) -> None:
    victim = tmp_path / "victim"
    victim.write_bytes(b"precious")
    (tmp_path / ".impose-a.txt.part").symlink_to(victim)
    files.write_atomically(tmp_path / "a.txt", b"new")
    assert victim.read_bytes() == b"precious" and not (tmp_path / "a.txt").is_symlink()
    (tmp_path / f".impose-{os.getpid()}.part").symlink_to(tmp_path)
    publishing.sweep_leftovers(tmp_path, alone=True)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.txt", "victim"]


def test_a_folder_that_is_a_link_is_a_folder(book: Path, out: Path, tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(out)
    assert run(arguments(book, tmp_path / "link", "later")) in (0, 1)
    assert is_whole(out) and (tmp_path / "link").is_symlink()


@pytest.mark.parametrize("how", ["same", "link", "hard link"])
def test_output_over_an_input(how: str, book: Path, tmp_path: Path, capsys: Any) -> None:
    folder = tmp_path / "o"
    folder.mkdir()
    source = folder / "guts.pdf" if how == "same" else book
    if how == "same":
        shutil.copy2(book, source)
    elif how == "link":
        (folder / "guts.pdf").symlink_to(book)
    else:
        (folder / "guts.pdf").hardlink_to(book)
    before = source.read_bytes()
    assert run(arguments(source, folder, "x")) == 4
    assert "is an input of this job" in capsys.readouterr().err
    assert source.read_bytes() == before and len(list(folder.iterdir())) == 1


def test_inputs_keep_bytes_and_dates(book: Path, tmp_path: Path) -> None:
    before, when = book.read_bytes(), book.stat()
    book.chmod(0o444)
    assert run(arguments(book, tmp_path / "o", "x")) in (0, 1)
    after = book.stat()
    assert book.read_bytes() == before
    assert (after.st_mtime_ns, after.st_ctime_ns >= when.st_ctime_ns) == (when.st_mtime_ns, True)
    assert [path.name for path in tmp_path.iterdir() if path.name != "o"] == ["book.pdf"]


def test_repairs_leave_nothing_in_the_folder_for_temporary_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from hostilefiles import cyclic_page_tree

    (tmp_path / "tmp").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "tmp"))
    source = cyclic_page_tree(tmp_path / "in.pdf")
    assert run(arguments(source, tmp_path / "o", "x")) in (0, 1)
    assert list((tmp_path / "tmp").iterdir()) == []


# -- where the results go --------------------------------------------------------------


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
def test_results_that_cannot_be_said(book: Path, tmp_path: Path) -> None:
    """The files are there; what stdout cannot take is said on stderr."""
    code = "from impose.cli.main import main; import sys; main(sys.argv[1:])"
    command = [arg for arg in arguments(book, tmp_path / "o", "x") if arg != "--quiet"]
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-c", code, *command], stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 4
    assert b"No space left" in done.stderr and b"Traceback" not in done.stderr
    assert is_whole(tmp_path / "o")
