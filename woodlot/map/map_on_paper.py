"""Still drawings, for print, for the report and for the margin of the page.

parcel_svg      one parcel with stands, water, home ground, notes, deer plots, neighbors of the group, scale bar, north
plan_svg        all parcels at true scale, with straight-line miles from home
"""

import math
from dataclasses import replace
from html import escape
from typing import Any

import numpy as np

from woodlot.map import paint
from woodlot.map.drawing import FACE, Sheet, foot, hatches, line, mercator, n, path, rect, tag, text, words
from woodlot.map.labels import hits
from woodlot.trade import PLOT_TO_PUT, SHUT, WALK, WISHES

__all__ = ["parcel_svg", "plan_svg", "plot_number"]

#: Narrower than this, a drawing has no room for its scale bar and north.
LEAST_PX = 330.0
WHITE = {"fill": "#FFFFFF", "ink": paint.INK, "hatch": "ink", "dots": False}
MARKS = {
    "deer_stand": "M-6 6L0 -6L6 6Z",
    "landing": "M-5 -5H5V5H-5Z",
    PLOT_TO_PUT: "M-9 0a9 9 0 1 0 18 0a9 9 0 1 0 -18 0",
}


def plot_number(name: str) -> str:
    """The number of a plot to be measured within its stand: 2 of ``plot kettle-2``."""
    return name.rpartition("-")[2]


def parcel_svg(
    layers: dict[str, Any],
    parcel_id: str,
    questions: list[str],
    long_px: float = 560.0,
    prefix: str = "",
    years: int | None = None,
) -> str:
    """One parcel as SVG, drawn for each of ``questions``.

    Parameters
    ----------
    layers
        From ``woodlot.map.layers.build``.
    parcel_id, questions
        With several questions each is a group of class ``ask ask-<key>``, for a page to show one; a single one shows.
    long_px
        Length of the parcel's longer side in pixels.
    prefix
        Put before the names of patterns, so that several drawings can share one page.
    years
        Only notes of that many latest years; all when None.
    """
    parcel = next(p for p in layers["parcels"] if p["id"] == parcel_id)
    (south, west), (north, east) = parcel["bounds"]
    pad = 16.0
    sheet = Sheet.fit((west, south, east, north), long_px, pad)
    right, bottom = sheet.px(east, south)
    width, height = max(float(right) + pad, LEAST_PX), float(bottom) + pad + 32
    sheet = replace(sheet, west=sheet.west - (width - float(right) - pad) / 2 / sheet.per_rad)
    shapes = layers["shapes"]
    placed = _room(layers, parcel_id, long_px)
    stands = [s for s in layers["stands"] if s["parcel"] == parcel_id and s["id"] in shapes["stands"]]
    paths = [path(sheet, shapes["stands"][s["id"]]) for s in stands]
    body = [line(path(sheet, shapes["parcels"][k]), paint.GRAY, 1, paint.NEIGHBOR, "5 4") for k in parcel["near"]]
    body += [line(path(sheet, layers["group"][i]), paint.INK, 1.2, dash="1 5") for i in parcel["around"]]
    outlines = "".join(f'<path id="{prefix}s{i}" d="{d}"/>' for i, d in enumerate(paths))
    for key in questions:
        steps = next(q for q in layers["questions"] if q["key"] == key)["steps"]
        if key in layers["pictures"]:
            body.append(_group(key, questions, [_picture(sheet, layers["pictures"][key].get(parcel_id))]))
            continue
        fills = [_fill(f"{prefix}s{i}", s["marks"][key], steps, prefix) for i, s in enumerate(stands)]
        body.append(_group(key, questions, fills))
    uses = "".join(f'<use href="#{prefix}s{i}"/>' for i in range(len(paths)))
    body.append(f'<g fill="none" stroke="#FFFFFF" stroke-width="2.5">{uses}</g>')
    body.append(f'<g fill="none" stroke="{paint.INK}" stroke-width=".9">{uses}</g>')
    body.append(_features(sheet, layers, parcel_id, prefix))
    body.append(line(path(sheet, shapes["parcels"][parcel_id]), paint.INK, 3.2))
    body.append(_deer(sheet, [p for p in layers["deer"] if p["parcel"] == parcel_id], placed["dots"], placed["shares"]))
    last = set(layers["years"][-years:] if years else layers["years"])
    for i, side in placed["tags"]:
        note = layers["notes"][i]
        if note["year"] in last:
            body.append(tag(*sheet.px(note["lon"], note["lat"]), side, note["tag"], note["short"]))
    by_id = {s["id"]: s for s in stands}
    for key in questions:
        steps = next(q for q in layers["questions"] if q["key"] == key)["steps"]
        here = placed["words"][key]
        marks = [_mark(sheet, by_id[sid], key, steps, lon, lat, which) for sid, lon, lat, which in here]
        body.append(_group(key, questions, marks))
    body.append(foot(sheet, width, height - 8))
    label = escape(f"Map of {parcel['name']}", quote=True)
    clip = f'<clipPath id="{prefix}edge">{rect(0, 0, width, height, "#000000")}</clipPath>'
    size = f'viewBox="0 0 {n(width)} {n(height)}" width="{n(width)}" height="{n(height)}"'
    return (
        f'<svg class="sheet" xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-label="{label}" {FACE}>'
        f"<defs>{hatches(prefix)}{clip}{outlines}</defs>"
        f'<g clip-path="url(#{prefix}edge)">{"".join(body)}</g></svg>'
    )


