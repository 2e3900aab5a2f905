"""pdfium as a second reader of a damaged input: how many pages it counts, and its own copy.

It runs in a child process with limits, since a damaged file may crash it.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import impose
from impose.pdf.limits import CHILD_MEMORY, limit_memory

#: Seconds a child may take.
PATIENCE: Final = 60.0


def count_pages(path: Path, passwords: Sequence[str] = ()) -> int | None:
    """The pages pdfium counts; None when it cannot open the file."""
    return _ask(path, passwords, None)


def save_anew(
    path: Path, target: Path, passwords: Sequence[str] = (), pages_only: bool = False
) -> int | None:
    """Has pdfium write its own copy of what it understands of the file, without encryption.

    `pages_only`: its pages alone, in a page tree of its own; else that of the file
    stays as it is.  Gives the number of pages; None, and no `target`, when that failed.
    """
    found = _ask(path, passwords, target, pages_only)
    if found is None:
        target.unlink(missing_ok=True)
    return found


def _ask(
    path: Path, passwords: Sequence[str], target: Path | None, pages_only: bool = False
) -> int | None:
    here = str(Path(impose.__file__).parent.parent)
    order = {
        "path": str(path.resolve()),
        "passwords": list(passwords),
        "target": None if target is None else str(target.resolve()),
        "pages_only": pages_only,
    }
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-m", "impose.pdf.secondreader"],
            input=json.dumps(order).encode("ascii"),
            capture_output=True,
            timeout=PATIENCE,
            check=False,
            env={
                **os.environ,
                "PYTHONPATH": os.pathsep.join([here, *(p for p in sys.path if p)]),
            },
        )
        pages = json.loads(done.stdout) if done.returncode == 0 else None
    except (subprocess.TimeoutExpired, ValueError):
        return None
    return pages if isinstance(pages, int) and pages > 0 else None


def main() -> None:
    """Does what standard input asks for; the number of pages on standard output."""
    import pypdfium2 as pdfium
    import pypdfium2.raw as raw

    limit_memory(CHILD_MEMORY)
    order = json.load(sys.stdin)
    for password in (None, *order["passwords"]):
        try:
            document = pdfium.PdfDocument(order["path"], password=password)
        except pdfium.PdfiumError:
            continue
        with document:
            if order["target"] is not None and order["pages_only"]:
                pages = pdfium.PdfDocument.new()
                pages.import_pages(document)
                pages.save(order["target"])
            elif order["target"] is not None:
                document.save(order["target"], flags=raw.FPDF_REMOVE_SECURITY)
            print(len(document))
        return
    sys.exit(1)


if __name__ == "__main__":
    main()
