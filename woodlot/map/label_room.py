"""Room on a parcel shared out at a few scales: note tags, deer marks, and the words of each question.

share(layers, parcel)     places by scale, from the layers built so far
"""

from typing import Any

import numpy as np

from woodlot.map import labels
from woodlot.map.drawing import Sheet

__all__ = ["SCALES_PX", "share"]

#: Lengths in pixels of a parcel's longer side at which room is shared out; a screen uses the next one below.
SCALES_PX = (230, 275, 325, 375, 450, 560, 750, 1120, 2240)
#: Tags of a parcel, the newest: more find no room on a sheet, and a phone draws them slowly.
MOST_TAGS = 300
#: Deer plots closer than this on the screen are drawn as dots and filled boxes.
CLOSE_PX = 34.0
#: ... and if any two circles would touch.
TOUCH_PX = 24.0


def share(layers: dict[str, Any], parcel: dict[str, Any]) -> dict[str, Any]:
    """At each scale: sides of note tags, whether deer plots are dots, where their shares stand, and the stands' words.

    Words are placed twice where there are deer plots: ``words`` keep off them, ``bare`` hold when deer sign is off.
    """
    import shapely

    (south, west), (north, east) = parcel["bounds"]
    stands = [s for s in layers["stands"] if s["parcel"] == parcel["id"] and s["id"] in layers["shapes"]["stands"]]
    outlines = [shapely.geometry.shape(layers["shapes"]["stands"][s["id"]]) for s in stands]
    deer = [p for p in layers["deer"] if p["parcel"] == parcel["id"]]
    notes = [i for i, n in enumerate(layers["notes"]) if n["parcel"] == parcel["id"] and n["lon"] is not None]
    notes = sorted(notes, key=lambda i: layers["notes"][i]["iso"], reverse=True)[:MOST_TAGS]
    first = Sheet.fit((west, south, east, north), 1000.0)
    inside = [labels.spots(_drawn(g, first), 21 if len(stands) <= 120 else 11) for g in outlines]
    out: dict[str, Any] = {}
    for long_px in SCALES_PX if len(stands) <= 120 else SCALES_PX[5::2]:
        sheet = Sheet.fit((west, south, east, north), long_px)
        drawn = labels.Outlines([_drawn(g, sheet) for g in outlines], [p * (long_px / 1000.0) for p in inside])
        places = [_place(sheet, layers["notes"][i]) for i in notes]
        fixed = _feature_boxes(sheet, layers, parcel["id"])
        dots, plots = _plot_boxes(sheet, deer)
        sides, taken = labels.tag_boxes(places, np.vstack([plots, fixed]))
        tags = [(place, side) for place, side in zip(places, sides, strict=True) if side is not None]
        shares, taken = ([], taken) if dots else _share_boxes(sheet, deer, taken)
        out[str(long_px)] = {
            "dots": dots,
            "shares": shares,
            "tags": [[i, side] for i, side in zip(notes, sides, strict=True) if side is not None],
            "words": _words(layers, stands, drawn, sheet, taken),
        }
        if deer:
            boxes = [labels.tag_box(*place, side) for place, side in tags]
            bare = np.vstack([fixed, np.array(boxes, dtype=float).reshape(-1, 4)])
            out[str(long_px)]["bare"] = _words(layers, stands, drawn, sheet, bare)
    return out


def _place(sheet: Sheet, note: dict[str, Any]) -> tuple[float, float]:
    x, y = sheet.px(note["lon"], note["lat"])
    return float(x), float(y)


