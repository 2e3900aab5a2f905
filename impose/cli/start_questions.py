"""The questions of `impose start`, in plain words: what do you have, what printer, what paper,
how should it be bound.

Options answer in advance and are held to the same answers.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Final

from impose.cli.asking import Asker, Choice
from impose.cli.start_pages import PagesSeen
from impose.cli.start_panels import EDGE, PanelQuestions, implied, offered, sides
from impose.errors import ImposeError
from impose.model import everyday
from impose.model import readers as read
from impose.model.fields import ValueFault, call
from impose.model.job import Binding, NamedSize
from impose.model.machines import Printer
from impose.model.panels import PanelWish
from impose.model.paper import assumed_stock
from impose.model.profilefolders import Kind
from impose.model.profiles import Library
from impose.schemes.panelproposal import Piece
from impose.schemes.proposal import (
    NEAR,
    BindingAdvice,
    TrimAdvice,
    advise_binding,
    advise_trim,
    room_to_cut,
    runs_to_edge,
    takes,
)
from impose.units import both_units

UNKNOWN: Final = "not known"
ONE_SIDE: Final = "one side"
#: Plain words for the printers that are shipped.
PRINTERS: Final = (
    Choice("both sides", "a laser printer or copier that prints both sides by itself"),
    Choice("ink both sides", "an ink printer that prints both sides by itself"),
    Choice(ONE_SIDE, "it prints one side at a time, and I put the paper in again"),
    Choice("copy shop", "a copy shop's machine, also for larger paper"),
    Choice(UNKNOWN, "I do not know yet"),
)
_PROFILE: Final = {
    "both sides": "office-laser-long-edge",
    "ink both sides": "office-inkjet-short-edge",
    ONE_SIDE: "office-one-side",
    "copy shop": "office-copier-wide",
    UNKNOWN: "",
}
BINDINGS: Final = (
    Choice("saddle", "folded sheets inside each other, stapled or sewn through the fold"),
    Choice("perfect", "single leaves, glued at the spine"),
    Choice("sections", "folded sheets in groups, sewn through their folds; for thicker books"),
    Choice("stab", "a thread through holes beside the spine"),
    Choice("punched", "holes for a wire, coil or comb"),
    Choice("loose", "single leaves that stay loose"),
)
_BOUND_AT: Final = "At which side is it bound?"
_HOLDS: Final = (
    Choice("single", "one page of the book each"),
    Choice("spreads", "two pages of the book beside each other each"),
)
_PAPERS: Final = {
    "mm": (Choice("a4", "210 x 297 mm"), Choice("a3", "297 x 420 mm, twice A4"),
           Choice("letter", "8.5 x 11 in")),
    "in": (Choice("letter", "8.5 x 11 in"), Choice("tabloid", "11 x 17 in, twice letter"),
           Choice("a4", "210 x 297 mm")),
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """Everything that was answered or taken as proposed."""

    seen: PagesSeen
    unit: str
    spreads: str
    printer_word: str
    printer_name: str  #: of the profile, empty where none is known
    printer: Printer | None
    sheet: NamedSize
    binding: Binding
    why_bound: str
    bound_at: str
    trim: NamedSize
    advice: TrimAdvice
    copies: int
    panel: PanelWish = field(default_factory=PanelWish)
    fit: str | None = None  #: "scale", "centre" or none ("") as decided; None: by the sizes


@dataclass(frozen=True, slots=True)
class Interview:
    """One run of questions; `given` are the options, None where not given."""

    asker: Asker
    profiles: Library
    given: Mapping[str, Any]

    def spreads(self, seen: PagesSeen) -> str:
        """Whether each page of the file is two pages of the book; asked only of wide pages."""
        said = self.given["holds"]
        if said is None and not seen.wide:
            return ""
        found = self._choice(
            "holds", "The pages are wider than high. What is on each?", _HOLDS, "single"
        )
        return "left to right" if found == "spreads" else ""

    def answers(self, seen: PagesSeen, spreads: str) -> Answers:
        """All the other questions, in order."""
        unit = self.given["units"] or _unit(seen)
        word, name, printer = self._printer()
        sheet = self._sheet(unit, printer)
        binding, why = self._binding(seen, sheet, unit)
        panels = PanelQuestions(self.asker, self._choice, self.given)
        wish = panels.wish(binding, seen)
        question = "From which side does it open?" if binding.panelled else _BOUND_AT
        bound_at = self._choice("bound_at", question, sides(wish), "left")
        fit = self.given["fit"]
        if binding.panelled:
            piece = Piece(
                binding=binding, pages=seen.count, unit=unit, fold=wish.fold, panels=wish.panels,
                head_bound=bound_at == "head",
            )  # fmt: skip
            advice = panels.advice(seen, sheet.size, piece, printer)
            trim = self._named(advice, unit)
            if self.given["trim"] is not None:
                trim, advice = self._said(seen, advice)
            fit = panels.fit(seen, trim, advice, piece)
        else:
            advice = advise_trim(seen.size, sheet.size, binding)
            trim, advice = self._trim(seen, sheet, binding, advice, printer)
        copies = self._count()
        return Answers(
            seen=seen, unit=unit, spreads=spreads, printer_word=word, printer_name=name,
            printer=printer, sheet=sheet, binding=binding, why_bound=why, bound_at=bound_at,
            trim=trim, advice=advice, copies=copies, panel=wish, fit=fit,
        )  # fmt: skip

    def _choice(
        self,
        option: str,
        question: str,
        choices: tuple[Choice, ...],
        default: str,
        other: Callable[[str], str] | None = None,
    ) -> str:
        said = self.given[option]
        if said is not None:
            try:
                return self.asker.one_of(said.strip(), choices, other)
            except ImposeError as fault:
                name = option.replace("_", "-")
                raise ImposeError(f"--{name}: {fault.message}", hint=fault.hint) from fault
        return self.asker.choose(question, choices, default, other)

    def _printer(self) -> tuple[str, str, Printer | None]:
        """The word, the profile's name, and the printer."""
        word = self._choice(
            "printer", "What printer will print it?", PRINTERS, "both sides", self._profile
        )
        name = _PROFILE.get(word, word)
        return word, name, self.profiles.printer(name) if name else None

    def _profile(self, answer: str) -> str:
        if self.profiles.has(Kind.PRINTERS, answer):
            return answer
        words = read.either(choice.word for choice in PRINTERS)
        raise ImposeError(
            f"'{answer}' is no printer that is known here",
            hint=f"answer 1 to {len(PRINTERS)}, {words}, or a name of impose profiles list "
            "printers",
        )

    def _sheet(self, unit: str, printer: Printer | None) -> NamedSize:
        """A size that the printer takes."""
        choices = tuple(
            one for one in _PAPERS[unit] if takes(printer, self.profiles.size(one.word).size)
        )

        def other(answer: str) -> str:
            size = self._size(answer)
            if printer is not None and not takes(printer, size.size):
                limit = printer.sheet_max
                most = f" at most {limit.text(size.unit)}" if limit else " other sizes"
                raise ImposeError(
                    f"{size.size.text(size.unit)} does not go through {printer.name}; it takes"
                    f"{most}",
                    hint="name another paper, or another printer (--printer)",
                )
            return answer

        question = "What paper goes into it? (Another size: for example 12in x 18in.)"
        word = self._choice("sheet", question, choices, choices[0].word, other)
        return self._size(word)

    def _size(self, answer: str) -> NamedSize:
        try:
            found = call(read.size, answer)
        except ValueFault as fault:
            raise ImposeError(fault.message, hint=fault.hint) from fault
        return found if isinstance(found, NamedSize) else self.profiles.size(str(found))

    def _binding(self, seen: PagesSeen, sheet: NamedSize, unit: str) -> tuple[Binding, str]:
        stock = assumed_stock(unit, self.profiles)
        advice = advise_binding(
            seen.count,
            stock.caliper,
            self.profiles.binder("saddle-stapler"),
            self.profiles.binder("small-clamp-binder"),
        )
        if not self.asker.silent and self.given["binding"] is None and not implied(self.given):
            self.asker.say()
            self.asker.say(f"Proposed: {advice.binding.value}, because {advice.why}.")
        choices = (*BINDINGS, *offered(seen, sheet.size, unit))
        default = implied(self.given) or advice.binding.value
        word = self._choice("binding", "How should it be bound?", choices, default, _any_binding)
        return Binding(word), _why_bound(Binding(word), advice)

    def _trim(
        self,
        seen: PagesSeen,
        sheet: NamedSize,
        binding: Binding,
        advice: TrimAdvice,
        printer: Printer | None,
    ) -> tuple[NamedSize, TrimAdvice]:
        """The finished page: as said, else as large as the paper allows; smaller where pictures
        run to the edge and nothing is left to cut."""
        unit = sheet.unit
        if self.given["trim"] is not None:
            return self._said(seen, advice)
        if seen.at_edge and not room_to_cut(advice, binding):
            question = (
                f"On {len(seen.at_edge)} of the pages pictures or colours reach the edge, and "
                "this paper leaves nothing to cut off there. What about them?"
            )
            if self._choice("edge", question, EDGE, "smaller") == "smaller":
                advice = runs_to_edge(seen.size, advice, binding, printer, unit)
        return self._named(advice, unit), advice

    def _said(self, seen: PagesSeen, advice: TrimAdvice) -> tuple[NamedSize, TrimAdvice]:
        """The finished page as it was said, and how the pages are scaled to it."""
        trim = self._size(self.given["trim"])
        scale = min(trim.size.width.ratio(seen.size.width),
                    trim.size.height.ratio(seen.size.height))  # fmt: skip
        return trim, TrimAdvice(trim=trim.size, scale=scale, panel=advice.panel)

    def _named(self, advice: TrimAdvice, unit: str) -> NamedSize:
        """A size that has a name keeps it."""
        for name in self.profiles.names(Kind.SIZES):
            known = self.profiles.size(name)
            for size, called in ((known.size, name), (known.size.turned, f"{name} landscape")):
                if size.near(advice.trim, NEAR) and _held(size, advice):
                    return NamedSize(size=size, name=called, unit=known.unit)
        size = advice.trim
        return NamedSize(size=size, name=size.text(unit), unit=unit)

    def _count(self) -> int:
        def count(answer: str) -> int:
            if not answer.isdecimal() or int(answer) < 1:
                raise ImposeError(f"'{answer}' is no number of copies", hint="1, 2, 3 ...")
            return int(answer)

        if self.given["copies"] is not None:
            return int(self.given["copies"])
        return self.asker.ask("How many copies?", "1", count)


