"""Questions on the terminal: to stderr, answers from stdin; a bad answer is asked again.

Nothing here knows what is asked.  At the end of the input an `ImposeError`
says how to answer without a terminal.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import click

from impose.errors import ImposeError
from impose.model.readers import either, fold

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Choice:
    """An answer: the word that is typed, and what it means."""

    word: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Asker:
    """Asks, or with `silent` takes what is proposed."""

    silent: bool = False

    def say(self, words: str = "") -> None:
        """Something that is no question."""
        click.echo(words, err=True)

    def choose(
        self,
        question: str,
        choices: Sequence[Choice],
        default: str,
        other: Callable[[str], str] | None = None,
    ) -> str:
        """The word of a choice, asked for by its number or word; `other` reads what is none of
        them, and raises ImposeError for what it cannot read."""
        if self.silent:
            return default
        self.say()
        self.say(question)
        for number, choice in enumerate(choices, start=1):
            mark = "  (proposed)" if choice.word == default else ""
            self.say(f"  {number}  {choice.word}: {choice.meaning}{mark}")

        def read(answer: str) -> str:
            return self.one_of(answer, choices, other)

        return self._until(f"[{default}]", default, read)

    @staticmethod
    def one_of(
        answer: str, choices: Sequence[Choice], other: Callable[[str], str] | None = None
    ) -> str:
        """The word that is meant.  Raises ImposeError that lists the choices."""
        if answer.isdecimal() and 1 <= int(answer) <= len(choices):
            return choices[int(answer) - 1].word
        for choice in choices:
            if fold(choice.word) == fold(answer):
                return choice.word
        if other is not None:
            return other(answer)
        words = either(choice.word for choice in choices)
        raise ImposeError(
            f"'{answer}' is none of the answers", hint=f"answer 1 to {len(choices)}, or {words}"
        )

    def ask(self, question: str, default: str, read: Callable[[str], T]) -> T:
        """An answer in words; `read` raises ImposeError for what it cannot read."""
        if self.silent:
            return read(default)
        self.say()
        self.say(question)
        return self._until(f"[{default}]" if default else "", default, read)

    def _until(self, shown: str, default: str, read: Callable[[str], T]) -> T:
        """Asks until `read` is content."""
        while True:
            answer = self._line(f"{shown} > ".lstrip())
            try:
                return read(answer or default)
            except ImposeError as fault:
                self.say(f"{fault.message}: {fault.hint}" if fault.hint else fault.message)

    def _line(self, prompt: str) -> str:
        click.echo(prompt, nl=False, err=True)
        line = sys.stdin.readline()
        if not line:
            self.say()
            raise ImposeError(
                "the answers ended before the last question; nothing was written",
                hint="give the answers as options (impose start --help), or --yes to take what is "
                "proposed",
            )
        return line.strip()
