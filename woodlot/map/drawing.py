"""A parcel, and the plan of all parcels, as still SVG: for print, for the report, and for the margin of the page.

Sheet            longitude and latitude to pixels of one drawing (Web Mercator, north up)
parcel_svg       one parcel with stands, water, home ground, notes, deer plots, scale bar and north
plan_svg         all parcels at true scale, with straight-line miles from home
hatches          the SVG patterns that both need
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from woodlot.map import paint
from woodlot.map.labels import TAG, hits
from woodlot.units import M_PER_FT

__all__ = ["Sheet", "hatches", "parcel_svg", "plan_svg"]

EARTH_M = 6_378_137.0
BARS_FT = (66, 165, 330, 660, 1320, 2640, 5280, 10560, 26400, 52800)
BAR_WORDS = {660: "660 feet, ⅛ mile", 1320: "1,320 feet, ¼ mile", 2640: "½ mile", 5280: "1 mile", 10560: "2 miles",
             26400: "5 miles", 52800: "10 miles"}  # fmt: skip


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
        return (
            math.degrees(x / self.per_rad + self.west),
            math.degrees(math.atan(math.sinh(self.north - y / self.per_rad))),
        )

    @property
    def ft_per_px(self) -> float:
        """Feet on the ground that one pixel covers, at the middle of the drawing."""
        return EARTH_M * math.cos(math.radians(self.latitude)) / self.per_rad / M_PER_FT


def mercator(lon: Any, lat: Any) -> tuple[Any, Any]:
    """Web Mercator of degrees, in radians."""
    return np.radians(lon), np.arcsinh(np.tan(np.radians(lat)))


def hatches(prefix: str = "") -> str:
    """SVG patterns: 45-degree hatches for what is not measured, dots for other covers and for water strips."""
    lines = "".join(
        f'<pattern id="{prefix}hatch-{name}" width="9" height="9" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><path d="M4.5 0V9" stroke="{color}" stroke-opacity="{opacity}" '
        f'stroke-width="2.2"/></pattern>'
        for name, color, opacity in (("ink", paint.INK, 0.42), ("white", "#FFFFFF", 0.6))
    )
    dots = (
        f'<pattern id="{prefix}dots-other" width="11" height="11" patternUnits="userSpaceOnUse">'
        f'<circle cx="3" cy="3" r="1.3" fill="{paint.INK}" fill-opacity=".5"/></pattern>'
        f'<pattern id="{prefix}dots-water" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<rect width="8" height="8" fill="#FFFFFF" fill-opacity=".5"/>'
        f'<circle cx="2" cy="2" r="1.2" fill="{paint.WATER}"/><circle cx="6" cy="6" r="1.2" fill="{paint.WATER}"/></pattern>'
    )
    return lines + dots


def pattern_copies(count: int) -> str:
    """The patterns once for each printed drawing, under the prefixes p0-, p1- and so on."""
    return "".join(hatches(f"p{n}-") for n in range(count))


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _path(sheet: Sheet, geometry: dict[str, Any]) -> str:
    """SVG path data of a GeoJSON geometry (points give nothing)."""
    kind, where = geometry["type"], geometry.get("coordinates")
    lines: Iterable[Any]
    if kind == "Polygon":
        lines, close = where, "Z"
    elif kind == "MultiPolygon":
        lines, close = [ring for polygon in where for ring in polygon], "Z"
    elif kind == "LineString":
        lines, close = [where], ""
    elif kind == "MultiLineString":
        lines, close = where, ""
    else:
        return ""
    out = []
    for line in lines:
        lon, lat = np.asarray(line, dtype=float)[:, :2].T
        x, y = sheet.px(lon, lat)
        out.append("M" + "L".join(f"{_n(a)} {_n(b)}" for a, b in zip(x, y, strict=True)) + close)
    return "".join(out)


def _words(x: float, y: float, big: str, small: str, ink: str, plate: bool, size: float) -> str:
    """Large word over a small one, centered; on a white plate where the ground is hatched."""
    w = max(len(big) * size * 0.62, len(small) * 6.6) + 10
    back = (
        f'<rect x="{_n(x - w / 2)}" y="{_n(y - size)}" width="{_n(w)}" height="{_n(size + (18 if small else 7))}" fill="#fff"/>'
        if plate
        else ""
    )
    ink = paint.INK if plate else ink
    out = f'{back}<text x="{_n(x)}" y="{_n(y)}" class="big" font-size="{_n(size)}" fill="{ink}">{escape(big)}</text>'
    return out + (
        f'<text x="{_n(x)}" y="{_n(y + 15)}" class="small" fill="{ink}">{escape(small)}</text>' if small else ""
    )


def _tag(x: float, y: float, side: str, tag: str, year: str) -> str:
    w, h, tip = TAG[0] - 6, TAG[1] - 4, TAG[2]
    cx, cy = {
        "above": (0, -tip - h / 2),
        "below": (0, tip + h / 2),
        "right": (tip + w / 2, 0),
        "left": (-tip - w / 2, 0),
    }[side]
    turn = {"above": 0, "below": 180, "right": 90, "left": -90}[side]
    fill, ink = (paint.INK, "#fff") if tag == "wood" else ("#fff", paint.INK)
    dash = ' stroke-dasharray="3 2"' if tag == "seen" else ""
    return (
        f'<g transform="translate({_n(x)} {_n(y)})"><path d="M0 0L-4 -{tip}H4Z" transform="rotate({turn})" fill="{paint.INK}" stroke="#fff"/>'
        f'<rect x="{_n(cx - w / 2)}" y="{_n(cy - h / 2)}" width="{_n(w)}" height="{_n(h)}" fill="{fill}" stroke="#fff" stroke-width="4"/>'
        f'<rect x="{_n(cx - w / 2)}" y="{_n(cy - h / 2)}" width="{_n(w)}" height="{_n(h)}" fill="{fill}" stroke="{paint.INK}" '
        f'stroke-width="1.6"{dash}/><text x="{_n(cx)}" y="{_n(cy + 4.5)}" class="tag" fill="{ink}">{escape(year)}</text></g>'
    )


def _deer(sheet: Sheet, plots: list[dict[str, Any]], dots: bool) -> str:
    out = []
    lines: dict[str, list[tuple[float, float]]] = {}
    for p in plots:
        lines.setdefault(str(p["line"]), []).append(sheet.px(p["lon"], p["lat"]))
    for points in lines.values():
        d = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in points)
        out.append(f'<path d="{d}" fill="none" stroke="#fff" stroke-width="4"/>')
        out.append(f'<path d="{d}" fill="none" stroke="{paint.INK}" stroke-width="1.6" stroke-dasharray="1.6 3"/>')
    for p in plots:
        x, y = sheet.px(p["lon"], p["lat"])
        some = (p["groups"] or 0) > 0
        fill, ink = (paint.INK, "#fff") if some else ("#fff", paint.INK)
        if p["groups"] is not None:
            r = 5 if dots else 10
            out.append(
                f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{r}" fill="{fill}" stroke="{paint.INK}" stroke-width="1.5"/>'
            )
            if not dots:
                out.append(f'<text x="{_n(x)}" y="{_n(y + 4)}" class="tag" fill="{ink}">{int(p["groups"])}</text>')
        if p["browsed_pct"] is not None and not dots:
            y += 22 if p["groups"] is not None else 0
            out.append(
                f'<rect x="{_n(x - 19)}" y="{_n(y - 10)}" width="38" height="20" fill="#fff" stroke="{paint.INK}"/>'
                f'<text x="{_n(x)}" y="{_n(y + 4)}" class="tag" fill="{paint.INK}">{p["browsed_pct"]:.0f}%</text>'
            )
    return "".join(out)


def scale_bar(ft_per_px: float, most_px: float) -> tuple[float, str]:
    """Length in pixels and words of the longest bar that fits."""
    fits = [b for b in BARS_FT if b / ft_per_px <= most_px] or [BARS_FT[0]]
    feet = fits[-1]
    return feet / ft_per_px, BAR_WORDS.get(feet, f"{feet:,} feet")


def _foot(sheet: Sheet, width: float, y: float) -> str:
    long, said = scale_bar(sheet.ft_per_px, width * 0.52)
    x = 26.0
    return (
        f'<path d="M{_n(x)} {_n(y - 7)}v7h{_n(long)}v-7M{_n(x + long / 2)} {_n(y)}v-4" fill="none" stroke="{paint.INK}" stroke-width="1.6"/>'
        f'<text x="{_n(x + long + 8)}" y="{_n(y + 1)}" class="small left" fill="{paint.INK}">{said}</text>'
        f'<g transform="translate({_n(x + long + 8 + len(said) * 6.4 + 18)} {_n(y + 2)})"><path d="M0 -19L5.5 0L0 -4L-5.5 0Z" fill="{paint.INK}"/>'
        f'<text x="10" y="-1" class="small left" fill="{paint.INK}">north</text></g>'
    )


def parcel_svg(
    layers: dict[str, Any], parcel_id: str, questions: list[str], long_px: float = 560.0, prefix: str = ""
) -> str:
    """One parcel as SVG, drawn for each of ``questions`` (shown by the page's ``data-question``; one alone always shows).

    Parameters: layers, from ``woodlot.map.layers.build``; long_px, length of the parcel's longer side in pixels; prefix,
    put before the names of patterns so that several drawings can share one page.
    """
    parcel = next(p for p in layers["parcels"] if p["id"] == parcel_id)
    (south, west), (north, east) = parcel["bounds"]
    pad = 16.0
    sheet = Sheet.fit((west, south, east, north), long_px, pad)
    x1, y1 = sheet.px(east, south)
    width, height = float(x1) + pad, float(y1) + pad + 34
    shapes = layers["shapes"]
    room = layers["room"].get(parcel_id, {})
    at = max((int(s) for s in room if int(s) <= long_px * 1.02), default=min((int(s) for s in room), default=0))
    placed = room.get(str(at), {"words": {}, "tags": [], "dots": True})
    alone = " always" if len(questions) == 1 else ""
    body = [f'<path d="{_path(sheet, shapes["parcels"][n])}" fill="{paint.NEIGHBOR}" stroke="{paint.GRAY}" '
            f'stroke-dasharray="5 4"/>' for n in parcel["near"]]  # fmt: skip
    stands = [s for s in layers["stands"] if s["parcel"] == parcel_id and s["id"] in shapes["stands"]]
    by_id = {s["id"]: i for i, s in enumerate(stands)}
    paths = [_path(sheet, shapes["stands"][s["id"]]) for s in stands]
    for key in questions:
        steps = next(q for q in layers["questions"] if q["key"] == key)["steps"]
        group = []
        for s, d in zip(stands, paths, strict=True):
            step, big, hatch = s["marks"][key]
            look = steps[step] if step is not None else {"fill": "#FFFFFF", "hatch": "ink", "dots": False}
            group.append(f'<path d="{d}" fill="{look["fill"]}"/>')
            if look["dots"]:
                group.append(f'<path d="{d}" fill="url(#{prefix}dots-other)"/>')
            if hatch:
                group.append(f'<path d="{d}" fill="url(#{prefix}hatch-{look["hatch"]})"/>')
        body.append(f'<g class="ask ask-{key}{alone}">{"".join(group)}</g>')
    body += [f'<path d="{d}" fill="none" stroke="#fff" stroke-width="2.5"/>' for d in paths]
    body += [f'<path d="{d}" fill="none" stroke="{paint.INK}" stroke-width=".9"/>' for d in paths]
    body.append(_features(sheet, layers, parcel_id))
    body.append(
        f'<path d="{_path(sheet, shapes["parcels"][parcel_id])}" fill="none" stroke="{paint.INK}" stroke-width="3.2"/>'
    )
    body.append(_deer(sheet, [p for p in layers["deer"] if p["parcel"] == parcel_id], placed["dots"]))
    for note, side in placed["tags"]:
        n = layers["notes"][note]
        body.append(_tag(*sheet.px(n["lon"], n["lat"]), side, n["tag"], n["short"]))
    for key in questions:
        steps = next(q for q in layers["questions"] if q["key"] == key)["steps"]
        group = []
        for sid, lon, lat, which in placed["words"].get(key, []):
            s = stands[by_id[sid]]
            step, big, hatch = s["marks"][key]
            ink = steps[step]["ink"] if step is not None else paint.INK
            x, y = sheet.px(lon, lat)
            size = 22 if len(big) <= 4 else 15
            small = s["name"] if which == 0 else ""
            group.append(_words(x, y + (2 if small else 7), big, small, ink, hatch or step is None, size))
        body.append(f'<g class="ask ask-{key}{alone}">{"".join(group)}</g>')
    body.append(_foot(sheet, width, height - 10))
    return (
        f'<svg class="sheet" viewBox="0 0 {_n(width)} {_n(height)}" role="img" aria-label="Map of {escape(parcel["name"], quote=True)}">'
        f'<defs><clipPath id="{prefix}edge"><rect width="{_n(width)}" height="{_n(height)}"/></clipPath></defs>'
        f'<g clip-path="url(#{prefix}edge)">{"".join(body)}</g></svg>'
    )


def _features(sheet: Sheet, layers: dict[str, Any], parcel_id: str) -> str:
    out = []
    for f in layers["features"]:
        if parcel_id not in f["parcels"]:
            continue
        d = _path(sheet, f["shape"])
        if f["kind"] == "home_ground" and d:
            out.append(
                f'<path d="{d}" fill="{paint.PAPER}" stroke="{paint.INK}" stroke-width="1.6" stroke-dasharray="6 4"/>'
            )
            x, y = sheet.px(*f["at"])
            out.append(f'<g transform="translate({_n(x)} {_n(y - 12)})" fill="none" stroke="{paint.INK}" stroke-width="1.8">'
                       f'<path d="M-12 1L0 -10L12 1M-8 -2V10H8V-2"/></g>'
                       f'<text x="{_n(x)}" y="{_n(y + 18)}" class="small" fill="{paint.INK}">{escape(f["words"])}</text>')  # fmt: skip
        elif f["kind"] == "lake" and d:
            out.append(f'<path d="{d}" fill="{paint.WATER}" stroke="#fff" stroke-width="2"/>')
        elif f["kind"] == "stream" and d:
            out.append(f'<path d="{d}" fill="none" stroke="#fff" stroke-width="6.5"/>')
            out.append(f'<path d="{d}" fill="none" stroke="{paint.WATER}" stroke-width="3.2"/>')
        elif f["kind"] == "water_strip" and d:
            out.append(
                f'<path d="{d}" fill="url(#dots-water)" stroke="{paint.WATER}" stroke-width=".8" stroke-dasharray="2 3"/>'
            )
        elif f["kind"] == "road" and d:
            out.append(f'<path d="{d}" fill="none" stroke="{paint.INK}" stroke-width="5"/>')
            out.append(f'<path d="{d}" fill="none" stroke="#fff" stroke-width="3"/>')
        elif f["at"]:
            x, y = sheet.px(*f["at"])
            mark = "M-6 6L0 -6L6 6Z" if f["kind"] == "deer_stand" else "M-5 -5H5V5H-5Z"
            out.append(
                f'<path transform="translate({_n(x)} {_n(y)})" d="{mark}" fill="#fff" stroke="{paint.INK}" stroke-width="1.8"/>'
            )
    return "".join(out)


def plan_svg(layers: dict[str, Any], words: bool = True, width: float = 264.0, height: float = 200.0) -> str:
    """All parcels at true scale (never under 7 px), dotted straight lines from home with miles, north up."""
    parcels = layers["parcels"]
    side = 34.0 if words else 9.0
    west, south = min(p["bounds"][0][1] for p in parcels), min(p["bounds"][0][0] for p in parcels)
    east, north = max(p["bounds"][1][1] for p in parcels), max(p["bounds"][1][0] for p in parcels)
    x0, y0 = mercator(west, south)
    x1, y1 = mercator(east, north)
    scale = min((width - 2 * side) / max(x1 - x0, 1e-9), (height - 2 * side) / max(y1 - y0, 1e-9))
    sheet = Sheet(
        float(x0 - (width / scale - (x1 - x0)) / 2),
        float(y1 + (height / scale - (y1 - y0)) / 2),
        float(scale),
        (south + north) / 2,
    )
    spot, out, tags = {}, [], []
    for p in parcels:
        left, top = sheet.px(p["bounds"][0][1], p["bounds"][1][0])
        right, bottom = sheet.px(p["bounds"][1][1], p["bounds"][0][0])
        w, h = max(float(right - left), 7.0), max(float(bottom - top), 7.0)
        spot[p["id"]] = ((left + right) / 2, (top + bottom) / 2, w, h)
    home = next((p for p in parcels if p["home"]), parcels[0])
    hx, hy = spot[home["id"]][:2]
    taken = [(x - w / 2, y - h / 2, x + w / 2, y + h / 2) for x, y, w, h in spot.values()]
    for p in parcels:
        x, y, w, h = spot[p["id"]]
        if p["id"] != home["id"] and p["miles"]:
            out.append(
                f'<path d="M{_n(hx)} {_n(hy)}L{_n(x)} {_n(y)}" stroke="{paint.GRAY}" stroke-dasharray="1.5 3" fill="none"/>'
            )
    for p in parcels:
        x, y, w, h = spot[p["id"]]
        out.append(f'<rect class="spot" data-parcel="{escape(p["id"], quote=True)}" x="{_n(x - w / 2)}" y="{_n(y - h / 2)}" '
                   f'width="{_n(w)}" height="{_n(h)}" stroke="{paint.INK}" stroke-width="1.5"/>')  # fmt: skip
        if words:
            long = len(p["short"]) * 6.4 + 4
            around = [(x, y - h / 2 - 9), (x + w / 2 + long / 2 + 3, y), (x - w / 2 - long / 2 - 3, y), (x, y + h / 2 + 10),
                      (x + w / 2 + long / 2 + 3, y + 11), (x - w / 2 - long / 2 - 3, y + 11)]  # fmt: skip
            first = around[1:2] + around[:1] + around[2:] if p["near"] else around
            tags.append(_plan_word(p["short"], p["id"], first, taken, width, height))
    for p in parcels if words else []:
        x, y = spot[p["id"]][:2]
        if p["id"] != home["id"] and p["miles"] and math.hypot(x - hx, y - hy) > 30:
            along = [(hx + (x - hx) * t, hy + (y - hy) * t) for t in (0.5, 0.62, 0.38, 0.74)]
            beside = [(ax + dx, ay + dy) for ax, ay in along[:1] for dx, dy in ((0, -14), (0, 14), (24, 0), (-24, 0))]
            tags.append(_plan_word(p["miles"], "", along + beside, taken, width, height))
    said = ", ".join(f"{p['name']} {p['miles'] or 'home'}" for p in parcels)
    return (
        f'<svg class="plan" viewBox="0 0 {_n(width)} {_n(height)}" role="img" aria-label="{escape("Plan of the parcels: " + said, quote=True)}">'
        f"{''.join(out)}{''.join(t for t in tags if t)}</svg>"
    )


def _plan_word(
    text: str, pid: str, centers: list[tuple[float, float]], taken: list, width: float, height: float
) -> str:
    """A parcel's name, or miles on their line, at the first center that hits nothing; nothing where none is free."""
    long = len(text) * 6.4 + 4
    for cx, cy in centers:
        cx = min(max(cx, long / 2), width - long / 2)
        box = (cx - long / 2, cy - 7, cx + long / 2, cy + 7)
        if box[1] >= 0 and box[3] <= height and not hits(np.array([box]), np.array(taken).reshape(-1, 4), 0.0)[0]:
            taken.append(box)
            back = (
                "" if pid else f'<rect x="{_n(box[0])}" y="{_n(box[1])}" width="{_n(long)}" height="14" class="back"/>'
            )
            mine = f' data-parcel="{escape(pid, quote=True)}"' if pid else ' class="miles"'
            return f'{back}<text x="{_n(cx)}" y="{_n(cy + 4)}"{mine}>{escape(text)}</text>'
    return ""
