"""What graphics states and groups use that a print room asks for (ISO 32000-1 8.4.5, 10.5, 11)."""

from __future__ import annotations

from typing import Final

from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.model.sheetfacts import NOTHING_USED, InkUse

_PLAIN_BLENDS: Final = {"/Normal", "/Compatible"}
#: All that PDF has (tables 136 and 137); of several the first that is known is taken (11.6.3).
_BLENDS: Final = _PLAIN_BLENDS | {
    "/Multiply", "/Screen", "/Overlay", "/Darken", "/Lighten", "/ColorDodge", "/ColorBurn",
    "/HardLight", "/SoftLight", "/Difference", "/Exclusion", "/Hue", "/Saturation", "/Color",
    "/Luminosity",
}  # fmt: skip
#: Kinds of halftones that do not lie with one device (from memory).
_COMMON_SCREENS: Final = (1, 5)
_SCREENS_BY_INK: Final = 5
#: All inks, what is not named, and the primaries of devices (10.5.5.6).
_USUAL_INKS: Final = frozenset({
    "", "/Default", "/Gray", "/Red", "/Green", "/Blue", "/Cyan", "/Magenta", "/Yellow", "/Black",
})  # fmt: skip


def state_use(state: Object) -> InkUse:
    """A graphics state but for its font and what its soft mask draws (table 58)."""
    told = set()
    for key, what in (("/ca", "fills"), ("/CA", "strokes")):
        if key in state and float(state[key]) < 1:
            told.add(f"see-through {what}")
    blend = state.get("/BM", Name.Normal)
    blends = [str(mode) for mode in blend] if isinstance(blend, Array) else [str(blend)]
    if blends and blends[0] not in _PLAIN_BLENDS:
        told.add(f"blend mode {blends[0][1:]}")
    missing = (
        [] if _BLENDS.intersection(blends) else [f"a blend mode {name[1:]}" for name in blends]
    )
    if state.get("/SMask", Name("/None")) != Name("/None"):
        told.add("soft masks")
    curves = state.get("/TR2", Name.Default) != Name.Default or "/TR" in state
    use = InkUse(see_through=frozenset(told), transfer=curves, missing=frozenset(missing))
    return use.join(_screen_use(state.get("/HT"), ""))


def _screen_use(screen: object, ink: str) -> InkUse:
    """A halftone (10.5.5, tables 130 to 134) with those of single inks; `ink` is empty for all.

    A transfer function of its own stands in place of the press's curve, be it Identity.  Only for
    an ink that is none of the usual it is required, and Identity does nothing (table 130).
    """
    if not isinstance(screen, Dictionary | Stream):
        return NOTHING_USED
    told = set()
    kind = int(screen.get("/HalftoneType", 1))
    if kind not in _COMMON_SCREENS:
        told.add(f"a halftone of type {kind}")
    if "/HalftoneName" in screen:
        told.add("a halftone that the device has by name")
    curve = screen.get("/TransferFunction")
    needed = ink not in _USUAL_INKS and curve == Name.Identity
    use = InkUse(screens=frozenset(told), transfer=curve is not None and not needed)
    if kind == _SCREENS_BY_INK and not ink:
        for name, part in screen.items():
            use = use.join(_screen_use(part, str(name)))
    return use


def is_group(holder: Object) -> bool:
    """A page or form that is a transparency group (11.6.6)."""
    group = holder.get("/Group")
    return isinstance(group, Dictionary) and group.get("/S") == Name.Transparency
