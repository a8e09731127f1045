"""Charts as SVG, drawn to hold up photocopied in gray.

Shared: a dot is the best number, a bar or band its range, a white triangle what is left after the cut, a hatch what is
not there yet, a dashed line the other choice. Labels stand at the line's end; amounts start at 0; few grid lines.

cover_bars       acres by stand and parcel, letters in the bar
ranges           one row a stand: dot and range on one axis, with zones where given
stock            what stands over the years: plan line, band, one dashed heavier cut
heat             wood stacked and still to cut against the need of each winter
svg, axes, dot, triangle, bare, ticks   what charts are made of
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, floor, log10
from typing import Any

from woodlot.answers.chart_types import Stock
from woodlot.answers.house_types import HouseWinter
from woodlot.estimate import Number
from woodlot.map import paint
from woodlot.map.drawing import FACE, hatches, line, n, rect, text
from woodlot.map.map_words import amount
from woodlot.say.words import cut_short

__all__ = ["Ranged", "axes", "bare", "cover_bars", "dot", "heat", "ranges", "stock", "svg", "ticks", "triangle"]

GRID = "#D8D4C6"


def svg(width: float, height: float, label: str, body: Sequence[str], prefix: str) -> str:
    """One chart: size in pixels, what it shows in words, what is drawn, and the prefix of its patterns' names."""
    return (
        f'<svg class="chart" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {n(width)} {n(height)}" role="img" '
        f'aria-label="{escape(label, quote=True)}" {FACE}><defs>{hatches(prefix)}</defs>{"".join(body)}</svg>'
    )


def ticks(most: float, least_count: int = 3) -> list[float]:
    """Round steps from 0 to at least ``most``: three or four of them."""
    if most <= 0:
        return [0.0, 1.0]
    raw = most / least_count
    power = 10.0 ** floor(log10(raw))
    step = next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= raw * 0.999)
    return [step * i for i in range(ceil(most / step - 1e-9) + 1)]


def _say(value: float) -> str:
    return f"{value:,.0f}" if value >= 10 or value == int(value) else f"{value:,.1f}"


def cover_bars(layers: dict[str, Any], acres: dict[str, float], prefix: str = "c-") -> str:
    """One bar a parcel, as long as its acres of stands; letters in the bar, hatched where not measured.

    Parameters: layers, from ``woodlot.map.layers.build``; acres, working acres by stand_id.
    """
    steps = next(q for q in layers["questions"] if q["key"] == "grows")["steps"]
    rows = [(p["name"], [s for s in layers["stands"] if s["parcel"] == p["id"]]) for p in layers["parcels"]]
    longest = max((sum(acres[s["id"]] for s in stands) for _, stands in rows), default=0) or 1.0
    scale, left = 530.0 / longest, 112.0
    body = []
    for i, (name, stands) in enumerate(rows):
        y, x = 4 + i * 22.0, left
        body.append(text(0, y + 14, cut_short(name, 16), 13, anchor="start", bold=True))
        for s in stands:
            step, letter, hatched = s["marks"]["grows"]
            wide = acres[s["id"]] * scale
            fill = steps[step]
            body.append(rect(x, y, wide, 18, fill["fill"], paint.INK))
            if fill["dots"]:
                body.append(rect(x, y, wide, 18, f"url(#{prefix}dots-other)"))
            if hatched:
                body.append(rect(x, y, wide, 18, f"url(#{prefix}hatch-{fill['hatch']})"))
            if wide >= 16:
                plate = hatched and wide >= 26
                body.append(rect(x + wide / 2 - 9, y + 2, 18, 14, "#FFFFFF") if plate else "")
                body.append(text(x + wide / 2, y + 14, letter, 13, paint.INK if plate else fill["ink"], bold=True))
            x += wide
        total = sum(acres[s["id"]] for s in stands)
        body.append(text(x + 6, y + 14, amount(total, 1) if stands else "no stands drawn", 13, paint.GRAY, "start"))
    return svg(700, 6 + 22 * len(rows), "Acres by stand in each parcel", body, prefix)