def _room(layers: dict[str, Any], parcel_id: str, long_px: float) -> dict[str, Any]:
    """The places shared out at the largest scale that is not larger than the drawing."""
    room = layers["room"][parcel_id]
    fits = [int(s) for s in room if int(s) <= long_px * 1.02]
    if not fits:
        return {"dots": True, "shares": [], "tags": [], "words": {q["key"]: [] for q in layers["questions"]}}
    return room[str(max(fits))]


def _group(key: str, questions: list[str], inside: list[str]) -> str:
    return f'<g class="ask ask-{key}">{"".join(inside)}</g>' if len(questions) > 1 else "".join(inside)


def _picture(sheet: Sheet, shown: dict | None) -> str:
    """A parcel's picture between its corners; nothing where there is none."""
    if shown is None:
        return ""
    (south, west), (north, east) = shown["bounds"]
    left, top = sheet.px(west, north)
    right, bottom = sheet.px(east, south)
    size = f'x="{n(left)}" y="{n(top)}" width="{n(right - left)}" height="{n(bottom - top)}"'
    return f'<image href="{shown["src"]}" {size} preserveAspectRatio="none"/>'


def _fill(name: str, mark: list, steps: list[dict], prefix: str) -> str:
    step, _, hatched = mark
    look = steps[step] if step is not None else WHITE
    out = f'<use href="#{name}" fill="{look["fill"]}"/>'
    if look["dots"]:
        out += f'<use href="#{name}" fill="url(#{prefix}dots-other)"/>'
    return out + (f'<use href="#{name}" fill="url(#{prefix}hatch-{look["hatch"]})"/>' if hatched else "")


def _mark(sheet: Sheet, stand: dict, key: str, steps: list[dict], lon: float, lat: float, which: int) -> str:
    step, big, hatched = stand["marks"][key]
    ink = steps[step]["ink"] if step is not None else paint.INK
    plate = hatched or step is None or stand["plate"]
    return words(*sheet.px(lon, lat), big, "" if which else stand["name"], ink, plate, which == 2)


