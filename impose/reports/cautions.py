"""Cautions for the bench, in own words, each with where the rule comes from.

They are reminders for trained people; the machine's manual and the rules of
the place come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from impose.model.holes import HoleShape, Makes
from impose.plan.holes import HolePlan


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution and its source."""

    text: str
    source: str


FIRST: Final = Caution(
    "Only people trained on the machine work it. Its manual and the rules of your workplace and "
    "country come before anything said here.",
    "HSE (UK), Printing FAQs, hse.gov.uk/printing/faqs.htm",
)
GUILLOTINE: Final = (
    FIRST,
    Caution(
        "Guards, light barrier and two-hand control in place and tried before the first cut; "
        "never work round them.",
        "WorkSafe New Zealand, fact sheet WSNZ_00011.32; US 29 CFR 1910.212",
    ),
    Caution(
        "Hands clear of clamp and knife: the clamp crushes as well as the knife cuts. Move small "
        "pieces with a stick or a block, not with the fingers.",
        "WorkSafe New Zealand, fact sheet WSNZ_00011.32",
    ),
    Caution(
        "Lift small piles, with good light, a clear floor and nobody beside the table.",
        "WorkSafe New Zealand, fact sheet WSNZ_00011.32",
    ),
    Caution(
        "Knife changed only with the machine isolated, by one person, the knife in its carrier.",
        "general rule of the trade",
    ),
)
HAND: Final = (
    Caution(
        "Hold the rule down well away from its cutting edge, fingers never before the blade; a "
        "steel rule with a finger guard is best. Cut away from the hand that holds.",
        "common practice",
    ),
    Caution(
        "A keen blade and several light strokes; a blunt one slips. Cap or retract it whenever "
        "it is put down.",
        "keen knives: E. A. Dawe, Paper and Its Uses, p. 78; the rest: common practice",
    ),
    Caution(
        "On a lever cutter: guard along the blade in place, blade latched down when not in use; "
        "its manual and the rules of your place come first.",
        "OSHA (US), interpretation of 30 June 1976 of 29 CFR 1910.212",
    ),
)
CREASER: Final = (
    FIRST,
    Caution(
        "Fingers clear of the creasing bar and of every nip; feed from outside the guard.",
        "HSE (UK), Safeguarding bookbinding machines in printing",
    ),
)
GLUE: Final = (
    FIRST,
    Caution(
        "Hot glue at the adhesive maker's temperature and no hotter, with the air drawn off: "
        "overheated glue gives off fumes.",
        "ISO 16763:2016, 4.5.1; hot-melt equipment makers' safety chapters",
    ),
    Caution(
        "Heat-proof gloves, goggles, long sleeves: glue that looks set can still burn. After a "
        "burn cool at once, leave the glue on the skin, get medical help.",
        "hot-melt equipment makers' safety chapters",
    ),
    Caution(
        "PUR glue holds isocyanates: only in equipment made for it, with extraction.",
        "hot-melt equipment makers' safety chapters",
    ),
)


PIERCE: Final = (
    Caution(
        "Awl and needle go away from the hand that holds: never pierce toward fingers held behind "
        "the fold. A clamp holds the work, waste board or felt lies behind it; a cork on every "
        "point that is put down.",
        "common practice",
    ),
    Caution(
        "Count the needles before and after; thread pulled tight cuts the skin.",
        "common practice",
    ),
)
PUNCH: Final = (
    Caution(
        "Fingers out of the punch's throat; no more leaves at once than its manual allows, and "
        "nothing cleared with the fingers while the machine is live. Its manual, local rules and "
        "trained operators come first.",
        "HSE (UK), Safeguarding bookbinding machines in printing; common practice",
    ),
    Caution(
        "Cut ends of wire and coil are sharp: turn them in and file them.",
        "common practice",
    ),
)
STAPLES: Final = (
    Caution(
        "Fingers clear of the stapler's head and of the place where the legs come through; close "
        "them with a tool, not with a finger. A powered stitcher only guarded and by people "
        "trained on it.",
        "HSE (UK), Safeguarding bookbinding machines in printing; common practice",
    ),
)


def for_holes(holes: HolePlan) -> tuple[Caution, ...]:
    """For an awl and a needle, a punch, or a stapler."""
    if holes.makes is Makes.PUNCHED:
        return PUNCH
    return STAPLES if holes.shape is HoleShape.STAPLE else PIERCE


def for_cutting(hand: bool) -> tuple[Caution, ...]:
    """For a guillotine, or for a knife and a rule."""
    return HAND if hand else GUILLOTINE