@dataclass(frozen=True)
class Ranged:
    """A row of ``ranges``: a stand, its number (None where nothing was measured), the words where there is none."""

    id: str
    name: str
    estimate: Number | None
    none: str


def ranges(rows: Sequence[Ranged], unit: str, prefix: str = "r-") -> str:
    """One row a stand on one axis, which counts ``unit``: dot and range.

    prefix: put before the names of patterns, so that several charts can share one page.
    """
    known = [r.estimate for r in rows if r.estimate is not None]
    marks = ticks(max([e.high or e.value or 0.0 for e in known] + [1.0]), 4)
    left, right, top = 238.0, 690.0, 4.0
    scale = (right - left) / marks[-1]
    bottom = top + 16.6 * len(rows)
    body = []
    for i, r in enumerate(rows):
        y = top + 16.6 * i + 8.3
        body.append(line(f"M0 {n(y + 8.3)}H{n(right)}", GRID, 1))
        body.append(text(0, y + 4, r.id, 12, anchor="start", bold=True))
        body.append(text(24, y + 4, cut_short(r.name, 36), 12, anchor="start"))
        body.append(_row(r, y, left, right, scale, prefix))
    for m in marks:
        body.append(text(left + m * scale, bottom + 15, _say(m), 12, paint.GRAY))
    y = bottom + 34
    body.append(text(left, y, unit, 12, paint.GRAY, "start"))
    body.append(dot(left + 220, y - 4) + text(left + 230, y, "now, with range", 12, paint.GRAY, "start"))
    return svg(700, bottom + 42, f"{unit} by stand", body, prefix)


def _row(r: Ranged, y: float, left: float, right: float, scale: float, prefix: str) -> str:
    e = r.estimate
    if e is None or e.value is None:
        return bare(left, right, y, r.none, prefix)
    x = left + e.value * scale
    out = ""
    if e.low is not None and e.high is not None:
        a, b = left + e.low * scale, left + e.high * scale
        out = line(f"M{n(a)} {n(y)}H{n(b)}M{n(a)} {n(y - 4)}v8M{n(b)} {n(y - 4)}v8", paint.INK, 1.8)
    out += dot(x, y)
    if e.low is None:
        out += text(x + 9, y + 4, r.none, 12, paint.GRAY, "start")
    return out


def bare(left: float, right: float, y: float, words: str, prefix: str) -> str:
    """A row without a number: a hatch, and in it the words that say why."""
    middle, half = (left + right) / 2, len(words) * 3.4 + 8
    out = rect(left, y - 5, right - left, 10, f"url(#{prefix}hatch-ink)")
    return out + rect(middle - half, y - 7, 2 * half, 14, "#FFFFFF") + text(middle, y + 4, words, 12)


def dot(x: float, y: float) -> str:
    """The sign of a best number."""
    return f'<circle cx="{n(x)}" cy="{n(y)}" r="5" fill="{paint.INK}" stroke="#FFFFFF" stroke-width="1.5"/>'


def triangle(x: float, y: float) -> str:
    """The sign of what is left after a cut."""
    return line(f"M{n(x - 6)} {n(y - 5)}H{n(x + 6)}L{n(x)} {n(y + 5)}Z", paint.INK, 1.8, "#FFFFFF")


def axes(marks: list[float], left: float, right: float, top: float, bottom: float) -> list[str]:
    """Grid lines of an upright axis with their numbers at the left."""
    scale = (bottom - top) / marks[-1]
    out = []
    for m in marks:
        y = bottom - m * scale
        out += [line(f"M{n(left)} {n(y)}H{n(right)}", GRID, 1), text(left - 6, y + 4, _say(m), 12, paint.GRAY, "end")]
    return out


