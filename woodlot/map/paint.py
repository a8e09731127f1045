"""Colors, hatches and the four steps of each question. Opaque: a swatch is its fill.

COVERS, OTHER      cover letter -> Paint
STEPS              question -> its four fills, from first to last step
paint, luminance, contrast
"""

from dataclasses import dataclass

__all__ = ["COVERS", "INK", "OTHER", "PAPER", "STEPS", "Paint", "contrast", "luminance", "paint"]

INK, GRAY, HAIR, PAPER, CARD, NEIGHBOR, WATER, BAND = (
    "#1E221C",
    "#575C52",
    "#C9C4B4",
    "#F7F4EC",
    "#FFFFFF",
    "#ECE7DA",
    "#1F6FA8",
    "#B9C4B0",
)


@dataclass(frozen=True)
class Paint:
    """A fill, the color of letters on it, and the hatch that shows on it ("ink" or "white")."""

    fill: str
    ink: str
    hatch: str


def luminance(color: str) -> float:
    """Relative luminance of a #RRGGBB color, 0 to 1 (sRGB)."""
    parts = [int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    """Contrast ratio of two colors, 1 to 21."""
    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


def paint(fill: str) -> Paint:
    """A fill with the letters that read best on it."""
    white = contrast(fill, "#FFFFFF") > contrast(fill, INK)
    return Paint(fill, "#FFFFFF" if white else INK, "white" if white else "ink")


#: Evergreens dark, leaf trees light, as from the air in winter.
COVERS = {
    "H": paint("#8EAB89"),
    "O": paint("#B88847"),
    "A": paint("#BCCB76"),
    "P": paint("#9F5B61"),
    "S": paint("#314832"),
    "C": paint("#4D7283"),
    "L": paint("#A292A1"),
    "B": paint("#FEE6C8"),
    "E": paint("#38244C"),
    "T": paint("#606024"),
    "M": paint("#88C4EC"),
}
#: Any other cover, open ground too: paper white with dots of its own, not one more hue.
OTHER = paint("#FFFFFF")

_GREENS = tuple(paint(c) for c in ("#F2EBCB", "#B3BB74", "#477E49", "#214F38"))
_RUSTS = tuple(paint(c) for c in ("#763A2E", "#AC5C37", "#E3AB71", "#F3E7D1"))
_BLUES = tuple(paint(c) for c in ("#204C6E", "#3A789D", "#98C1D8", "#DEEAEF"))
STEPS = {
    "much": _GREENS,
    "when": _RUSTS,
    "sure": _BLUES,
    "growth": _GREENS,
    "browse": tuple(reversed(_RUSTS)),
    "food": _GREENS,
    "wish": _BLUES,
}
