"""What still drawings are made of: degrees to pixels, hatches, words, tags, a scale bar.

Sheet           longitude and latitude to pixels of one drawing (Web Mercator, north up)
hatches         the SVG patterns for what is not measured, for other covers and for water strips
rings, path     rings and lines of a GeoJSON geometry; SVG path data of them
text, line      one word, one path, with their looks as attributes (no style sheet is needed to print them)
words, tag      a stand's words, a note's tag
foot            scale bar and north
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from woodlot.map import paint
from woodlot.map.labels import TAG
from woodlot.units import M_PER_FT

__all__ = [
    "FACE",
    "Sheet",
    "foot",
    "hatches",
    "line",
    "mercator",
    "n",
    "path",
    "rect",
    "rings",
    "scale_bar",
    "tag",
    "text",
    "words",
]

FACE = 'font-family="Arial, Liberation Sans, sans-serif"'

EARTH_M = 6_378_137.0
BARS_FT = (66, 165, 330, 660, 1320, 2640, 5280, 10560, 26400, 52800)
BAR_WORDS = {
    660: "660 feet, ⅛ mile",
    1320: "1,320 feet, ¼ mile",
    2640: "½ mile",
    5280: "1 mile",
    10560: "2 miles",
    26400: "5 miles",
    52800: "10 miles",
}


@dataclass(frozen=True)
class Sheet:
    """One drawing's way from degrees to pixels: west and north edge in Mercator radians, and pixels a radian."""

    west: float
    north: float
    per_rad: float
    latitude: float

    @classmethod
    def fit(cls, bounds: tuple[float, float, float, float], long_px: float, pad: float = 0.0) -> "Sheet":
        """A sheet on which bounds (west, south, east, north in degrees) have their longer side ``long_px`` long."""
        x0, y0 = mercator(bounds[0], bounds[1])
        x1, y1 = mercator(bounds[2], bounds[3])
        scale = long_px / max(x1 - x0, y1 - y0, 1e-12)
        return cls(float(x0 - pad / scale), float(y1 + pad / scale), float(scale), (bounds[1] + bounds[3]) / 2)

    def px(self, lon: Any, lat: Any) -> tuple[Any, Any]:
        """Pixels right and down of the corner."""
        x, y = mercator(lon, lat)
        return (x - self.west) * self.per_rad, (self.north - y) * self.per_rad

    def degrees(self, x: float, y: float) -> tuple[float, float]:
        """Longitude and latitude of a pixel."""
        lat = math.degrees(math.atan(math.sinh(self.north - y / self.per_rad)))
        return math.degrees(x / self.per_rad + self.west), lat

    @property
    def ft_per_px(self) -> float:
        """Feet on the ground that one pixel covers, at the middle of the drawing."""
        return EARTH_M * math.cos(math.radians(self.latitude)) / self.per_rad / M_PER_FT


def mercator(lon: Any, lat: Any) -> tuple[Any, Any]:
    """Web Mercator of degrees, in radians."""
    return np.radians(lon), np.arcsinh(np.tan(np.radians(lat)))


def n(value: float) -> str:
    """A number of pixels to a tenth."""
    return f"{value:.1f}".removesuffix(".0")


def _pattern(name: str, side: float, inside: str, turn: str = "", high: float | None = None) -> str:
    size = f'width="{n(side)}" height="{n(high or side)}" patternUnits="userSpaceOnUse"'
    return f'<pattern id="{name}" {size}{turn}>{inside}</pattern>'


def hatches(prefix: str = "") -> str:
    """SVG patterns: hatches for what is not measured, dots for other covers and water strips, waves for lakes,
    level rules for ground on which the family wishes no cut.
    """
    turn = ' patternTransform="rotate(45)"'
    slash = '<path d="M4.5 0V9" stroke="{}" stroke-opacity="{}" stroke-width="2.2"/>'
    dot = '<circle cx="{0}" cy="{0}" r="{1}" fill="{2}"/>'
    strip = '<rect width="8" height="8" fill="#FFFFFF" fill-opacity=".5"/>'
    strip += dot.format(2, 1.2, paint.WATER) + dot.format(6, 1.2, paint.WATER)
    wave = '<rect width="26" height="12" fill="#DCE8EF"/>'
    wave += f'<path d="M0 6q6.5 -5 13 0t13 0" fill="none" stroke="{paint.WATER}"/>'
    rule = '<path d="M0 6H12" stroke="#FFFFFF" stroke-opacity=".7" stroke-width="3.2"/>'
    rule += f'<path d="M0 6H12" stroke="{paint.INK}" stroke-width="1.2"/>'
    return (
        _pattern(f"{prefix}hatch-ink", 9, slash.format(paint.INK, 0.42), turn)
        + _pattern(f"{prefix}hatch-white", 9, slash.format("#FFFFFF", 0.6), turn)
        + _pattern(f"{prefix}dots-other", 11, dot.format(3, 1.3, paint.GRAY))
        + _pattern(f"{prefix}dots-water", 8, strip)
        + _pattern(f"{prefix}waves", 26, wave, high=12)
        + _pattern(f"{prefix}shut", 12, rule)
    )


def rings(geometry: dict[str, Any]) -> Iterator[list]:
    """Rings and lines of a GeoJSON geometry, one after the other; points have none."""
    kind, where = geometry["type"], geometry.get("coordinates") or []
    if kind in ("Polygon", "MultiLineString"):
        yield from where
    elif kind == "MultiPolygon":
        for polygon in where:
            yield from polygon
    elif kind == "LineString":
        yield where


