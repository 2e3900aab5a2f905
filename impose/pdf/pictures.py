"""Pictures as pages: JPEG, PNG, TIFF, WebP and others, each a PDF with the picture as it is.

JPEG data and PNG data without an alpha channel are carried untouched (img2pdf);
what PDF cannot hold is decoded and packed without loss.  The turn that a camera
notes is made by the page's matrix, never by the pixels.  A picture is laid on
its page here, once: at its own size, within the trim, or over trim and bleed.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

import img2pdf
import pikepdf
from PIL import Image, ImageFile, ImageSequence, UnidentifiedImageError

from impose.errors import InputError
from impose.geometry.box import Size
from impose.units import ZERO, Length

#: Larger pictures are refused: no page needs them, and a small file can pretend to be one.
MOST_PIXELS: Final = 400_000_000
#: Fewer dots to the inch than this in a file are a default of the camera, not a size.
BELIEVED: Final = 100
#: EXIF 2.32, 4.6.4 A: a turned or mirrored picture, as x' = a x + c y + e in the unit square.
_TURNS: Final[dict[int, tuple[int, int, int, int, int, int]]] = {
    1: (1, 0, 0, 1, 0, 0),
    2: (-1, 0, 0, 1, 1, 0),
    3: (-1, 0, 0, -1, 1, 1),
    4: (1, 0, 0, -1, 0, 1),
    5: (0, -1, -1, 0, 1, 1),
    6: (0, -1, 1, 0, 0, 1),
    7: (0, 1, 1, 0, 0, 0),
    8: (0, 1, -1, 0, 1, 0),
}
_ORIENTATION: Final = 0x0112
_ENDINGS: Final = frozenset(
    {".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".gif", ".bmp", ".jp2"}
)
_STRAIGHT: Final = frozenset({"JPEG", "PNG"})
_CANNOT: Final = (OSError, ValueError, SyntaxError, EOFError, img2pdf.ImageOpenError)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """How pictures become pages.

    `trim` is the page as it is read, None: the picture's own size; `bleed` is
    added all round when `over` (cover trim and bleed, the excess is cut off),
    else the picture lies whole within the trim.  `dpi` wins over the file.
    """

    trim: Size | None = None
    bleed: Length = ZERO
    over: bool | None = None
    dpi: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureFacts:
    """What became of a picture: dots to the inch as printed, and what was done to it.

    `flattened`: alpha was laid on white; `first_only`: it has more frames and is
    no document; `cropped` is the share of its width or height that is cut off.
    """

    dots: int
    flattened: bool = False
    first_only: bool = False
    cropped: Fraction = Fraction(0)


def is_picture(path: Path) -> bool:
    """By its ending; the contents are looked at when it is read."""
    return path.suffix.lower() in _ENDINGS


def write_picture(path: Path, target: Path, laying: Laying) -> tuple[PictureFacts, ...]:
    """The picture (every page of a TIFF) as a PDF; a fact for each page.

    Raises InputError naming the file for one that is broken, too large, or says
    no size at which it could be printed.
    """
    facts = []
    with pikepdf.new() as pdf:
        for number, frame in enumerate(_frames(path), start=1):
            facts.append(_add_page(pdf, path, number, frame, laying))
        if not facts:
            raise _broken(path, "it holds no picture")
        pdf.save(target, deterministic_id=True, compress_streams=False)
    return tuple(facts)


@dataclass(frozen=True, slots=True)
class _Frame:
    """One picture as bytes img2pdf takes, and what is known of it."""

    data: bytes
    width: int
    height: int
    orientation: int
    dpi: tuple[Fraction, Fraction] | None
    flattened: bool
    first_only: bool


def _frames(path: Path) -> Iterator[_Frame]:
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    Image.MAX_IMAGE_PIXELS = None  # told in our own words below
    try:
        with Image.open(path) as image:
            _check_size(path, image)
            if image.format == "TIFF":
                for frame in ImageSequence.Iterator(image):
                    _check_size(path, frame)
                    yield _packed(frame.copy(), image_facts=frame, first_only=False)
                return
            frames = getattr(image, "n_frames", 1)
            orientation = _orientation(image)
            if image.format in _STRAIGHT and not _has_alpha(image) and frames == 1:
                dpi, (width, height) = _dpi(image), image.size
                _check_whole(image)
                yield _Frame(path.read_bytes(), width, height, orientation, dpi, False, False)
                return
            image.seek(0)
            yield _packed(image.copy(), image_facts=image, first_only=frames > 1)
    except UnidentifiedImageError as fault:
        raise _broken(path, "it is no picture this program knows") from fault
    except Image.DecompressionBombError as fault:
        raise _broken(path, "it is too large") from fault
    except _CANNOT as fault:
        raise _broken(path, str(fault) or type(fault).__name__) from fault


def _check_size(path: Path, image: Image.Image) -> None:
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise InputError(
            f"{path}: {width} x {height} dots are {width * height // 1_000_000} million; "
            f"{MOST_PIXELS // 1_000_000} million is the limit",
            hint="make the picture smaller: no printed page shows so many",
        )
    if width < 1 or height < 1:
        raise _broken(path, "it has no dots")


def _check_whole(image: Image.Image) -> None:
    """Decodes it, a JPEG at an eighth, so that a file cut short is found now."""
    if image.format == "JPEG":
        image.draft(image.mode, (max(1, image.width // 8), max(1, image.height // 8)))
    image.load()


def _has_alpha(image: Image.Image) -> bool:
    return image.mode in ("RGBA", "LA", "PA", "RGBa", "La") or "transparency" in image.info


def _orientation(image: Image.Image) -> int:
    value = image.getexif().get(_ORIENTATION, 1)
    return value if isinstance(value, int) and value in _TURNS else 1


def _dpi(image: Image.Image) -> tuple[Fraction, Fraction] | None:
    """What the file says, if it can be believed."""
    said = image.info.get("dpi")
    try:
        x, y = (Fraction(float(n)).limit_denominator(1000) for n in said)  # type: ignore[union-attr]
    except (TypeError, ValueError, OverflowError, ZeroDivisionError):
        return None
    return (x, y) if min(x, y) >= BELIEVED and max(x, y) <= 20_000 else None


def _packed(image: Image.Image, *, image_facts: Image.Image, first_only: bool) -> _Frame:
    """Decoded and packed without loss; alpha on white; CMYK, grey, one bit and 16 bits kept."""
    flattened = _has_alpha(image)
    if flattened:
        seen = image.convert("RGBA")
        white = Image.new("RGBA", seen.size, (255, 255, 255, 255))
        white.alpha_composite(seen)
        grey = image.mode in ("LA", "La")
        image = white.convert("L" if grey else "RGB")
    elif image.mode in ("YCbCr", "LAB", "HSV", "F", "P"):
        image = image.convert("RGB")
    elif image.mode in ("I", "I;16B", "I;16L"):
        image = image.convert("I;16")
    out = io.BytesIO()
    profile = image_facts.info.get("icc_profile") if not flattened else None
    keep: dict[str, Any] = {"icc_profile": profile} if isinstance(profile, bytes) else {}
    if image.mode == "CMYK":
        image.save(out, "TIFF", compression="tiff_lzw", **keep)
    else:
        image.save(out, "PNG", **keep)
    return _Frame(
        out.getvalue(),
        image.width,
        image.height,
        _orientation(image_facts),
        _dpi(image_facts),
        flattened,
        first_only,
    )


# -- laying it on a page ---------------------------------------------------------------


def _add_page(
    pdf: pikepdf.Pdf, path: Path, number: int, frame: _Frame, laying: Laying
) -> PictureFacts:
    try:
        made = img2pdf.convert(frame.data, rotation=img2pdf.Rotation.none)
    except (*_CANNOT, img2pdf.AlphaChannelError, img2pdf.JpegColorspaceError) as fault:
        raise _broken(path, str(fault)) from fault
    with pikepdf.open(io.BytesIO(made)) as one:
        (drawn,) = one.pages[0].obj.Resources.XObject.values()
        image = pdf.copy_foreign(drawn)
    turned = frame.orientation >= 5
    pixels = (frame.height, frame.width) if turned else (frame.width, frame.height)
    size, placed, trim, dots, cropped = _lay(path, pixels, frame, laying)
    page = pikepdf.Dictionary(
        Type=pikepdf.Name.Page,
        MediaBox=pikepdf.Array([0, 0, *size]),
        TrimBox=pikepdf.Array(list(trim)),
        Resources=pikepdf.Dictionary(XObject=pikepdf.Dictionary(Im=image)),
        Contents=pdf.make_stream(_operators(frame.orientation, placed)),
    )
    pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
    return PictureFacts(
        dots=dots,
        flattened=frame.flattened,
        first_only=frame.first_only,
        cropped=cropped,
    )


_Laid = tuple[
    tuple[float, float], tuple[float, float, float, float], Sequence[float], int, Fraction
]


def _lay(path: Path, pixels: tuple[int, int], frame: _Frame, laying: Laying) -> _Laid:
    """Page size, the picture's box, TrimBox (points), dots to the inch, share cut off."""
    own = _own_size(pixels, frame, laying)
    if laying.trim is None:
        if own is None:
            raise _no_size(path, pixels)
        width, height = (float(n) for n in own)
        dots = round(pixels[0] / (own[0] / 72))
        return (width, height), (0, 0, width, height), (0, 0, width, height), dots, Fraction(0)
    trim = (laying.trim.width.as_points, laying.trim.height.as_points)
    bleed = laying.bleed.as_points
    full = (trim[0] + bleed * 2, trim[1] + bleed * 2)
    over = laying.over
    if over is None:
        over = own is not None and bool(bleed) and _near(own, full)
    if not over:
        bleed, full = Fraction(0), trim
    factors = (full[0] / pixels[0], full[1] / pixels[1])
    factor = max(factors) if over else min(factors)
    wide, high = pixels[0] * factor, pixels[1] * factor
    left, low = (full[0] - wide) / 2, (full[1] - high) / 2
    cropped = 1 - min(full[0] / wide, full[1] / high) if over else Fraction(0)
    box = tuple(float(n) for n in (left, low, wide, high))
    inner = tuple(float(n) for n in (bleed, bleed, full[0] - bleed, full[1] - bleed))
    page = (float(full[0]), float(full[1]))
    return page, (box[0], box[1], box[2], box[3]), inner, round(72 / factor), cropped


