"""Answers and geo frames -> layers and the words in their boxes, one plain structure.

``build(answers, parcels, stands, features)`` gives what the page, the still drawings and the report are made from:
parcels, stands with a mark and a card each, notes (of a long ledger the older ones by year), deer plots, other
features, questions with their legends, the sentence for each parcel and question, and at each of a few scales the
places where words and tags find room. No folium, no files, no clock.
"""

from collections.abc import Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from woodlot.answers.note_types import Note
from woodlot.answers.types import Answers
from woodlot.errors import InputError
from woodlot.land.parcels import acres_geodesic
from woodlot.map import cards, ground_questions, label_room, map_backdrop, questions
from woodlot.map.map_words import amount, counted, day, long_day, odds
from woodlot.plan.cautions import SIGN, STAND, TAKEN
from woodlot.say.words import NBSP, NO_PARCEL, cut_short

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["FOOT", "build"]

#: Questions that tell of deer.
OF_DEER = ("browse", "food")
#: Of a parcel's longer side: so much ground around it is in every drawing of it.
IN_SIGHT = 0.025
#: What level rules on the map mean.
SHUT = "no cut, your wish"
FOOT = "Lines on this map are not survey lines. Find the real line before you cut near it."


def build(
    answers: Answers,
    parcels: "gpd.GeoDataFrame",
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame | None" = None,
    pictures: dict[str, dict[str, dict[str, Any]]] | None = None,
    contours: "gpd.GeoDataFrame | None" = None,
    group: Sequence[Any] = (),
) -> dict[str, Any]:
    """Everything that is drawn or written, as lists and mappings of plain values.

    Parameters
    ----------
    answers
        All that was answered for the place.
    parcels, stands, features
        Geo frames in longitude and latitude with parcel_id, stand_id, kind and name. Features may be missing.
    pictures, contours, group
        As for ``woodlot.map.page.html``.

    Returns
    -------
    dict with head, mind (with deer), questions, parcels, stands, notes, older, deer, features, years, shapes (GeoJSON
    by id), group (outlines) and room.

    Raises
    ------
    InputError
        If a parcel of the answers has no outline.
    """
    import geopandas as gpd

    shapes = {"parcels": _shapes(parcels, "parcel_id"), "stands": _shapes(stands, "stand_id")}
    missing = [p.parcel_id for p in answers.parcels if p.parcel_id not in shapes["parcels"]]
    if missing or not answers.parcels:
        raise InputError(f"no outline for parcel {', '.join(missing)}" if missing else "there is no parcel to draw")
    stems = _stems(answers, stands)
    shown = map_backdrop.pictures(pictures, [p.parcel_id for p in answers.parcels])
    asked = questions.first_questions(answers) + ground_questions.further_questions(answers, stems)
    asked += map_backdrop.views(answers, shown)
    mind = _mind(answers)
    notes = _notes(answers, parcels, mind["taken"])
    deer = _deer(answers, parcels)
    drawn_parcels = _parcels(answers, parcels, asked, group)
    out = {
        "head": _head(answers),
        "work": _work(answers),
        "mind": mind,
        "questions": [_question(q, mind["sign"]) for q in asked],
        "parcels": drawn_parcels,
        "stands": _stands(answers, asked, notes, stems),
        "notes": notes,
        "years": sorted({n["year"] for n in notes}),
        "older": _older(answers),
        "deer": deer,
        "features": _features(features, parcels, mind["stand"]),
        "shapes": shapes,
        "pictures": shown,
        "contours": map_backdrop.contour_lines(contours),
        "group": map_backdrop.geojson(gpd.GeoDataFrame(geometry=list(group), crs=4326)) if len(group) else [],
    }
    out["room"] = {p["id"]: label_room.share(out, p) for p in drawn_parcels}
    return out


def _shapes(frame: "gpd.GeoDataFrame", key: str) -> dict[str, Any]:
    """GeoJSON geometry by id, rounded to six decimals (a tenth of a meter)."""
    known = frame[frame.geometry.notna() & ~frame.geometry.is_empty]
    return dict(zip(map(str, known[key]), map_backdrop.geojson(known), strict=True))


def _head(answers: Answers) -> dict[str, str]:
    acres, cord = sum(p.acres for p in answers.parcels), answers.base.solid_cuft_per_cord
    counted_as = f"A full cord is 4 × 4 × 8 feet, counted as {cord:.4g} cubic feet of solid wood without bark."
    return {
        "name": answers.name,
        "acres": f"{amount(acres, 1)}{NBSP}acres in {counted(len(answers.parcels), 'parcel')}",
        "made": f"made {long_day(answers.as_of)}",
        "winter": answers.winter,
        "headline": answers.headline,
        "odds": odds(answers.level),
        "cord": " ".join((counted_as, *(answers.base.woodpile or ()), *(answers.base.moved or ()))),
        "foot": FOOT,
    }