def _held(size: Any, advice: TrimAdvice) -> bool:
    """The named size goes on the paper there is."""
    return bool(size.width <= advice.panel.width and size.height <= advice.panel.height)


def _any_binding(answer: str) -> str:
    try:
        return everyday.binding(answer).value
    except ValueFault as fault:
        raise ImposeError(fault.message, hint=fault.hint) from fault


def _why_bound(binding: Binding, advice: BindingAdvice) -> str:
    if binding is advice.binding:
        return advice.why
    return f"as you chose; proposed was {advice.binding.value}: {advice.why}"


def _unit(seen: PagesSeen) -> str:
    """Inches for pages whose measures are even in inches and not in millimetres."""
    eighths = [side.as_inches * 8 for side in (seen.size.width, seen.size.height)]
    near_inches = all(abs(n - round(n)) < Fraction(1, 50) for n in eighths)
    mm = [side.as_mm for side in (seen.size.width, seen.size.height)]
    near_mm = all(abs(n - round(n)) < Fraction(1, 10) for n in mm)
    return "in" if near_inches and not near_mm else "mm"


def size_words(size: NamedSize, unit: str) -> str:
    """`a5, 148 mm (5.8268 in) x 210 mm (8.2677 in)`."""
    across, up = (both_units(n, unit) for n in (size.size.width, size.size.height))
    return f"{size.name}: {across} across, {up} up"
