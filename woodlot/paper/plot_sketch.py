"""A small map for the sheet of one plot: its stand, the walk, the way from the plot before, north and a scale bar.

sketch   the drawing as SVG
"""

from html import escape
from typing import Any

from woodlot.answers.plot_types import FirstPlots
from woodlot.map.drawing import FACE, Sheet, line, mercator, n, path, scale_bar, text
from woodlot.map.map_on_paper import plot_number

__all__ = ["sketch"]

INK, GRAY, PALE = "#000000", "#777777", "#EEEEEE"
MARGIN = 14.0


def sketch(plots: FirstPlots, at: int, shapes: dict[str, Any], width: float = 190.0, height: float = 158.0) -> str:
    """The map of the plot at place ``at`` of the walk; shapes: stand_id -> GeoJSON geometry of its outline."""
    plot = plots.plots[at]
    here = [p for p in plots.plots if p.round == plot.round]
    begin = next(one for one in plots.rounds if one.round == plot.round)
    stops = [(begin.lon, begin.lat), *((p.lon, p.lat) for p in here)]
    to = 1 + here.index(plot)
    outline = shapes[plot.stand_id]
    sheet = _fitted([*_corners(outline), stops[to - 1], stops[to]], width, height)
    xy = [sheet.px(*stop) for stop in stops]
    walked = "M" + "L".join(f"{n(x)} {n(y)}" for x, y in [*xy, xy[0]])
    (x0, y0), (x1, y1) = xy[to - 1], xy[to]
    body = [
        line(path(sheet, outline), INK, 1.4, PALE),
        line(walked, GRAY, 1, dash="4 3"),
        line(f"M{n(x0)} {n(y0)}L{n(x1)} {n(y1)}", INK, 2.4),
    ]
    for (x, y), name in zip(xy, ["", *(plot_number(p.plot_id) for p in here)], strict=True):
        body.append(_mark(x, y, name, (x, y) == (x1, y1)))
    long, feet = scale_bar(sheet.ft_per_px, width * 0.4)
    foot = height - 5
    body.append(
        line(f"M6 {n(foot - 4)}v4h{n(long)}v-4", INK, 1.2)
        + text(10 + long, foot, feet.split(",")[0], 10.5, anchor="start")
    )
    body.append(line(f"M{n(width - 12)} {n(height - 28)}l4 14l-4 -3l-4 3Z", INK, 0.8, INK))
    body.append(text(width - 12, height - 2, "N", 10.5))
    label = escape(f"Way to plot {plot.plot_id}", quote=True)
    return (
        f'<svg class="sketch" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {n(width)} {n(height)}" '
        f'width="{n(width)}" height="{n(height)}" role="img" aria-label="{label}" {FACE}>{"".join(body)}</svg>'
    )


def _corners(outline: dict[str, Any]) -> list[tuple[float, float]]:
    import shapely

    return [(float(x), float(y)) for x, y in shapely.get_coordinates(shapely.geometry.shape(outline))]


def _fitted(points: list[tuple[float, float]], width: float, height: float) -> Sheet:
    """A sheet on which all points lie within the margins, centered."""
    spots = [mercator(*point) for point in points]
    xs, ys = ([float(spot[k]) for spot in spots] for k in (0, 1))
    scale = min(
        (width - 2 * MARGIN) / max(max(xs) - min(xs), 1e-12), (height - 2.4 * MARGIN) / max(max(ys) - min(ys), 1e-12)
    )
    left = (min(xs) + max(xs)) / 2 - width / 2 / scale
    top = (min(ys) + max(ys)) / 2 + (height - MARGIN) / 2 / scale
    return Sheet(left, top, scale, sum(lat for _, lat in points) / len(points))


def _mark(x: float, y: float, name: str, own: bool) -> str:
    """A plot with its number, the sheet's own in ink; where the walk begins, a square."""
    if not name:
        return line(f"M{n(x - 4)} {n(y - 4)}h8v8h-8Z", INK, 1.4, "#FFFFFF")
    fill, ink = (INK, "#FFFFFF") if own else ("#FFFFFF", INK)
    ring = f"M{n(x - 7.5)} {n(y)}a7.5 7.5 0 1 0 15 0a7.5 7.5 0 1 0 -15 0"
    return line(ring, INK, 1.4, fill) + text(x, y + 4, name, 11, ink, bold=True)
