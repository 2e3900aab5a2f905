"""Under what the sheets are printed, in the plan: for programs that pass the job on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from impose.model.conditions import Conditions, Part


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintFacts:
    """`profile` is the file name of the ICC profile that the sheets name as their output intent,
    `condition` the name of the printing condition, `ready` the part of ISO 15930 that the written
    sheets are held to (`X-4`); each empty where the job does not say it."""

    profile: str = ""
    condition: str = ""
    ready: str = ""


def print_facts(conditions: Conditions) -> PrintFacts | None:
    """None where the job says nothing: the sources' own output intent is kept."""
    if conditions == Conditions():
        return None
    return PrintFacts(
        profile=conditions.profile.name if conditions.profile else "",
        condition=conditions.condition,
        ready=conditions.ready.value if conditions.ready else "",
    )


def print_data(facts: PrintFacts | None) -> dict[str, Any]:
    """`print` of `plan.json`, with what is said alone; nothing where nothing is."""
    if facts is None:
        return {}
    said = {"profile": facts.profile, "condition": facts.condition, "ready": facts.ready}
    return {"print": {key: words for key, words in said.items() if words}}


def print_of(data: dict[str, Any]) -> PrintFacts | None:
    """And back.  Raises ValueError for a part that there is not."""
    said = data.get("print")
    if said is None:
        return None
    ready = said.get("ready", "")
    return PrintFacts(
        profile=said.get("profile", ""),
        condition=said.get("condition", ""),
        ready=Part(ready).value if ready else "",
    )
