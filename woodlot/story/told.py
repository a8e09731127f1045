"""Pieces of the answers: plain numbers, notes, cautions, and which figures come from where."""

from typing import Any

import numpy as np
import pandas as pd

from woodlot import tables, words
from woodlot.estimate import Estimate, interval
from woodlot.plan import cautions as minding
from woodlot.plan import charts as growth_charts
from woodlot.plan import ledger

__all__ = [
    "GROUND",
    "at_most",
    "cautions",
    "charts",
    "cull_judged_pct",
    "entries",
    "half_width_pct",
    "heat",
    "heat_by_winter",
    "memory_and_sources",
    "notes",
    "number",
    "plain_cell",
    "stands_on_guides",
    "stock",
    "stocking_pct",
]

#: What is kept of the view from above, stand by stand.
GROUND = (
    "slope_pct",
    "slope_p90_pct",
    "facing",
    "canopy_mean_ft",
    "canopy_p95_ft",
    "canopy_over_30ft_pct",
    "strip_ac",
    "steep_ac",
    "wet",
    "workable_ac",
    "leave_sqft_per_ac",
    "words",
)
#: Tables that every plan rests on; their sources are named in the report, their rows from memory are marked.
TOPICS = (
    "volume_westfall_2024",
    "ratio_westfall_2024",
    "wood_properties_miles_2009",
    "height_diameter",
    "tree_bdft_wiant_1986",
    "beers_1964",
    "cord_solid",
    "defaults_tree",
    "defaults_stand",
    "defaults_tally",
    "defaults_cut",
    "cut_rules",
    "defaults_schedule",
    "growth_anchors",
    "growth_dbh_big_woods",
    "growth_mortality",
    "defaults_growth",
    "site_index_carmean_1989",
    "marking_species",
    "defaults_marking",
    "structures",
    "structure_arbogast_1957",
    "stocking_upper_lines",
    "job_months",
    "defaults_deer",
    "defaults_deer_region",
    "deer_defecation",
    "deer_herd_cases",
    "deer_home_range",
    "deer_browse_preference",
    "deer_meat_yield",
    "deer_weights",
    "deer_neighbor_take",
    "deer_browse_production",
    "deer_land_cover_browse",
    "deer_winter_loss",
    "wood_cautions",
    "water_strips",
    "water_leave",
    "defaults_water",
    "land_cover_codes",
    "slope_classes",
    "defaults_heating",
    "drying_rates",
    "defaults_drying",
    "climate_months",
    "decay_classes",
    "stoves",
    "fuels",
)


def number(value: Any) -> float | None:
    """A float, or None for what is missing."""
    return None if value is None or pd.isna(value) else float(value)


def plain_cell(value: Any) -> Any:
    """A cell of a table as JSON can say it: numbers as floats, missing as None, yes and no, words."""
    if isinstance(value, str):
        return value
    if pd.isna(value):
        return None
    return bool(value) if isinstance(value, (bool, np.bool_)) else float(value)


def heat(found: dict[str, Any]) -> dict[str, Any]:
    """What the house needs, what is dry, what is short; estimates as plain mappings. ``found``: ``Season.heat``."""
    return {k: words.plain(v) if isinstance(v, Estimate) else v for k, v in found.items() if k != "stacks"}


def at_most(value: float, unit: str) -> dict[str, Any]:
    """A ceiling told like an estimate: a number without a range, since it is a limit and not a guess."""
    why = "a limit, not an estimate"
    return {
        "value": float(value),
        "low": None,
        "high": None,
        "unit": unit,
        "kind": "none",
        "level": None,
        "n": 0,
        "why": why,
    }


def half_width_pct(estimate: Any) -> float | None:
    """Half of the range over the number [%], None without a range."""
    if estimate is None or not estimate.value or estimate.low is None:
        return None
    return 100.0 * (estimate.high - estimate.low) / (2.0 * estimate.value)


def cull_judged_pct(trees: pd.DataFrame) -> float:
    """Share of live tallied trees whose rot was judged [%]."""
    live = trees[trees["alive"]]
    return float(100.0 * live["cull_judged"].mean()) if len(live) else 0.0


def charts(out: dict[str, Any]) -> dict[str, Any]:
    """Series that the report draws: does taken against the chance in 100 that the herd halves, and meat a year."""
    told = out["deer"]["risk"]
    rows = [
        {"does": r["does"], "plan": r["plan"], "meat_lb": r["meat_lb"]["value"] or 0.0}
        | {k: 100.0 * r["halved_10"][k] for k in ("value", "low", "high")}
        | {"none": _nobody(told)}
        for r in told["takes"]
    ]
    return {"risk": rows, "meat": told["meat"]} if rows else {"risk": rows}


def _nobody(risk: dict[str, Any]) -> dict[str, float]:
    """The same chance when nobody hunts at all; high: three fawns in ten fewer."""
    value, high = (100.0 * risk[k]["halved_10"] for k in ("no_hunting", "no_hunting_high"))
    return {"value": value, "low": value, "high": high}


def stock(series: dict[str, Any]) -> dict[str, Any]:
    """The stock over the years as the report draws it: the plan, and nothing cut beside it (dashed)."""
    if not any(series["planned"]):
        return {}
    title = "What stands in fifty years, if you go on so"
    kept = {"title": title, "years": series["years"], "plan": series["planned"], "plan_words": "as planned"}
    return {"stock": kept | {"heavier": series["uncut_mid"], "heavier_words": "nothing cut"}}