def _words(
    layers: dict[str, Any], stands: list[dict], drawn: labels.Outlines, sheet: Sheet, taken: np.ndarray
) -> dict[str, list]:
    """For each question (stand, longitude, latitude, size) of the words that find room."""
    out: dict[str, list] = {}
    done: dict[tuple, list] = {}
    for q in layers["questions"]:
        sizes = tuple(_sizes(s["marks"][q["key"]][1], s["name"]) for s in stands)
        if sizes not in done:
            spots = labels.word_boxes(drawn, sizes, taken)
            done[sizes] = [
                [s["id"], *(round(v, 6) for v in sheet.degrees(spot[0], spot[1])), spot[2]]
                for s, spot in zip(stands, spots, strict=True)
                if spot is not None
            ]
        out[q["key"]] = done[sizes]
    return out


def _drawn(shape: Any, sheet: Sheet) -> Any:
    """The largest piece of a shape in pixels."""
    import shapely

    shape = shapely.transform(shape, lambda xy: np.column_stack(sheet.px(*xy.T)))
    return max(shape.geoms, key=lambda g: g.area) if shape.geom_type == "MultiPolygon" else shape


def _sizes(big: str, small: str) -> tuple[tuple[float, float], ...]:
    """Width and height of a stand's words: large over small, the large word alone, the same word in small type."""
    if not big:
        return ((len(small) * 7.2 + 16, 24.0),)
    wide = len(big) * (13.0 if len(big) <= 4 else 8.4) + 8
    tight = len(big) * (8.0 if len(big) <= 4 else 7.0) + 6
    return (max(wide, len(small) * 7.2 + 8), 44.0), (max(wide, 24.0), 26.0), (max(tight, 14.0), 17.0)


def _plot_boxes(sheet: Sheet, plots: list[dict[str, Any]]) -> tuple[bool, np.ndarray]:
    """Whether deer plots are drawn as dots, and what they take."""
    if not plots:
        return False, np.zeros((0, 4))
    x, y = sheet.px(np.array([p["lon"] for p in plots]), np.array([p["lat"] for p in plots]))
    apart = np.hypot(x[:, None] - x[None, :], y[:, None] - y[None, :])
    np.fill_diagonal(apart, np.inf)
    nearest = apart.min(axis=1)
    dots = bool(nearest.min() < TOUCH_PX or np.median(nearest) < CLOSE_PX)
    half = 6.0 if dots else 11.5
    return dots, np.column_stack([x - half, y - half, x + half, y + half])


def _share_boxes(sheet: Sheet, plots: list[dict[str, Any]], taken: np.ndarray) -> tuple[list[list[float]], np.ndarray]:
    """Where the shares of browsed stems stand beside their plots (right, down in pixels), and what is taken then."""
    shares: list[list[float]] = []
    for i, p in enumerate(plots):
        if p["browsed_pct"] is None:
            continue
        x, y = sheet.px(p["lon"], p["lat"])
        beside = [(0.0, 23.0), (0.0, -23.0), (32.0, 0.0), (-32.0, 0.0)] if p["groups"] is not None else [(0.0, 0.0)]
        boxes = np.array([(x + a - 19, y + b - 11, x + a + 19, y + b + 11) for a, b in beside])
        free = np.flatnonzero(~labels.hits(boxes, taken, 0.0)) if p["groups"] is not None else [0]
        if len(free):
            shares.append([i, *beside[free[0]]])
            taken = np.vstack([taken, boxes[free[0]]])
    return shares, taken


def _feature_boxes(sheet: Sheet, layers: dict[str, Any], pid: str) -> np.ndarray:
    boxes = []
    for f in layers["features"]:
        if pid in f["parcels"] and f["at"] and (f["kind"] == "home_ground" or f["shape"]["type"] == "Point"):
            x, y = sheet.px(*f["at"])
            home = f["kind"] == "home_ground"
            wide = sheet.px(f["box"][2], f["at"][1])[0] - sheet.px(f["box"][0], f["at"][1])[0]
            half = len(f["words"]) * 3.3 if home and wide > len(f["words"]) * 6.4 + 8 else 13.0 if home else 9.0
            boxes.append((x - half, y - 12, x + half, y + (26 if home else 9)))
    return np.array(boxes, dtype=float).reshape(-1, 4)
