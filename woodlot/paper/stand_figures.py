"""Stands on their guides as SVG, drawn to hold up photocopied in gray.

fullness     one row a stand, percent of a full stand: today with its range, after a cut, in 10 and 20 years
structure    trees an acre by size: what stands, what goes, and the structure to keep as a stepped line
guide        one stand on the two axes of its guide: basal area over mean diameter, with the lines of the guide
"""

from collections.abc import Sequence
from dataclasses import dataclass

from woodlot.answers.chart_types import Guide, Size
from woodlot.map import paint
from woodlot.map.drawing import line, n, rect, text
from woodlot.paper import figures
from woodlot.say.words import cut_short

__all__ = ["ROW_PX", "FullRow", "fullness", "guide", "structure"]

ROW_PX = 25.0
#: Shades of the zones, darker as they are fuller.
SHADES = ("#FFFFFF", "#F3F1E8", "#E2E8DC", "#E0D2BC")
LEFT, RIGHT, TOP = 238.0, 680.0, 20.0


@dataclass(frozen=True)
class FullRow:
    """A row of ``fullness``: a stand, how full it is with its range, what a cut should leave, after it, in 10 and in 20
    years; ``none``: the words where there is no number or no range.
    """

    id: str
    name: str
    none: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    keep: float | None = None
    after: float | None = None
    later: tuple[float, float] = (0.0, 0.0)


def fullness(rows: Sequence[FullRow], zones: Sequence[tuple[float, str]], prefix: str = "f-") -> str:
    """One row a stand on one axis, percent of a full stand.

    zones: (upper end, name) of shaded zones from 0 on; the last one's end is ignored. prefix: put before the names of
    patterns, so that several charts can share one page.
    """
    values = [v for r in rows if r.value is not None for v in (r.value, r.high or 0.0, *r.later)]
    marks = figures.ticks(max([*values, *(z[0] for z in zones[:-1]), 100.0]), 4)
    scale = (RIGHT - LEFT) / marks[-1]
    bottom = TOP + ROW_PX * len(rows)
    body, start = [], 0.0
    for i, (end, name) in enumerate(zones):
        stop = marks[-1] if i == len(zones) - 1 else end
        shade = SHADES[i % len(SHADES)]
        body.append(rect(LEFT + start * scale, TOP, (stop - start) * scale, bottom - TOP, shade))
        body.append(text(LEFT + (start + stop) / 2 * scale, 13, name, 12, bold=True))
        start = stop
    for i, r in enumerate(rows):
        y = TOP + ROW_PX * i
        body.append(line(f"M0 {n(y + ROW_PX)}H{n(RIGHT)}", figures.GRID, 1))
        body.append(text(0, y + 16, r.id, 12, anchor="start", bold=True))
        body.append(text(24, y + 16, cut_short(r.name, 34), 12, anchor="start"))
        body.append(_row(r, y, scale, prefix))
    for m in marks:
        body.append(text(LEFT + m * scale, bottom + 15, f"{m:.0f}%" if m else "0", 12, paint.GRAY))
    body += _legend(bottom + 36, any(r.after is not None for r in rows))
    return figures.svg(700, bottom + 42, "How full each stand is, percent of a full stand", body, prefix)


def _row(r: FullRow, top: float, scale: float, prefix: str) -> str:
    if r.value is None:
        return figures.bare(LEFT, RIGHT, top + ROW_PX / 2, r.none, prefix)
    y, low_y = top + 8.0, top + 18.5
    x = LEFT + r.value * scale
    out = ""
    if r.keep is not None:
        at = LEFT + r.keep * scale
        out += line(f"M{n(at)} {n(top + 1)}V{n(top + ROW_PX - 1)}", paint.INK, 1.4, dash="2 2.5")
    if r.low is not None and r.high is not None:
        a, b = LEFT + r.low * scale, LEFT + r.high * scale
        out += line(f"M{n(a)} {n(y)}H{n(b)}M{n(a)} {n(y - 3.5)}v7M{n(b)} {n(y - 3.5)}v7", paint.INK, 1.6)
    elif r.none:
        out += text(x + 9, y + 4, r.none, 12, paint.GRAY, "start")
    out += figures.dot(x, y)
    ten, twenty = (LEFT + v * scale for v in r.later)
    first = x if r.after is None else LEFT + r.after * scale
    ends = (min(first, ten, twenty), max(first, ten, twenty)) if r.after is not None else sorted((ten, twenty))
    out += line(f"M{n(ends[0])} {n(low_y)}H{n(ends[1])}", paint.GRAY, 1)
    out += _square(twenty, low_y) + _ring(ten, low_y)
    return out + (figures.triangle(first, low_y) if r.after is not None else "")


def _ring(x: float, y: float) -> str:
    return f'<circle cx="{n(x)}" cy="{n(y)}" r="3.8" fill="#FFFFFF" stroke="{paint.INK}" stroke-width="1.5"/>'


def _square(x: float, y: float) -> str:
    return rect(x - 3.6, y - 3.6, 7.2, 7.2, "#FFFFFF", paint.INK, 1.5)


