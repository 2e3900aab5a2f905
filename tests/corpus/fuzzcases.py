"""`python -m tests.corpus.fuzzcases FIRST COUNT FOLDER`: damaged files made and judged.

Case n is always the same: a small sound or odd file with bytes changed, cut out,
doubled or cut off.  Before a case begins its number is printed, and after it what
came of it, so that whoever reads along knows the case at which this process died.
"""

from __future__ import annotations

import contextlib
import io
import random
import sys
import tempfile
import traceback
import warnings
from pathlib import Path

import pikepdf

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import hostilefiles as hostile
import pdf_samples

from impose.cli.main import run

OPTIONS = ["--binding", "saddle", "--trim", "a6", "--sheet", "a5", "--fit", "scale", "--quiet"]
#: One case in so many is looked at and made with everything; the others only as sheets.
WHOLE = 20


def fixtures(folder: Path) -> list[bytes]:
    """Small files that between them have every kind of object, coding and cross-reference."""
    made = [
        hostile.sound, hostile.locked_with_nothing, hostile.cyclic_form, hostile.in_pieces,
        hostile.unbalanced, hostile.odd_boxes, hostile.shared_and_inherited, hostile.active,
        hostile.user_unit, hostile.wrong_resources, hostile.contents_no_stream,
        hostile.undecodable, pdf_samples.indirect,
    ]  # fmt: skip
    found = [maker(folder / "fixture.pdf").read_bytes() for maker in made]
    for options in (
        {"object_stream_mode": pikepdf.ObjectStreamMode.generate},
        {"linearize": True},
        {"qdf": True},
    ):
        sample = hostile.sample(6)
        found.append(sample.save(folder / "fixture.pdf", **options).read_bytes())
    return found


def damaged(whole: bytes, rng: random.Random) -> bytes:
    """Bytes changed at random, or digits, or a run of bytes lost, doubled or at the end."""
    data = bytearray(whole)
    how = rng.randrange(6)
    at = rng.randrange(len(data))
    length = rng.choice([1, 4, 20, 200])
    if how == 0:
        del data[max(at, 10) :]
    elif how == 1:
        del data[at : at + length]
    elif how == 2:
        data[at:at] = data[at : at + length]
    elif how == 3:
        digits = [place for place, byte in enumerate(data) if 48 <= byte <= 57]
        for place in rng.sample(digits, min(len(digits), rng.choice([1, 2, 5]))):
            data[place] = rng.choice(b"0123456789-.")
    else:
        for _ in range(rng.choice([1, 3, 10, 60])):
            place = rng.randrange(len(data))
            data[place] = rng.choice([rng.randrange(256), data[place] ^ 1 << rng.randrange(8)])
    return bytes(data)


def case(number: int, wholes: list[bytes], folder: Path) -> str:
    """`made`, `error`, or what is wrong."""
    rng = random.Random(number)
    data = damaged(rng.choice(wholes), rng)
    source, out = folder / "in.pdf", folder / "out"
    source.write_bytes(data)
    more = [] if number % WHOLE == 0 else ["--only", "guts,plan", "--no-check"]
    said = io.StringIO()
    try:
        with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
            code = run(["make", str(source), *OPTIONS, *more, "--out", str(out)])
    except Exception:
        return "traceback " + traceback.format_exc(limit=-2).replace("\n", " | ")
    return judged(code, said.getvalue(), data, folder)


def judged(code: int, said: str, data: bytes, folder: Path) -> str:
    if (folder / "in.pdf").read_bytes() != data:
        return "wrong the input was changed"
    if list(folder.glob("out/.impose*")):
        return "wrong temporary files are left"
    if code > 1:
        return "error" if code in (2, 3, 4) and "ERROR" in said else f"wrong code {code}: {said}"
    with pikepdf.open(folder / "out" / "guts.pdf") as pdf:
        if pdf.get_warnings() or not len(pdf.pages):
            return f"wrong {pdf.get_warnings()}"
    return "made"


def main() -> None:
    """Case after case; a line before and a line after each."""
    first, count, folder = int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3])
    warnings.simplefilter("ignore")
    wholes = fixtures(folder)
    for number in range(first, first + count):
        print(f"begin {number}", flush=True)
        with tempfile.TemporaryDirectory(dir=folder) as own:
            print(f"end {case(number, wholes, Path(own))}", flush=True)


if __name__ == "__main__":
    main()
