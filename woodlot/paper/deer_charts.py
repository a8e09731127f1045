"""The deer in charts, drawn to hold up photocopied in gray: shared marks as in ``figures``.

risk    chance in 100 against does taken; beside each take the same chance when only the neighbors hunt
meat    pounds a year against the share of does taken: the flat top, and the slow slide beyond it
"""

from collections.abc import Sequence

from woodlot.answers.chart_types import RiskBar
from woodlot.deer.answer import Ends, LongRun
from woodlot.map import paint
from woodlot.map.drawing import line, n, rect, text
from woodlot.paper.figures import axes, dot, svg, ticks

__all__ = ["meat", "risk"]


def risk(rows: Sequence[RiskBar], prefix: str = "k-") -> str:
    """Chance in 100 against does taken, the family's share first; bars are assumptions.

    The white dot beside each take is the herd that only the neighbors hunt; the black dot above it is what the family
    adds.
    """
    marks = ticks(max([*(r.high for r in rows), *(r.none.high for r in rows), 10.0]))
    left, right, top, bottom = 44.0, 334.0, 8.0, 126.0
    scale = (bottom - top) / marks[-1]
    gap = (right - left) / max(len(rows), 1)
    body = []
    for i, r in enumerate(rows):
        if r.plan:
            middle = left + gap * (i + 0.5)
            body.append(rect(middle - gap / 2, top, gap, bottom - top, paint.BAND))
            body.append(text(middle, top + 14, "plan", 12, bold=True))
    body += axes(marks, left, right, top, bottom)
    for i, r in enumerate(rows):
        x = left + gap * (i + 0.5)
        body.append(_bar(r.none, x - 9.0, bottom, scale, 3, "2 2"))
        body.append(_white(x - 9.0, bottom - r.none.value * scale))
        body.append(_bar(r, x + 9.0, bottom, scale, 5, None))
        body.append(dot(x + 9.0, bottom - r.value * scale))
        body.append(text(x, bottom + 17, "share" if r.share else f"{r.does}", 13, bold=True))
        if not r.share:
            body.append(text(x, bottom + 32, f"{round(r.meat_lb, -1):.0f} lb", 12, paint.GRAY))
    body.append(text(0, bottom + 17, "does", 12, paint.GRAY, "start"))
    body.append(text(0, bottom + 32, "meat", 12, paint.GRAY, "start"))
    y = bottom + 52
    body.append(dot(left + 8, y - 4) + text(left + 18, y, "you too", 12, anchor="start"))
    body.append(_white(left + 88, y - 4) + text(left + 98, y, "neighbors hunt, you do not", 12, anchor="start"))
    return svg(
        340, 184, "Chance that the herd halves, by does taken, beside the chance when only neighbors hunt", body, prefix
    )


def _bar(r: RiskBar | Ends, x: float, bottom: float, scale: float, half: float, dash: str | None) -> str:
    a, b = bottom - r.low * scale, bottom - r.high * scale
    ends = line(f"M{n(x - half)} {n(a)}h{n(2 * half)}M{n(x - half)} {n(b)}h{n(2 * half)}", paint.INK, 1.4)
    return ends + line(f"M{n(x)} {n(a)}V{n(b)}", paint.INK, 1.4 if dash else 1.8, dash=dash or "")


def _white(x: float, y: float) -> str:
    return f'<circle cx="{n(x)}" cy="{n(y)}" r="4.5" fill="#FFFFFF" stroke="{paint.INK}" stroke-width="1.8"/>'


def meat(series: LongRun, prefix: str = "m-") -> str:
    """Pounds of doe meat a year against does taken of a hundred: in the first ten years (dashed), in the long run.

    The shaded ground is the flat top; where the lines part, the herd slides.
    """
    shares, first, settled = series.share_pct, series.first_lb, series.settled_lb
    marks = ticks(max([*first, *settled, 1.0]))
    left, right, top, bottom = 44.0, 256.0, 22.0, 130.0
    scale, wide = (bottom - top) / marks[-1], (right - left) / (shares[-1] or 1.0)

    def way(values: Sequence[float]) -> str:
        spots = (f"{n(left + s * wide)} {n(bottom - v * scale)}" for s, v in zip(shares, values, strict=True))
        return "M" + "L".join(spots)

    a, b = (left + x * wide for x in series.flat_pct)
    body = [rect(a, top, max(b - a, 4.0), bottom - top, paint.BAND)]
    body.append(text((a + b) / 2, top - 7, "flat top", 12, bold=True))
    body += axes(marks, left, right, top, bottom)
    body.append(line(way(first), paint.INK, 1.8, dash="6 4"))
    body.append(line(way(settled), paint.INK, 2.4))
    ends = [(first[-1], ("the first", "ten years"), False), (settled[-1], ("in the", "long run"), True)]
    for value, words, bold in ends:
        y = min(bottom - value * scale, bottom - 12)
        body += [text(right + 6, y + 4 + 13 * k, w, 12, anchor="start", bold=bold) for k, w in enumerate(words)]
    far = int(len(shares) * 0.6)
    slide = bottom - settled[far] * scale - 12
    body.append(text(left + shares[far] * wide, slide, "slow slide", 12, bold=True))
    now = series.now_pct
    if 0 <= now <= shares[-1]:
        x, y = left + now * wide, bottom + 1
        arrow = f"M{n(x)} {n(y)}v8M{n(x - 4)} {n(y + 5)}L{n(x)} {n(y)}L{n(x + 4)} {n(y + 5)}"
        body.append(line(arrow, paint.INK, 1.6))
        body.append(text(x, bottom + 35, "now", 12, bold=True))
    for s in (0.0, 5.0, 10.0, 15.0):
        if s <= shares[-1]:
            body.append(text(left + s * wide, bottom + 20, f"{s:g}", 12, paint.GRAY))
    body.append(text(left, bottom + 52, "does taken each fall of every 100, by everybody", 12, paint.GRAY, "start"))
    return svg(340, 188, "Doe meat a year against the share of does taken", body, prefix)
