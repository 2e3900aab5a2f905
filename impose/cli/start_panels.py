"""The questions of `impose start` about folded panels, and how its faults name its own answers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from impose.cli.asking import Asker, Choice
from impose.cli.start_pages import PagesSeen
from impose.errors import ImposeError, JobError
from impose.findings import Finding
from impose.geometry.box import Size
from impose.model.fields import ValueFault
from impose.model.job import Binding, NamedSize
from impose.model.jobreaders import leaflet_fold
from impose.model.machines import Printer
from impose.model.panels import LeafletFold, PanelWish
from impose.model.readers import either
from impose.schemes.leafletfolds import panels_of
from impose.schemes.panelproposal import (
    EVEN,
    Piece,
    advise_fold,
    advise_panel,
    folds_for,
    is_open_size,
    suits,
    white_off,
)
from impose.schemes.proposal import BLEED, NEAR, TrimAdvice

#: Pieces that are folded from flat paper, offered where they suit the pages.
PANELLED: Final = (
    Choice("one sheet", "8 or 16 small pages folded out of one sheet, one slit, no staple"),
    Choice("leaflet", "one sheet, folded: a page on each panel, or two flat sides"),
    Choice("concertina", "a strip of panels folded to and fro"),
)
_FOLDS: Final = {
    LeafletFold.HALF: "once, in the middle",
    LeafletFold.LETTER: "in three, one part folded in and one closed over it",
    LeafletFold.ROLL: "in four, rolled up",
    LeafletFold.Z: "in three, to and fro",
    LeafletFold.GATE: "two half parts that meet in the middle, like a gate",
    LeafletFold.DOUBLE_GATE: "a gate, folded once more in the middle",
    LeafletFold.DOUBLE_PARALLEL: "in half, and in half again",
    LeafletFold.TENT: "in half at its head, to stand",
}
_SIDES: Final = (
    Choice("left", "it opens like an English book"),
    Choice("right", "it opens like a Hebrew, Arabic or Japanese book"),
    Choice("head", "it is turned up, like a notepad or a wall calendar"),
)
EDGE: Final = (
    Choice("smaller", "make the page a little smaller and cut all round, so that they run off"),
    Choice("white", "leave them with a white edge where the printer cannot print"),
)
#: `Interview`'s way to ask: option, question, choices, default, what reads other answers.
Choose = Callable[[str, str, tuple[Choice, ...], str, Callable[[str], str] | None], str]


def offered(seen: PagesSeen, sheet: Size, unit: str) -> tuple[Choice, ...]:
    """The pieces that suit the pages and the paper."""
    return tuple(
        choice
        for choice in PANELLED
        if suits(Binding(choice.word), seen.count, seen.size, sheet, unit)
    )


def implied(given: Mapping[str, Any]) -> str:
    """The binding that is meant by an option that belongs to one alone; empty: none."""
    if given["fold"] is not None:
        return Binding.LEAFLET.value
    return Binding.CONCERTINA.value if given["panels"] is not None else ""


def sides(wish: PanelWish) -> tuple[Choice, ...]:
    """A tent hinges at its head, and opens to no other side."""
    return _SIDES[:2] if wish.fold is LeafletFold.TENT else _SIDES


@dataclass(frozen=True, slots=True)
class PanelQuestions:
    """Fold, panels, and what about pictures at the edge; `given` are the options."""

    asker: Asker
    choose: Choose
    given: Mapping[str, Any]

    def wish(self, binding: Binding, seen: PagesSeen) -> PanelWish:
        """What the binding needs to know.  Raises ImposeError for an option of another one."""
        for option, of in (("fold", Binding.LEAFLET), ("panels", Binding.CONCERTINA)):
            if self.given[option] is not None and binding is not of:
                raise ImposeError(
                    f"--{option} belongs to a {of.value}, and this is to be {binding.value}",
                    hint=f"leave --{option} out, or say --binding {of.value}",
                )
        if binding is Binding.LEAFLET:
            return PanelWish(fold=self._fold(seen))
        if binding is Binding.CONCERTINA:
            return PanelWish(panels=self._panels(seen))
        return PanelWish()

    def _fold(self, seen: PagesSeen) -> LeafletFold:
        folds = folds_for(seen.count)
        if not folds:
            most = max(panels_of(fold) for fold in LeafletFold) * 2
            raise ImposeError(
                f"a leaflet has at most {most} pages, and these are {seen.count}",
                hint="leave pages out, or say --binding concertina or --binding saddle",
            )
        choices = tuple(Choice(fold.value, _FOLDS[fold]) for fold in folds)
        default = advise_fold(seen.count, not seen.others).value

        def other(answer: str) -> str:
            try:
                found = leaflet_fold(answer)
            except ValueFault as fault:
                raise ImposeError(fault.message, hint=fault.hint) from fault
            if found not in folds:
                raise ImposeError(
                    f"a {found.value} fold has {panels_of(found) * 2} pages at most, and these "
                    f"are {seen.count}",
                    hint=f"answer {either(fold.value for fold in folds)}",
                )
            return found.value

        return LeafletFold(self.choose("fold", "How should it be folded?", choices, default, other))

    def _panels(self, seen: PagesSeen) -> int:
        least = -(-seen.count // 2)

        def count(answer: str) -> int:
            if not answer.isdecimal() or int(answer) < max(least, 2):
                raise ImposeError(
                    f"'{answer}' is no number of panels for {seen.count} pages",
                    hint=f"{max(least, 2)} panels or more: {seen.count} have the pages on one "
                    "side, half as many have them on both",
                )
            return int(answer)

        if self.given["panels"] is not None:
            try:
                return count(str(self.given["panels"]))
            except ImposeError as fault:
                raise ImposeError(f"--panels: {fault.message}", hint=fault.hint) from fault
        question = (
            "How many panels? As many as there are pages: all on one side; half as many: on both."
        )
        return self.asker.ask(question, str(max(seen.count, 2)), count)

    def advice(
        self, seen: PagesSeen, sheet: Size, piece: Piece, printer: Printer | None
    ) -> TrimAdvice:
        """The panel; smaller where pictures reach the edge and are to run off it."""
        advice = advise_panel(seen.size, sheet, piece)
        if not seen.at_edge or self.given["trim"] is not None:
            return advice
        smaller = advise_panel(seen.size, sheet, piece, white_off(sheet, printer))
        if smaller.trim == advice.trim:
            return advice
        question = (
            f"On {len(seen.at_edge)} of the pages pictures or colours reach the edge, and the "
            "outer edges of the folded piece are the paper's own. What about them?"
        )
        if self.choose("edge", question, EDGE, "white", None) == "white":
            return advice
        return replace(smaller, bleed=BLEED)

    def fit(self, seen: PagesSeen, trim: NamedSize, advice: TrimAdvice, piece: Piece) -> str:
        """How pages of another size than their panel are made to fit; empty: not at all."""
        if self.given["fit"] is not None:
            return str(self.given["fit"])
        leaflet = piece.binding is Binding.LEAFLET
        if leaflet and piece.pages <= 2 and is_open_size(seen.size, trim.size, piece):
            return ""
        if seen.others or not seen.size.near(trim.size, NEAR):
            return "scale"
        uneven = leaflet and piece.pages > 2 and piece.fold not in EVEN
        return "scale" if uneven else ""


# -- faults --------------------------------------------------------------------------------

_HINTS: Final = {
    "too-many-pages": "leave pages out, or say another --binding",
    "sheet-too-small": "say larger paper (--sheet), a smaller finished page (--trim), or another "
    "--binding",
}
_ANY: Final = "answer otherwise: --sheet, --trim, --fit scale or --fit centre, --binding"


def in_own_words(error: JobError, file: str) -> JobError:
    """The faults of a job whose file was never written: without its lines, and with the options
    of `impose start` for what to change.  What is said of other files stays."""
    return JobError([_own(fault, file) for fault in error.faults])


def _own(fault: Finding, file: str) -> Finding:
    if fault.file not in ("", file):
        return fault
    return replace(fault, file="", line=0, hint=_HINTS.get(fault.code, _ANY))