def _mind(answers: Answers) -> dict[str, str]:
    """What to mind with deer, in short: where signs are shown, in a stand, of a deer taken, and all of it."""
    short = {one.where: one.text for one in answers.deer_cautions or ()}
    shown = {"law": SIGN[:1], "sign": SIGN, "stand": STAND, "taken": TAKEN, "all": tuple(short)}
    return {name: " ".join(short[topic] for topic in topics if topic in short) for name, topics in shown.items()}


def _work(answers: Answers) -> dict[str, Any]:
    """The work of this winter: the decision, each task with its stand, and what is said of all of them."""
    of = answers.this_winter
    tasks = () if of is None else of.tasks
    return {
        "headline": answers.headline,
        "tasks": [{"order": t.order, "stand": t.stand_id, "title": t.title, "words": t.words} for t in tasks],
        "after": [] if of is None else [said for said in (of.words, of.fits, of.marked_words) if said],
    }


def _question(q: questions.Question, mind: str) -> dict[str, Any]:
    steps = [
        asdict(s.paint)
        | {
            "text": s.text,
            "letter": s.letter,
            "acres": amount(s.acres, 1) if s.acres is not None else "",
            "dots": s.dots,
        }
        for s in q.steps
    ]
    words = {name: getattr(q, name) for name in ("key", "ask", "short", "unit", "column")}
    return words | {"steps": steps, "hatched": q.hatched, "mind": mind if q.key in OF_DEER else ""}


def _short_names(names: list[str]) -> list[str]:
    first = [n.split()[0] if n.split() else n for n in names]
    return [f if first.count(f) == 1 and len(f) <= 12 else cut_short(n, 14) for f, n in zip(first, names, strict=True)]


def _parcels(
    answers: Answers, frame: "gpd.GeoDataFrame", asked: list[questions.Question], group: Sequence[Any]
) -> list[dict[str, Any]]:
    geometry = frame.set_index(frame["parcel_id"].astype(str)).geometry
    names = [p.name or p.parcel_id for p in answers.parcels]
    out = []
    for p, name, short in zip(answers.parcels, names, _short_names(names), strict=True):
        pid = p.parcel_id
        west, south, east, north = (float(v) for v in geometry[pid].bounds)
        long = max(east - west, north - south)
        reach = long * 0.25
        near = [k for k in geometry.index if k != pid and geometry[k].distance(geometry[pid]) < reach]
        miles = p.miles_from_home
        contacts = [c.rstrip(".") for c in p.contacts]
        away = "" if miles is None or p.is_home else f"{amount(miles, 1)}{NBSP}mi"
        if p.is_home:
            where = "home"
        elif contacts:
            where = _meets(contacts[0], name, names)
        else:
            where = f"{away} away" if away else ""
        acres = f"{amount(p.acres, 1)}{NBSP}acres"
        deed = p.deed_acres
        out.append(
            {
                "id": pid,
                "name": name,
                "short": short,
                "home": p.is_home,
                "acres": acres,
                "deed": f"deed says {amount(deed, 1)}" if deed else "",
                "miles": away,
                "where": where,
                "contacts": contacts,
                "walked": p.lines_walked or "",
                "bounds": [[round(south, 6), round(west, 6)], [round(north, 6), round(east, 6)]],
                "near": near,
                "around": [i for i, shape in enumerate(group) if shape.distance(geometry[pid]) < IN_SIGHT * long],
                "said": {q.key: asdict(q.findings[pid]) for q in asked},
                "here": {q.key: _here(q, answers, pid) for q in asked},
                "shut": SHUT if any(map(questions.in_part_shut, questions.of_parcel(answers, pid))) else "",
            }
        )
    return out


def _meets(words: str, name: str, names: list[str]) -> str:
    """A contact in two or three words: which parcel, and whether only at a corner."""
    other = next((k for k in sorted(names, key=len, reverse=True) if k != name and k in words), "another parcel")
    return f"corner to {other}" if "corner" in words else f"beside {other}"


def _here(q: questions.Question, answers: Answers, pid: str) -> list[int]:
    """Steps of the legend that this parcel holds; -1 for the hatch."""
    marks = [q.marks[s.stand_id] for s in questions.of_parcel(answers, pid)]
    steps = sorted({m.step for m in marks if m.step is not None})
    return steps + ([-1] if any(m.hatch for m in marks) else [])


def _stands(
    answers: Answers, asked: list[questions.Question], notes: list[dict[str, Any]], stems: ground_questions.Stems
) -> list[dict[str, Any]]:
    names = {p.parcel_id: p.name for p in answers.parcels}
    mine: dict[str, list[Note]] = {}
    for raw, note in zip(answers.notes, notes, strict=True):
        if note["stand"]:
            mine.setdefault(note["stand"], []).append(raw)
    out = []
    for s in answers.stands:
        sid, pid = s.stand_id, str(s.parcel_id)
        recent = sorted(mine.get(sid, []), key=lambda n: n.date, reverse=True)[:6]
        out.append(
            {
                "id": sid,
                "parcel": pid,
                "name": f"stand {sid}",
                "plate": questions.in_part_shut(s),
                "marks": {q.key: [q.marks[sid].step, q.marks[sid].big, q.marks[sid].hatch] for q in asked},
                "card": cards.stand_card(s, names.get(pid, NO_PARCEL), recent, stems.get(sid, (0.0, 0.0))),
            }
        )
    return out


