"""The garbage collector held back while many small objects are made.

Ten thousand pages make some hundred thousand objects that all live to the end
of the run; looking through them again and again costs a fifth of the time.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """No collection inside the block; as it was before, after it."""
    was_running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_running:
            gc.enable()