def stock(series: Stock, prefix: str = "s-") -> str:
    """What stands over the years: the plan as a line in its band, one heavier cut dashed; words at the lines' ends."""
    years, plan = series.years, series.plan
    low, high, heavier = series.low, series.high, series.heavier
    marks = ticks(max([*plan, *(high or []), *(heavier or [])]))
    left, right, top, bottom = 44.0, 262.0, 12.0, 148.0
    span = (years[-1] - years[0]) or 1
    xs = [left + (right - left) * (y - years[0]) / span for y in years]

    def way(values: Sequence[float]) -> list[str]:
        return [f"{n(x)} {n(bottom - v * (bottom - top) / marks[-1])}" for x, v in zip(xs, values, strict=True)]

    body = []
    if low and high:
        body.append(f'<path d="M{"L".join(way(high) + way(low)[::-1])}Z" fill="{paint.BAND}"/>')
    body += axes(marks, left, right, top, bottom)
    body.append(line("M" + "L".join(way(plan)), paint.INK, 2.4))
    ends = [(plan[-1], series.plan_words, True)]
    if heavier:
        body.append(line("M" + "L".join(way(heavier)), paint.INK, 1.8, dash="6 4"))
        ends.append((heavier[-1], series.heavier_words or "heavier cut", False))
    spots = _apart([bottom - value * (bottom - top) / marks[-1] for value, _, _ in ends], 27.0)
    for y, (_, words, bold) in zip(spots, ends, strict=True):
        for k, part in enumerate(_two_lines(words)):
            body.append(text(right + 6, y + 4 + 13 * k, part, 12, anchor="start", bold=bold))
    picks = sorted({0, len(years) // 2, len(years) - 1})
    body += [text(xs[i], bottom + 18, f"{years[i]:.0f}", 12, paint.GRAY) for i in picks]
    return svg(340, 172, "What stands over the years", body, prefix)


def _apart(heights: list[float], gap: float) -> list[float]:
    """The same heights, the second moved away from the first where their words would overlap."""
    if len(heights) < 2 or abs(heights[1] - heights[0]) >= gap:
        return heights
    first, second = heights
    return [first, first + gap if second >= first else first - gap]


def _two_lines(words: str) -> list[str]:
    parts, half = words.split(), (len(words) + 1) // 2
    if len(words) <= 12 or len(parts) < 2:
        return [words]
    first = [parts[0]]
    while len(" ".join([*first, parts[len(first)]])) <= half and len(first) < len(parts) - 1:
        first.append(parts[len(first)])
    return [" ".join(first), " ".join(parts[len(first) :])]


def heat(rows: Sequence[HouseWinter], prefix: str = "h-") -> str:
    """Wood ready by winter, stacked (ink) and still to cut (hatch), against the need (dashed line in its band)."""
    need = rows[0].need
    tops, needed = [r.stacked + r.to_cut for r in rows], need.value or 0.0
    marks = ticks(max([*tops, need.high or needed]))
    left, right, top, bottom = 34.0, 334.0, 26.0, 134.0
    scale = (bottom - top) / marks[-1]
    body = []
    if need.low is not None and need.high is not None:
        body.append(rect(left, bottom - need.high * scale, right - left, (need.high - need.low) * scale, paint.BAND))
    body += axes(marks, left, right, top, bottom)
    gap = (right - left) / len(rows)
    for i, r in enumerate(rows):
        x, y = left + gap * (i + 0.5) - 22, bottom
        for value, fill in ((r.stacked, paint.INK), (r.to_cut, f"url(#{prefix}hatch-ink)")):
            if value:
                y -= value * scale
                body.append(
                    rect(x, y, 44, value * scale, "#FFFFFF", paint.INK, 1.4) + rect(x, y, 44, value * scale, fill)
                )
        body.append(text(x + 22, bottom + 17, r.winter, 12, paint.GRAY))
    y = bottom - needed * scale
    body.append(line(f"M{n(left)} {n(y)}H{n(right)}", paint.INK, 2, dash="7 4"))
    body.append(rect(left, 4, 11, 11, paint.INK) + text(left + 16, 14, "stacked now", 12, anchor="start"))
    body.append(
        rect(left + 98, 4, 11, 11, f"url(#{prefix}hatch-ink)", paint.INK)
        + text(left + 114, 14, "still to cut", 12, anchor="start")
    )
    body.append(
        line(f"M{n(left + 190)} 10h20", paint.INK, 2, dash="7 4")
        + text(left + 216, 14, "house needs", 12, anchor="start")
    )
    return svg(340, 158, "Dry wood against the need of each winter", body, prefix)