def _inside(lon: list[float | None], lat: list[float | None], frame: "gpd.GeoDataFrame", key: str) -> list[str]:
    """For each point the id of the shape that holds it, or nothing."""
    import shapely

    ids = [str(k) for k in frame[key]]
    x = np.array([np.nan if v is None else v for v in lon], dtype=float)
    y = np.array([np.nan if v is None else v for v in lat], dtype=float)
    out = np.full(len(x), -1)
    for i, shape in enumerate(frame.geometry):
        if shape is not None and not shape.is_empty:
            out[(out < 0) & shapely.intersects_xy(shape, x, y)] = i
    return [ids[i] if i >= 0 else "" for i in out]


def _known(value: Any) -> float | None:
    return None if value is None or not np.isfinite(value) else round(float(value), 6)


def _notes(answers: Answers, frame: "gpd.GeoDataFrame", mind: str) -> list[dict[str, Any]]:
    raw = answers.notes
    inside = _inside([n.lon for n in raw], [n.lat for n in raw], frame, "parcel_id")
    names = {p.parcel_id: p.name for p in answers.parcels}
    out = []
    for n, within in zip(raw, inside, strict=True):
        pid, sid = within or n.parcel_id, n.stand_id
        where = f"stand {sid}, {names.get(pid, pid)}" if sid and pid else names.get(pid, pid) or "no place given"
        year = n.date[:4]
        out.append(
            {
                "date": day(n.date),
                "iso": n.date[:10],
                "year": year,
                "short": f"’{year[2:]}",
                "tag": n.tag,
                "title": cards.note_title(n),
                "parcel": pid,
                "stand": sid,
                "lon": _known(n.lon),
                "lat": _known(n.lat),
                "card": cards.note_card(n, where, mind),
            }
        )
    return out


def _older(answers: Answers) -> dict[str, Any] | None:
    """Older notes by year, where there are too many to be drawn one by one."""
    older = answers.older_notes
    if older is None:
        return None
    return {"words": older.words, "years": [[str(y.year), y.notes, y.words] for y in older.years]}


def _deer(answers: Answers, frame: "gpd.GeoDataFrame") -> list[dict[str, Any]]:
    raw = [p for p in answers.deer_plots if _known(p.lon) is not None and _known(p.lat) is not None]
    inside = _inside([p.lon for p in raw], [p.lat for p in raw], frame, "parcel_id")
    return [
        {
            "plot": p.plot_id,
            "line": p.line or p.plot_id,
            "lon": _known(p.lon),
            "lat": _known(p.lat),
            "groups": _known(p.groups),
            "browsed_pct": _known(p.browsed_pct),
            "parcel": within,
        }
        for p, within in zip(raw, inside, strict=True)
    ]


def _stems(answers: Answers, frame: "gpd.GeoDataFrame") -> dict[str, tuple[float, float]]:
    """Stems counted and browsed on the deer plots that lie in each stand, by stand_id (where stems were counted)."""
    raw = [p for p in answers.deer_plots if p.stems and p.browsed is not None]
    sums: dict[str, tuple[float, float]] = {}
    for p, sid in zip(raw, _inside([p.lon for p in raw], [p.lat for p in raw], frame, "stand_id"), strict=True):
        counted, bitten = sums.get(sid, (0.0, 0.0))
        sums[sid] = counted + float(p.stems or 0.0), bitten + float(p.browsed or 0.0)
    return sums


def _features(frame: "gpd.GeoDataFrame | None", parcels: "gpd.GeoDataFrame", mind: str) -> list[dict[str, Any]]:
    if frame is None or not len(frame):
        return []
    frame = frame[frame.geometry.notna() & ~frame.geometry.is_empty]
    out = []
    drawn = map_backdrop.geojson(frame)
    for kind, name, shape, written in zip(frame["kind"], frame["name"], frame.geometry, drawn, strict=True):
        within = [
            str(k)
            for k, g in zip(parcels["parcel_id"], parcels.geometry, strict=True)
            if g is not None and g.intersects(shape)
        ]
        polygon = shape.geom_type in ("Polygon", "MultiPolygon")
        words = str(name) if isinstance(name, str) and name else str(kind).replace("_", " ")
        if kind == "home_ground":
            words = "home ground" + (f", {amount(acres_geodesic(shape), 1)}{NBSP}acres" if polygon else "")
        at = shape.representative_point() if polygon else shape if shape.geom_type == "Point" else None
        out.append(
            {
                "kind": str(kind),
                "words": words,
                "shape": written,
                "at": [round(at.x, 6), round(at.y, 6)] if at is not None else None,
                "box": [round(float(v), 6) for v in shape.bounds],
                "parcels": within,
                "mind": mind if kind == "deer_stand" else "",
            }
        )
    return out
