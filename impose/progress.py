"""How a run tells how far it is."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Told how far the work is; the default is silent."""

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        """A stage begins, or `done` of `of` parts of the work are over."""


class Silent:
    """Says nothing."""

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        return None