def path(sheet: Sheet, geometry: dict[str, Any]) -> str:
    """SVG path data of a GeoJSON geometry; points give nothing."""
    close = "Z" if geometry["type"].endswith("Polygon") else ""
    out = []
    for points in rings(geometry):
        lon, lat = np.asarray(points, dtype=float)[:, :2].T
        x, y = sheet.px(lon, lat)
        out.append("M" + "L".join(f"{n(a)} {n(b)}" for a, b in zip(x, y, strict=True)) + close)
    return "".join(out)


def _dashed(dash: str) -> str:
    return f' stroke-dasharray="{dash.replace(" ", ",")}"' if dash else ""


def line(d: str, color: str, width: float, fill: str = "none", dash: str = "") -> str:
    """One SVG path with its looks."""
    wide = n(width) if width >= 1 else width
    return f'<path d="{d}" fill="{fill}" stroke="{color}" stroke-width="{wide}"{_dashed(dash)}/>'


def text(
    x: float, y: float, words: str, size: float = 13, color: str = paint.INK, anchor: str = "middle", bold: bool = False
) -> str:
    """One line of words, escaped."""
    weight = ' font-weight="bold"' if bold else ""
    look = f'text-anchor="{anchor}" font-size="{n(size)}" fill="{color}"{weight}'
    return f'<text x="{n(x)}" y="{n(y)}" {look}>{escape(words)}</text>'


def rect(
    x: float, y: float, w: float, h: float, fill: str, stroke: str = "none", width: float = 1, dash: str = ""
) -> str:
    """One SVG rectangle given by its corner and size."""
    edge = f' stroke="{stroke}" stroke-width="{n(width)}"' if stroke != "none" else ""
    return f'<rect x="{n(x)}" y="{n(y)}" width="{n(w)}" height="{n(h)}" fill="{fill}"{edge}{_dashed(dash)}/>'


def words(x: float, y: float, big: str, small: str, ink: str, plate: bool, tight: bool = False) -> str:
    """A stand's large word over its name, centered on (x, y); on a white plate where the ground is hatched."""
    size = 13 if tight else 22 if len(big) <= 4 else 15
    if not big:
        big, small, size = small, "", 13
    y += 2 if small else size / 3
    wide = max(len(big) * size * 0.58, len(small) * 6.6) + (4 if tight else 10)
    back = rect(x - wide / 2, y - size, wide, size + (19 if small else 3 if tight else 7), "#FFFFFF") if plate else ""
    ink = paint.INK if plate else ink
    return back + text(x, y, big, size, ink, bold=True) + (text(x, y + 15, small, 13, ink) if small else "")


def tag(x: float, y: float, side: str, kind: str, year: str) -> str:
    """A note's tag with its year, pointing at (x, y) from a side: ink for wood, white for deer, dashed for seen."""
    if side == "on":
        return rect(x - 4.5, y - 4.5, 9, 9, paint.INK if kind == "wood" else "#FFFFFF", paint.INK, 1.6)
    w, h, tip = TAG[0] - 6, TAG[1] - 4, TAG[2]
    center = {"above": (0, -1), "below": (0, 1), "right": (1, 0), "left": (-1, 0)}[side]
    cx, cy = x + center[0] * (tip + w / 2), y + center[1] * (tip + h / 2)
    turn = {"above": 0, "below": 180, "right": 90, "left": -90}[side]
    fill, ink = (paint.INK, "#FFFFFF") if kind == "wood" else ("#FFFFFF", paint.INK)
    point = f'<path d="M0 0L-4 -{n(tip)}H4Z" transform="translate({n(x)} {n(y)}) rotate({turn})" fill="{paint.INK}"/>'
    return (
        rect(cx - w / 2, cy - h / 2, w, h, "#FFFFFF", "#FFFFFF", 5)
        + point
        + rect(cx - w / 2, cy - h / 2, w, h, fill, paint.INK, 1.6, "3 2" if kind == "seen" else "")
        + text(cx, cy + 4.5, year, 13, ink, bold=True)
    )


def scale_bar(ft_per_px: float, most_px: float) -> tuple[float, str]:
    """Length in pixels and words of the longest bar that fits."""
    fits = [b for b in BARS_FT if b / ft_per_px <= most_px] or [BARS_FT[0]]
    feet = fits[-1]
    return feet / ft_per_px, BAR_WORDS.get(feet, f"{feet:,} feet")


def foot(sheet: Sheet, width: float, y: float) -> str:
    """Scale bar and north arrow along the foot of a drawing."""
    long, feet = scale_bar(sheet.ft_per_px, width * 0.42)
    x = 18.0
    north = x + long + 8 + len(feet) * 6.6 + 18
    arrow = f'<path d="M0 -19L5.5 0L0 -4L-5.5 0Z" transform="translate({n(north)} {n(y + 2)})" fill="{paint.INK}"/>'
    bar = line(f"M{n(x)} {n(y - 7)}v7h{n(long)}v-7M{n(x + long / 2)} {n(y)}v-4", paint.INK, 1.6)
    return (
        bar + text(x + long + 8, y + 1, feet, anchor="start") + arrow + text(north + 10, y + 1, "north", anchor="start")
    )