def _own_size(
    pixels: tuple[int, int], frame: _Frame, laying: Laying
) -> tuple[Fraction, Fraction] | None:
    """In points, by the resolution given, else by the file's."""
    if laying.dpi:
        return Fraction(pixels[0] * 72, laying.dpi), Fraction(pixels[1] * 72, laying.dpi)
    if frame.dpi is None:
        return None
    x, y = frame.dpi[::-1] if frame.orientation >= 5 else frame.dpi
    return pixels[0] * 72 / x, pixels[1] * 72 / y


def _near(one: tuple[Fraction, Fraction], other: tuple[Fraction, Fraction]) -> bool:
    return all(abs(a - b) <= 3 for a, b in zip(one, other, strict=True))


def _operators(orientation: int, placed: tuple[float, float, float, float]) -> bytes:
    """The unit square of the picture turned as the camera held it, then laid on its box."""
    a, b, c, d, e, f = _TURNS[orientation]
    x, y, w, h = placed
    numbers = (a * w, b * h, c * w, d * h, e * w + x, f * h + y)
    return b"q %s cm /Im Do Q\n" % " ".join(f"{n:.6f}" for n in numbers).encode()


def _no_size(path: Path, pixels: tuple[int, int]) -> InputError:
    return InputError(
        f"{path}: {pixels[0]} x {pixels[1]} dots, and nothing that can be believed of how many "
        "go to the inch",
        hint="name the trim (--trim), or give dpi: { file = ..., dpi = 300 }",
    )


def _broken(path: Path, why: str) -> InputError:
    return InputError(f"{path} cannot be read as a picture: {why}", hint="save it again")