def _deer(sheet: Sheet, plots: list[dict[str, Any]], dots: bool, shares: list[list[float]]) -> str:
    out = []
    lines: dict[str, list[tuple[float, float]]] = {}
    for p in plots:
        lines.setdefault(p["line"], []).append(sheet.px(p["lon"], p["lat"]))
    for points in lines.values():
        d = "M" + "L".join(f"{n(x)} {n(y)}" for x, y in points)
        out += [line(d, "#FFFFFF", 4), line(d, paint.INK, 1.6, dash="1.6 3")]
    for p in plots:
        x, y = sheet.px(p["lon"], p["lat"])
        fill, ink = (paint.INK, "#FFFFFF") if (p["groups"] or 0) > 0 else ("#FFFFFF", paint.INK)
        if p["groups"] is not None:
            r = 5 if dots else 10
            edge = f'fill="{fill}" stroke="{paint.INK}" stroke-width="1.5"'
            out.append(f'<circle cx="{n(x)}" cy="{n(y)}" r="{r}" {edge}/>')
            out.append("" if dots else text(x, y + 4, f"{p['groups']:.0f}", 12, ink, bold=True))
    for i, right, down in shares:
        x, y = sheet.px(plots[int(i)]["lon"], plots[int(i)]["lat"])
        out.append(rect(x + right - 18, y + down - 10, 36, 20, "#FFFFFF", paint.INK, 1.4))
        out.append(text(x + right, y + down + 4, f"{plots[int(i)]['browsed_pct']:.0f}%", 12, bold=True))
    return "".join(out)


def _features(sheet: Sheet, layers: dict[str, Any], parcel_id: str, prefix: str) -> str:
    out = []
    for f in layers["features"]:
        if parcel_id not in f["parcels"]:
            continue
        d, kind = path(sheet, f["shape"]), f["kind"]
        if kind == "home_ground" and d:
            out.append(line(d, paint.INK, 1.6, paint.PAPER, "6 4") + (_house(sheet, f) if f["at"] else ""))
        elif kind == "lake" and d:
            out.append(line(d, paint.WATER, 1.6, f"url(#{prefix}waves)"))
        elif kind == "stream" and d:
            out += [line(d, "#FFFFFF", 6.5), line(d, paint.WATER, 3.2)]
        elif kind == "water_strip" and d:
            out.append(line(d, paint.WATER, 0.8, f"url(#{prefix}dots-water)", "2 3"))
        elif kind in WISHES and d:
            fill = f"url(#{prefix}shut)" if kind in SHUT else "none"
            out += [line(d, "#FFFFFF", 4), line(d, paint.INK, 1.8, fill, "10 4")]
        elif kind == WALK and d:
            out += [line(d, "#FFFFFF", 4), line(d, paint.INK, 1.6, dash="8 4")]
        elif kind == "road" and d:
            out += [line(d, paint.INK, 5), line(d, "#FFFFFF", 3)]
        elif f["at"]:
            x, y = sheet.px(*f["at"])
            mark = line(MARKS.get(kind, "M-4 -4H4V4H-4Z"), paint.INK, 1.8, "#FFFFFF")
            if kind == PLOT_TO_PUT:
                mark += text(0, 4, plot_number(f["words"]), 12, bold=True)
            out.append(f'<g transform="translate({n(x)} {n(y)})">{mark}</g>')
    return "".join(out)


def _house(sheet: Sheet, feature: dict[str, Any]) -> str:
    x, y = sheet.px(*feature["at"])
    west, _, east, _ = feature["box"]
    wide = sheet.px(east, feature["at"][1])[0] - sheet.px(west, feature["at"][1])[0]
    roof = line("M-12 1L0 -10L12 1M-8 -2V10H8V-2", paint.INK, 1.8)
    name = text(x, y + 20, feature["words"], 12) if wide > len(feature["words"]) * 6.4 + 8 else ""
    return f'<g transform="translate({n(x)} {n(y - 8)})">{roof}</g>{name}'


# --- all parcels ------------------------------------------------------------------------------------------------------