def stands_on_guides(found: Any) -> dict[str, Any]:
    """Each stand by its stocking guide, and uneven-aged ones by the structure to keep; ``found``: story.cutting."""
    series = {
        "fullness": growth_charts.fullness(found.woods, found.yearly),
        "structures": growth_charts.structures(found.woods, found.yearly),
    }
    return {k: v for k, v in series.items() if v}


def entries(planned: pd.DataFrame) -> dict[str, list[dict[str, Any]]]:
    """Every winter of the schedule by stand, the soonest first: winter ("2026–27"), acres, cords."""
    out: dict[str, list[dict[str, Any]]] = {}
    rows = planned.sort_values("period", kind="stable")
    for stand, when, acres, cords in zip(rows["stand_id"], rows["when"], rows["acres"], rows["cords"], strict=True):
        out.setdefault(stand, []).append({"winter": when.removeprefix("in winter "), "acres": acres, "cords": cords})
    return out


def heat_by_winter(out: dict[str, Any], entries: pd.DataFrame, winters: int = 5) -> dict[str, Any]:
    """Dry wood and the need of the coming winters: what is dry or drying now, what the plan cuts a winter earlier."""
    heat, need = out["heat"], out["heat"]["needed"]
    if need is None or need["value"] is None:
        return {}
    cut = entries.groupby("period")["cords"].sum()
    first = int(out["winter"][:4])
    stacked = [heat["dry_cords"] + heat["burned_cords"], heat["drying_cords"], heat["later_cords"]]
    rows, left = [], 0.0
    for i in range(winters):
        label = f"{(first + i) % 100:02d}–{(first + i + 1) % 100:02d}"
        here = float(stacked[i]) if i < len(stacked) else 0.0
        made = left + (float(cut.get(i - 1, 0.0)) if i else 0.0)
        rows.append({"winter": label, "stacked": here, "to_cut": made, "need": need})
        left = max(here + made - need["value"], 0.0)
    return {"heat": rows}


def stocking_pct(row: dict[str, Any]) -> dict[str, Any]:
    """How full a stand is, percent of full stocking (relative density), with the range of its plots."""
    share, se, n = number(row["relative_density"]), number(row["relative_density_se"]), int(row["plots"])
    if share is None:
        return words.plain(None) | {"unit": "percent", "why": "not measured"}
    return words.plain(interval(100 * share, "percent", se=None if se is None else 100 * se, df=max(n - 1, 1), n=n))


def notes(book: pd.DataFrame) -> list[dict[str, Any]]:
    """Lines of the ledger that stand (not replaced by a later one), for map and report."""
    if not len(book):
        return []
    frame = ledger.standing(book)
    wood = {"firewood", "stack", "burned", "sawlog", "post", "pole", "chips", "work", "planted"}
    out = []
    for row in frame.to_dict("records"):
        kind = row["kind"]
        tag = "deer" if kind == "deer" else "wood" if kind in wood else "seen"
        out.append(
            {
                "line": int(row["line"]),
                "date": pd.Timestamp(row["date"]).date().isoformat(),
                "kind": kind,
                "tag": tag,
                "amount": number(row["amount"]),
                "lon": number(row["lon"]),
                "lat": number(row["lat"]),
                **{
                    k: "" if pd.isna(row[k]) else str(row[k])
                    for k in ("text", "unit", "parcel_id", "stand_id", "sex_age", "who")
                },
            }
        )
    return out


def cautions(out: dict[str, Any]) -> list[dict[str, str]]:
    """Cautions of the stands to be cut this winter, then the general ones."""
    told = [
        {"where": f"stand {s['stand_id']}", "text": text}
        for s in out["stands"]
        if s["cut"]["this_winter"]
        for text in s["cautions"]
    ]
    lines = [
        {"where": "near a line", "text": minding.words("line")},
        {"where": "felling", "text": minding.words("felling")},
    ]
    return told + lines


def memory_and_sources(region: str) -> tuple[list[str], list[dict[str, str]]]:
    """Figures from memory in the tables a plan rests on, and the sources of all of them with their marks."""
    found, remembered = [], []
    for topic in TOPICS:
        frame = tables.table(topic, of=region)
        found.append(frame[["source", "seen"]])
        past = frame[frame["seen"] == "memory"]
        if len(past):
            label = next(
                (c for c in ("meaning", "what", "text", "species", "type", "name") if c in past), past.columns[0]
            )
            some = list(dict.fromkeys(past[label].astype(str)))
            remembered.append(f"{topic}: {'; '.join(some[:6])}{f'; and {len(some) - 6} more' if len(some) > 6 else ''}")
    marks = pd.concat(found).drop_duplicates().groupby("source")["seen"].agg(lambda s: ", ".join(sorted(s)))
    books = tables.table("sources", of="base").fillna("").set_index("key").to_dict("index")
    listed = [{"key": str(k), "text": _cite(books[k]), "seen": str(seen)} for k, seen in marks.items() if k in books]
    return remembered, listed


def _cite(book: dict) -> str:
    year = str(book["year"]).removesuffix(".0")
    parts = [f"{book['author']} {year}".strip(), str(book["title"]), str(book["series"]), str(book["publisher"])]
    return ", ".join(p for p in parts if p) + "."