def _legend(y: float, cut: bool) -> list[str]:
    signs = [(figures.dot, "today, with range", 132.0)]
    signs += [(figures.triangle, "if it is thinned now", 142.0)] if cut else []
    signs += [(_ring, "10 years on", 96.0), (_square, "20 years on", 96.0)]
    out, x = [], 6.0
    for sign, words, wide in signs:
        out.append(sign(x, y - 4) + text(x + 11, y, words, 12, paint.GRAY, "start"))
        x += wide
    out.append(line(f"M{n(x)} {n(y - 11)}v14", paint.INK, 1.4, dash="2 2.5"))
    return [*out, text(x + 8, y, "what a cut should leave", 12, paint.GRAY, "start")]


def structure(classes: Sequence[Size], width: float = 340.0, prefix: str = "u-") -> str:
    """Trees an acre by size: white what stays, hatched what goes, and the structure to keep as a stepped line.

    classes: smallest first, in steps of 2 in.
    """
    known = [c for c in classes if c.now >= 0.05 or c.goal > 0]
    least, most_in = known[0].class_in, known[-1].class_in
    marks = figures.ticks(max(max(c.now, c.goal) for c in known), 3)
    left, right, top, bottom = 28.0, width - 6.0, 8.0, 108.0
    gap = (right - left) / ((most_in - least) / 2 + 1)
    scale = (bottom - top) / marks[-1]
    body = figures.axes(marks, left, right, top, bottom)
    by = {c.class_in: c for c in known}
    way = []
    for i in range(int((most_in - least) / 2) + 1):
        size, x = least + 2 * i, left + gap * i
        c = by.get(size, Size(size, 0.0, 0.0, 0.0))
        high, gone = c.now * scale, c.take * scale
        if c.now > 0:
            body.append(rect(x + 2, bottom - high, gap - 4, high, "#FFFFFF", paint.INK, 1.2))
        if gone > 0.3:
            y = bottom - high
            body.append(rect(x + 2, y, gap - 4, gone, f"url(#{prefix}hatch-ink)", paint.INK, 1.2))
        level = bottom - c.goal * scale
        way.append(f"{n(x)} {n(level)}H{n(x + gap)}")
        if i % 2 == 0 or gap > 22:
            body.append(text(x + gap / 2, bottom + 15, f"{size:.0f}", 12, paint.GRAY))
    body.append(line("M" + "L".join(way), paint.INK, 2.2))
    return figures.svg(width, bottom + 20, "Trees an acre by diameter, and the structure to keep", body, prefix)


def guide(of: Guide, width: float = 340.0, prefix: str = "g-") -> str:
    """One stand on its guide: lines of basal area over mean diameter, and the stand's marks over the years."""
    points = [(p.qmd_in, p.basal, p.when) for p in of.points if p.qmd_in]
    lines = of.lines
    sizes = [size for size, _, _ in points]
    low, high = max(4.0, min(sizes) - 3.0), min(20.0, max(sizes) + 3.0)
    shown = [[(x, y) for x, y in one.points if low <= x <= high] for one in lines]
    marks = figures.ticks(max([y for one in shown for _, y in one] + [basal for _, basal, _ in points]), 3)
    left, right, top, bottom = 34.0, width - 96.0, 8.0, 148.0
    wide, scale = (right - left) / (high - low), (bottom - top) / marks[-1]
    body = figures.axes(marks, left, right, top, bottom)
    spots: list[float] = []
    for one, at in sorted(zip(lines, shown, strict=True), key=lambda pair: -pair[1][-1][1] if pair[1] else 0.0):
        if len(at) < 2:
            continue
        body.append(
            line(
                "M" + "L".join(f"{n(left + (x - low) * wide)} {n(bottom - y * scale)}" for x, y in at), paint.GRAY, 1.2
            )
        )
        end = bottom - at[-1][1] * scale + 4
        end = max(end, spots[-1] + 13.0) if spots else end
        spots.append(end)
        body.append(text(right + 4, end, _short(one.name, one.seen), 12, paint.GRAY, "start"))
    spots_of = [(left + (size - low) * wide, bottom - basal * scale, when) for size, basal, when in points]
    signs = {"today": figures.dot, "after the cut": figures.triangle, "in 10 years": _ring, "in 20 years": _square}
    later = [s for s in spots_of if s[2] != "today"]
    body.append(line("M" + "L".join(f"{n(x)} {n(y)}" for x, y, _ in later), paint.INK, 1))
    body += [signs[when](x, y) for x, y, when in reversed(spots_of)]
    step = 2 if high - low <= 10 else 4
    first = int(-(-low // step)) * step
    for inches in range(first, int(high) + 1, step):
        body.append(text(left + (inches - low) * wide, bottom + 15, f"{inches}", 12, paint.GRAY))
    return figures.svg(width, bottom + 20, "The stand on its stocking guide", body, prefix)


def _short(name: str, seen: str) -> str:
    head = name.partition(":")[0].split("(")
    words = f"{head[0].strip()} {head[1].rstrip(')')}" if len(head) > 1 else head[0].strip()
    words = {"as dense as can be 100%": "fullest, 100%"}.get(words, words)
    return words.replace(" above ", ", ").replace(" under ", ", ") + (" †" if "memory" in seen else "")