def plan_svg(layers: dict[str, Any], named: bool = True, width: float = 264.0, height: float = 200.0) -> str:
    """All parcels at true scale (never under 7 px), dotted straight lines from home with miles, north up."""
    parcels = layers["parcels"]
    spots = _spots(parcels, 34.0 if named else 9.0, width, height)
    home = next((p for p in parcels if p["home"]), parcels[0])
    hx, hy = spots[home["id"]][:2]
    far = [p for p in parcels if p["id"] != home["id"] and p["miles"]]
    out = [
        line(f"M{n(hx)} {n(hy)}L{n(x)} {n(y)}", paint.GRAY, 1, dash="1.5 3")
        for x, y, *_ in (spots[p["id"]] for p in far)
    ]
    taken = [(x - w / 2, y - h / 2, x + w / 2, y + h / 2) for x, y, w, h in spots.values()]
    for p in parcels:
        x, y, w, h = spots[p["id"]]
        box = rect(x - w / 2, y - h / 2, w, h, paint.CARD, paint.INK, 1.5)
        out.append(box.replace("<rect", f'<rect class="spot" data-parcel="{escape(p["id"], quote=True)}"'))
    for p in parcels if named else []:
        out.append(_name(p["short"], p["id"], _round(p, *spots[p["id"]]), taken, width, height))
    for p in far if named else []:
        x, y = spots[p["id"]][:2]
        if math.hypot(x - hx, y - hy) > 30:
            along = [(hx + (x - hx) * t, hy + (y - hy) * t) for t in (0.5, 0.62, 0.38, 0.74)]
            beside = [(along[0][0] + dx, along[0][1] + dy) for dx, dy in ((0, -14), (0, 14), (24, 0), (-24, 0))]
            out.append(_name(p["miles"], "", along + beside, taken, width, height))
    names = ", ".join(f"{p['name']} {p['miles'] or 'home'}" for p in parcels)
    label = escape(f"Plan of the parcels: {names}", quote=True)
    return (
        f'<svg class="plan" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {n(width)} {n(height)}" role="img" '
        f'aria-label="{label}" {FACE}>{"".join(out)}</svg>'
    )


def _spots(
    parcels: list[dict], side: float, width: float, height: float
) -> dict[str, tuple[float, float, float, float]]:
    """Center, width and height in pixels of each parcel on a sheet that holds them all."""
    west, south = min(p["bounds"][0][1] for p in parcels), min(p["bounds"][0][0] for p in parcels)
    east, north = max(p["bounds"][1][1] for p in parcels), max(p["bounds"][1][0] for p in parcels)
    x0, y0 = mercator(west, south)
    x1, y1 = mercator(east, north)
    scale = min((width - 2 * side) / max(x1 - x0, 1e-9), (height - 2 * side) / max(y1 - y0, 1e-9))
    left, top = x0 - (width / scale - (x1 - x0)) / 2, y1 + (height / scale - (y1 - y0)) / 2
    sheet = Sheet(float(left), float(top), float(scale), (south + north) / 2)
    out = {}
    for p in parcels:
        a, b = sheet.px(p["bounds"][0][1], p["bounds"][1][0])
        c, d = sheet.px(p["bounds"][1][1], p["bounds"][0][0])
        out[p["id"]] = (float(a + c) / 2, float(b + d) / 2, max(float(c - a), 7.0), max(float(d - b), 7.0))
    return out


def _round(parcel: dict, x: float, y: float, w: float, h: float) -> list[tuple[float, float]]:
    """Centers for a parcel's name round its box; at its side first where another parcel lies close."""
    long = len(parcel["short"]) * 6.4 + 4
    left, right = x - w / 2 - long / 2 - 3, x + w / 2 + long / 2 + 3
    around = [(x, y - h / 2 - 9), (right, y), (left, y), (x, y + h / 2 + 10), (right, y + 11), (left, y + 11)]
    return around[1:2] + around[:1] + around[2:] if parcel["near"] else around


def _name(words: str, pid: str, centers: list[tuple[float, float]], taken: list, width: float, height: float) -> str:
    """A parcel's name, or miles on their line, at the first center that hits nothing; nothing where none is free."""
    long = len(words) * 6.4 + 4
    for cx, cy in centers:
        cx = min(max(cx, long / 2), width - long / 2)
        box = (cx - long / 2, cy - 7, cx + long / 2, cy + 7)
        if box[1] >= 0 and box[3] <= height and not hits(np.array([box]), np.array(taken).reshape(-1, 4), 0.0)[0]:
            taken.append(box)
            if pid:
                mine = f'<text data-parcel="{escape(pid, quote=True)}"'
                return text(cx, cy + 4, words, 12).replace("<text", mine)
            back = rect(box[0], box[1], long, 14, "#FFFFFF").replace("<rect", '<rect class="back"')
            return back + text(cx, cy + 4, words, 12, paint.GRAY)
    return ""
