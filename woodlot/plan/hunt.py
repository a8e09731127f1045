"""The hunt: how many bucks and does at most this season, and why.

season          the whole deer answer for a place -> plain dict (density, ground, browse, take, meat, cautions)
deer_plots      pellet and browse plots together, for the map
taken_by_year   deer the family took by season, from bag and ledger

Call, from a place: ``season(place.parcels, pellets=place.pellets, browse=place.browse, bag=place.bag,
winters=place.winters, stands=place.stands, ledger=place.ledger, options=place.deer, limits=place.limits,
as_of=place.as_of, region=place.region)``. The signature is stable; every frame may be None or empty.

The rule. The doe rate that holds the herd is set on the low end of a three-year mean (one chance in five that the herd
is below it), and there is no doe while that mean is under 0.8 of the first three years. Both ends are shown: neighbors
take none, neighbors take the local rate; the take is set at the second. Chasing each year's count instead harvests its
noise.
"""

from collections.abc import Mapping
from datetime import date
from typing import Any

import pandas as pd

from woodlot.deer import browse as browsing
from woodlot.deer import meat, survey, take
from woodlot.deer.defaults import default
from woodlot.deer.herd import female_matrix, growth_rate, herd_rates, hold_rate
from woodlot.deer.range import deer_equivalents, deer_that_walk_there
from woodlot.estimate import LEVEL, Estimate
from woodlot.tables import table
from woodlot.words import plain, rounded

__all__ = ["deer_plots", "season", "taken_by_year"]

ANTLERLESS = ("doe", "yearling doe", "doe fawn", "buck fawn")
BUCKS = ("buck", "yearling buck")


def season(
    parcels,
    *,
    pellets: pd.DataFrame | None = None,
    browse: pd.DataFrame | None = None,
    bag: pd.DataFrame | None = None,
    winters: pd.DataFrame | None = None,
    stands=None,
    ledger: pd.DataFrame | None = None,
    options: Mapping[str, Any] | None = None,
    limits: Mapping[str, Any] | None = None,
    as_of: date,
    region: str = "lake_states",
    level: float = LEVEL,
) -> dict:
    """Everything said about deer for one place and the season of the year of ``as_of``.

    options (place.toml [deer]): goal ("hold", "grow"), leaf_off, groups_per_deer_per_day, neighbor_bucks_per_sqmi,
    neighbor_does_per_sqmi, home_range_ac, farmland_pct, buck_rate, weapon ("gun", "bow"), weeks_of_deep_snow,
    does_per_buck, fawns_per_doe, preference (species -> class). limits: tags_doe, tags_buck.
    Returns a plain dict: density_per_sqmi (winter half), fall_per_sqmi, equivalents, walk_there, years, browse, impact,
    take, cautions and words. Nothing is read or written; the date is an argument.
    """
    options, limits = dict(options or {}), dict(limits or {})
    ground = survey.ground(parcels, options.get("home_range_ac"), region)
    told = survey.history(pellets, winters, stands, options, as_of.year, region, level)
    by_class = browsing.shares(_latest_year(browse, as_of), own=options.get("preference"), region=region, level=level)
    pressure = browsing.impact(by_class, region)
    equivalents = deer_equivalents(told.fall, ground.acres)
    walk = deer_that_walk_there(told.fall, parcels.geometry, options.get("home_range_ac"), region)
    taken = _take(told, ground, taken_by_year(bag, ledger), options, limits, as_of.year, region)
    return {
        "density_per_sqmi": plain(told.winter),
        "fall_per_sqmi": plain(told.fall),
        "words": told.words,
        "years": told.years,
        "equivalents": plain(equivalents),
        "walk_there": plain(walk),
        "acres": ground.acres,
        "effective_ac": ground.effective_ac,
        "share_pct": ground.share_pct,
        "browse": [
            {"preference": r["preference"], "stems": r["stems"], "plots": r["plots"], "word": r["word"]}
            | {"browsed_pct": plain(r["browsed_pct"]), "words": r["words"]}
            for r in by_class
        ],
        "impact": {"code": pressure.code, "word": pressure.word, "words": pressure.words, "seen": pressure.seen},
        "take": taken,
        "cautions": [*told.cautions, *table("deer_cautions", of=region)["text"]],
    }


def taken_by_year(bag: pd.DataFrame | None, ledger: pd.DataFrame | None) -> dict[int, dict[str, float]]:
    """Deer the family took: season -> {"bucks", "does"}; does are all deer without antlers, buck fawns too.

    A season with rows in the bag is taken from the bag, any other from the ledger (kind "deer"; January and February
    belong to the season before; corrected lines do not count).
    """
    parts = []
    if bag is not None and len(bag):
        parts.append(pd.DataFrame({"year": bag["year"], "who": bag["sex_age"], "n": bag["number"].fillna(1)}))
    if ledger is not None and len(ledger):
        mended = set(ledger["corrects"].dropna().astype(int)) if "corrects" in ledger else set()
        rows = ledger[ledger["kind"].eq("deer")]
        rows = rows[~rows["line"].isin(mended)] if "line" in rows else rows
        day = pd.to_datetime(rows["date"])
        year = day.dt.year - (day.dt.month < 3).astype(int)
        entry = pd.DataFrame({"year": year, "who": rows["sex_age"], "n": rows["amount"].fillna(1)})
        parts.append(entry[~entry["year"].isin(parts[0]["year"])] if parts else entry)
    if not parts:
        return {}
    rows = pd.concat(parts, ignore_index=True).dropna(subset=["year"])
    n = rows["n"].astype(float)
    bucks, does = (n.where(rows["who"].isin(kinds), 0.0) for kinds in (BUCKS, ANTLERLESS))
    sums = pd.DataFrame({"bucks": bucks, "does": does}).groupby(rows["year"].astype(int)).sum()
    pairs = zip(sums.index, sums["bucks"], sums["does"], strict=True)
    return {int(year): {"bucks": float(b), "does": float(d)} for year, b, d in pairs}


def deer_plots(pellets: pd.DataFrame | None, browse: pd.DataFrame | None) -> list[dict]:
    """Plots of the last pellet survey with the share of stems browsed there.

    Returns dicts plot_id, line, lon, lat, groups, browsed_pct (None where nothing was judged).
    """
    if pellets is None or len(pellets) == 0:
        return []
    rows = pellets[pd.to_datetime(pellets["date"]).dt.year == pd.to_datetime(pellets["date"]).dt.year.max()]
    out = rows[["plot_id", "line", "lon", "lat", "groups"]].copy()
    out["browsed_pct"] = float("nan")
    if browse is not None and len(browse):
        bitten = browse[pd.to_datetime(browse["date"]).dt.year == pd.to_datetime(browse["date"]).dt.year.max()]
        sums = bitten.groupby("plot_id")[["stems", "browsed"]].sum()
        out["browsed_pct"] = out["plot_id"].map(100.0 * sums["browsed"] / sums["stems"].where(sums["stems"] > 0))
    return out.astype(object).where(out.notna(), None).to_dict("records")


def _latest_year(frame: pd.DataFrame | None, as_of: date) -> pd.DataFrame | None:
    if frame is None or len(frame) == 0:
        return None
    day = pd.to_datetime(frame["date"])
    past = frame[day.isna() | (day <= pd.Timestamp(as_of))]
    year = pd.to_datetime(past["date"]).dt.year
    return past[year.isna() | (year == year.max())]


def _take(told, ground, taken: Mapping, options: Mapping, limits: Mapping, year: int, region: str) -> dict:
    """Does and bucks of this season with their words, the two ends, and the meat."""
    rates = herd_rates(float(options.get("farmland_pct", 0.0)), region)
    matrix = female_matrix(**rates)
    hold, growth = hold_rate(matrix), growth_rate(matrix)
    buck_rate = float(options.get("buck_rate", default("buck_rate", region)))
    lost = default("wound_bow" if options.get("weapon") == "bow" else "wound_gun", region) + default(
        "other_unregistered", region
    )
    around_bucks = float(options.get("neighbor_bucks_per_sqmi", default("neighbor_bucks", region)))
    around_does = float(options.get("neighbor_does_per_sqmi", around_bucks * default("neighbor_does_per_buck", region)))
    years = int(default("carry_years", region))
    seasons = [s for s in told.seasons if s.year > year - years]
    common = {"deaths_per_deer": lost, "acres": ground.acres, "effective_ac": ground.effective_ac}
    does = [take.allowance(s.does_low, hold, neighbors_per_sqmi=around_does, **common) for s in seasons]
    bucks = [take.allowance(s.bucks, buck_rate, neighbors_per_sqmi=around_bucks, **common) for s in seasons]
    killed = [taken.get(s.year, {"bucks": 0.0, "does": 0.0}) for s in seasons]
    fell = [s.fell for s in seasons]
    open_does = [
        0.0 if s.index_low or options.get("goal") == "grow" else d.own for s, d in zip(seasons, does, strict=True)
    ]
    doe_n, doe_left = take.carry(open_does, [k["does"] for k in killed], fell, years)
    buck_n, buck_left = take.carry([b.share for b in bucks], [k["bucks"] for k in killed], fell, years)
    measured = bool(seasons) and seasons[-1].year == year
    if not measured:
        doe_n = buck_n = 0
    elif open_does[-1] <= 0:
        doe_n = 0
    doe_cap, buck_cap = limits.get("tags_doe"), limits.get("tags_buck")
    gone = taken.get(year, {"bucks": 0.0, "does": 0.0})
    doe_n = doe_n if doe_cap is None else min(doe_n, max(0, int(doe_cap - gone["does"])))
    buck_n = buck_n if buck_cap is None else min(buck_n, max(0, int(buck_cap - gone["bucks"])))
    now_does, now_bucks = (does[-1], bucks[-1]) if measured else (None, None)
    pounds: Estimate = meat.meat_of_take(buck_n, doe_n, region=region)
    return {
        "does": doe_n,
        "bucks": buck_n,
        "does_words": _doe_words(told, measured, now_does, growth, (doe_n, doe_left), doe_cap, options, years),
        "bucks_words": _buck_words(told, measured, now_bucks, (buck_n, buck_left), buck_cap, years),
        "measured": measured,
        "does_per_yr": _end(now_does, "own"),
        "does_if_neighbors_take_none": _end(now_does, "if_none"),
        "does_if_local_rate": _end(now_does, "if_local"),
        "bucks_per_yr": _end(now_bucks, "share"),
        "bucks_if_neighbors_take_none": _end(now_bucks, "if_none"),
        "bucks_if_local_rate": _end(now_bucks, "if_local"),
        "hold_rate": hold,
        "growth_rate": growth,
        "neighbors": {"bucks_per_sqmi": around_bucks, "does_per_sqmi": around_does},
        "neighbors_words": _neighbor_words(ground, now_does, now_bucks, around_does, around_bucks, options),
        "already_taken": gone,
        "meat_lb": plain(pounds),
        "meals": meat.servings(pounds.value or 0.0, region),
    }  # fmt: skip


def _end(a: take.Allowance | None, which: str) -> float | None:
    return None if a is None else float(getattr(a, which))


def _doe_words(told, measured, now, growth, n, tags, options, years) -> str:
    if not measured:
        return f"Not measured enough to name does. {told.why_not}"
    if options.get("goal") == "grow":
        return "No doe this fall: the wish is to let the herd grow."
    if told.seasons[-1].index_low:
        return "No doe this fall. The three-year index is under 80% of where it began."
    if growth <= 1.0:
        return "No doe this fall: at these births and deaths the herd would not grow even without a hunt."
    if now.own <= 0:
        known = "" if "neighbor_does_per_sqmi" in options else " Their does are assumed; ask for the unit's figure."
        return f"No doe this fall. What the neighbors take is already as much as the herd can bear.{known}"
    if tags == 0:
        return "No doe this fall: there is no doe tag."
    return _carried(n, now.own, "doe", years)


def _buck_words(told, measured, now, n, tags, years) -> str:
    if not measured:
        return f"Not measured enough to name bucks. {told.why_not}"
    if tags == 0:
        return "No buck this fall: there is no buck tag."
    return _carried(n, now.share, "buck", years)


def _carried(whole: tuple[int, float], per_yr: float, one: str, years: int) -> str:
    n, left = whole
    share = f"This ground's share is about {take.every(per_yr, one)}"
    if n:
        return f"{n} {one if n == 1 else one + 's'} at most this fall. {share}; fractions are carried {years} years."
    if per_yr * years < 1:
        return f"None this year. {share}, and fractions are not kept longer than {years}."
    if left < 0:
        return f"None this year: the last years and this one already took more than that. {share}."
    return f"None this year. {share}."


def _neighbor_words(ground, does, bucks, around_does, around_bucks, options) -> str:
    if does is None:
        return ""
    known = "given" if {"neighbor_bucks_per_sqmi", "neighbor_does_per_sqmi"} <= set(options) else "assumed"
    return (
        f"The deer that come here use about {rounded(ground.effective_ac, 'feet')} acres; yours are "
        f"{ground.share_pct:.0f}% of them. If no neighbor took any, that ground could give {does.if_none:.1f} does and "
        f"{bucks.if_none:.1f} bucks a year; at {around_does:.1f} does and {around_bucks:.1f} bucks a square mile "
        f"({known}) {does.if_local:.1f} and {bucks.if_local:.1f} are left. Neighbors and state rules decide too."
    )
