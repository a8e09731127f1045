"""All that was found out for a place as one plain mapping: what screen, map, report and ``--json`` are drawn from.

Numbers are unrounded, units are said beside them, dates are ISO. Nothing is worked out here but words.
"""

from pathlib import PurePath
from typing import Any

import pandas as pd

from woodlot import words
from woodlot.plan import cautions as minding
from woodlot.plan import charts, hunt, years
from woodlot.season import Season
from woodlot.stand import cruise
from woodlot.story import first, growth_view, told
from woodlot.story.cutting import totals
from woodlot.wood import tally

__all__ = ["answers", "counted", "cut_totals"]

#: Numbers per acre that a stand without plots may borrow: name in the answers -> name of the attribute.
BORROWED = {"cords_per_ac": "cords", "basal_sqft_per_ac": "basal_sqft", "trees_per_ac": "trees"}
#: Plots whose worth is compared between stands: about half a day's work.
MORE_PLOTS = 5


def answers(plan: Season) -> dict[str, Any]:
    """Everything said about one place, JSON-able.

    Keys: name, region, as_of, winter, level, base, headline, rows, parcels, stands, totals, species, deer, jobs, notes,
    deer_plots, measure_next, cautions, memory, sources, warnings.
    """
    place, on_guides = plan.place, told.stands_on_guides(plan.cutting)
    out: dict[str, Any] = {
        "name": place.name,
        "region": PurePath(place.region).name,
        "as_of": plan.day.isoformat(),
        "winter": words.winter(plan.day),
        "level": plan.level,
        "base": _base(plan),
        "parcels": _parcels(plan),
        "stands": _stands(plan, on_guides.get("fullness", [])),
        "totals": _totals(plan) | cut_totals(plan),
        "species": _species(plan),
        "deer": plan.herd,
        "notes": told.notes(place.ledger),
        "deer_plots": hunt.deer_plots(place.pellets, place.browse, place.deer.get("preference"), place.region),
        **_measure_next(plan),
        "warnings": [
            *place.warnings,
            *plan.measured.problems["words"],
            *_edges(plan),
            *dict.fromkeys([*plan.seen.lines, *plan.backdrop.lines]),
            *plan.lent.lines,
            *plan.cutting.yearly.cautions[1:],
        ],
        "heat": told.heat(plan.heat),
    }
    a_year = plan.day.replace(year=plan.day.year - 1, day=min(plan.day.day, 28))
    out["changed"] = {"since": a_year.isoformat(), "words": years.changed(place.ledger, plan.standing.stands, a_year)}
    out["charts"] = (
        told.charts(out)
        | told.heat_by_winter(out, plan.cutting.schedule.entries)
        | told.stock(charts.stock_chart(plan.later.woods, plan.later.schedule))
        | on_guides
    )
    out["jobs"] = growth_view.job_sheets(plan.cutting)
    out["cautions"] = told.cautions(out)
    out["memory"], out["sources"] = told.memory_and_sources(place.region)
    out["headline"], out["rows"] = first.headline(out), first.rows(out)
    return out


def counted(plan: Season) -> dict[str, Any]:
    """What lines and plots alone say, in the form of ``answers``: name, as_of, level, base, parcels, stands, totals,
    species. Nothing is cut for it, and rasters are opened only where a stand without plots may borrow.
    """
    rows, shares, dead = _rows(plan)
    return {
        "name": plan.place.name,
        "as_of": plan.day.isoformat(),
        "level": plan.level,
        "base": _base(plan),
        "parcels": _owned(plan),
        "stands": [_of_plots(row, plan, shares, dead) | _amounts(row, plan) for row in rows],
        "totals": _totals(plan),
        "species": _species(plan),
    }


def _base(plan: Season) -> dict[str, Any]:
    return {
        "solid_cuft_per_cord": float(plan.choice("solid_cuft_per_cord")),
        "log_rule": str(plan.choice("log_rule")),
        "division": str(plan.choice("division")),
        "cord_breaks": [float(b) for b in plan.choice("cord_breaks")],
    }


def _parcels(plan: Season) -> list[dict[str, Any]]:
    cut_of = plan.cutting.growing.groupby("parcel_id")["this_winter_cords"].sum()
    owned = _owned(plan)
    takes = [float(cut_of.get(one["parcel_id"], 0.0)) for one in owned]
    return [
        one | {"sentence": f"{words.amount(take, 'cords')} this winter." if take else "Nothing this winter."}
        for one, take in zip(owned, takes, strict=True)
    ]


def _owned(plan: Season) -> list[dict[str, Any]]:
    frame, contacts = plan.measured.parcels, plan.measured.contacts
    names = dict(zip(frame["parcel_id"], frame["name"].fillna(frame["parcel_id"]), strict=True))
    cords = plan.standing.totals["cords by parcel_id"]
    out = []
    for row in frame.drop(columns="geometry").to_dict("records"):
        pid = row["parcel_id"]
        here = contacts[(contacts["parcel_a"] == pid) | (contacts["parcel_b"] == pid)]
        out.append(
            {
                "parcel_id": pid,
                "name": names[pid],
                "acres": float(row["acres"]),
                "deed_acres": told.number(row["deed_acres"]),
                "difference_pct": told.number(row["difference_pct"]),
                "miles_from_home": told.number(row["miles_from_home"]),
                "is_home": bool(row["is_home"]),
                "block": int(row["block"]),
                "contacts": list(here["words"]),
                "cords": words.plain(cords.get(pid)),
            }
        )
    return out


def _stands(plan: Season, fullness: list[dict[str, Any]]) -> list[dict[str, Any]]:
    rows, shares, dead = _rows(plan)
    grown = plan.cutting.growing.set_index("stand_id")
    grown["stocking_after_pct"] = pd.Series({f["stand_id"]: f["after_pct"] for f in fullness}, dtype=float)
    turns = told.entries(plan.cutting.schedule.entries)
    return [
        _of_plots(row, plan, shares, dead)
        | _of_the_cut(row["stand_id"], plan, grown.loc[row["stand_id"]], turns.get(row["stand_id"], []))
        | _amounts(row, plan)
        | _of_the_ground(row, plan)
        for row in rows
    ]


def _rows(plan: Season) -> tuple[list[dict[Any, Any]], pd.DataFrame, pd.Series]:
    """Stands with what was measured on them, the share of each species, and dead cords an acre by stand."""
    stood = plan.standing
    rows = plan.measured.stands.drop(columns="geometry").merge(stood.stands, on="stand_id", how="left")
    shares = tally.species_shares(stood.by_species[stood.by_species["what"] == "cords"])
    return rows.to_dict("records"), shares, stood.dead_per_ac.set_index("stand_id")["mean"]


def _of_plots(row: dict, plan: Season, shares: pd.DataFrame, dead: pd.Series) -> dict[str, Any]:
    sid = row["stand_id"]
    cords_per_ac = plan.standing.each_ac["cords"].get(sid)
    species = shares[(shares["stand_id"] == sid) & (shares["mean"] > 0)]
    return {
        "stand_id": sid,
        "parcel_id": row["parcel_id"],
        "cover": row["cover"],
        "letter": row["letter"],
        "gross_ac": float(row["gross_ac"]),
        "acres": float(row["acres"]),
        "operable": bool(row["operable"]),
        "frozen_ground_only": bool(row["frozen_ground_only"]),
        "age_yr": told.number(row["age_yr"]),
        "plots": int(row["plots"]),
        "empty_plots": int(row["empty_plots"]),
        "measured_on": None if pd.isna(row["measured_on"]) else row["measured_on"].date().isoformat(),
        "how": row["how"],
        "half_width_pct": told.half_width_pct(cords_per_ac),
        "qmd_in": told.number(row["qmd_in"]),
        "relative_density": told.number(row["relative_density"]),
        "stocking_pct": told.stocking_pct(row),
        "dead_trees_per_ac": told.number(row["dead_trees_per_ac"]),
        "dead_cords_per_ac": told.number(dead.get(sid)),
        "species": [
            {"species": s, "cords_per_ac": float(m), "share_pct": float(p)}
            for s, m, p in zip(species["species"], species["mean"], species["share_pct"], strict=True)
        ],
    }


def _of_the_cut(sid: str, plan: Season, grown: pd.Series, turns: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "cut": {
            "this_winter": bool(grown["this_winter"]),
            "cords": told.at_most(grown["this_winter_cords"], "cords") if grown["this_winter"] else None,
            "ceiling_cords_per_yr": float(grown["ceiling_cords_per_yr"]),
            "words": grown["words"],
            "next_winter": grown["next_winter"] if isinstance(grown["next_winter"], str) else None,
            "leave_sqft_per_ac": told.number(grown["leave_sqft_per_ac"]),
            "leave_seen": grown["leave_seen"],
            "way": grown["way"],
            "entries": turns,
            "stocking_after_pct": told.number(grown["stocking_after_pct"]) if grown["this_winter"] else None,
        },
        "growth_cords_per_yr": words.plain(grown["growth"]),
        "food_lb_per_ac": ((plan.herd["food"] or {}).get("stands") or {}).get(sid),
    }


def _amounts(row: dict, plan: Season) -> dict[str, Any]:
    """Wood, basal area and trees of a stand; without plots, what it borrows."""
    sid, stood = row["stand_id"], plan.standing
    bare = not int(row["plots"])
    out: dict[str, Any] = {}
    for name, of, unit in (
        ("cords_per_ac", stood.each_ac["cords"], "cords an acre"),
        ("basal_sqft_per_ac", stood.each_ac["basal_sqft"], "sq ft an acre"),
        ("trees_per_ac", stood.each_ac["trees"], "trees an acre"),
        ("cords", stood.totals["cords by stand_id"], "cords"),
        ("sawlog_cords", stood.totals["sawlog_cords by stand_id"], "cords"),
        ("firewood_cords", stood.totals["firewood_cords by stand_id"], "cords"),
        ("bdft", stood.totals["bdft by stand_id"], "board feet"),
    ):
        out[name] = words.plain(of.get(sid)) | {"unit": unit}
        if bare:
            out[name]["why"] = "nobody has put a plot here; three would give a first figure"
    for name, attribute in BORROWED.items():
        found = plan.lent.per_ac.get(attribute, {}).get(sid) if bare else None
        if found is not None:
            out["how"] = "borrowed"
            out[f"borrowed_{name}"] = words.plain(found)
            out[name] |= {"value": found.value, "why": "borrowed, so no range"}
    return out


def _of_the_ground(row: dict, plan: Season) -> dict[str, Any]:
    sid = row["stand_id"]
    out: dict[str, Any] = {}
    over = plan.seen.stands.set_index("stand_id").loc[sid]
    out["ground"] = {k: told.plain_cell(over[k]) for k in told.GROUND if k in over.index}
    away = plan.seen.distances[plan.seen.distances["stand_id"] == sid].drop(columns="stand_id")
    out["distances"] = [{k: told.plain_cell(v) for k, v in r.items()} for r in away.to_dict("records")]
    miles = plan.measured.parcels.set_index("parcel_id")["miles_from_home"].get(row["parcel_id"])
    trees = plan.standing.trees
    frozen = bool(row["frozen_ground_only"])
    here = trees[trees["stand_id"] == sid]
    out["cautions"] = list(minding.of_stand(here, frozen, miles, plan.place.region).values())
    return out


def _totals(plan: Season) -> dict[str, Any]:
    stood = plan.standing
    whole = stood.totals["cords by all"]["all"]
    parts = tally.parts_of_range(whole)
    return {
        "cords": words.plain(whole),
        "cords_sampling_only": words.plain(parts["plots"]),
        "cords_table_only": words.plain(parts["table"]),
        "cords_stacked": words.plain(parts["stacked"]),
        "gross_cords": words.plain(stood.totals["gross_cords by all"]["all"]),
        "sawlog_cords": words.plain(stood.totals["sawlog_cords by all"]["all"]),
        "firewood_cords": words.plain(stood.totals["firewood_cords by all"]["all"]),
        "bdft": words.plain(stood.totals["bdft by all"]["all"]),
        "cull_judged_pct": told.cull_judged_pct(stood.trees),
        **stood.ground,
        "parcel_acres": float(plan.measured.parcels["acres"].sum()),
    }


def cut_totals(plan: Season) -> dict[str, Any]:
    """What may be cut and is cut this winter, all stands together: the part of the totals that needs a schedule."""
    look = totals(plan.cutting)
    return {
        "growth_cords_per_yr": words.plain(look["growth"]),
        "ceiling_cords_per_yr": look["ceiling_cords_per_yr"],
        "this_winter_cords": look["this_winter_cords"],
        "stands_this_winter": look["stands_this_winter"],
        "cut_words": look["words"],
        "cut_caution": plan.cutting.yearly.cautions[0] if plan.cutting.yearly.cautions else "",
        "ceilings": {k: words.plain(e) for k, e in plan.cutting.yearly.whole.items()},
    }


def _species(plan: Season) -> list[dict[str, Any]]:
    cords, feet = (plan.standing.totals[f"{what} by species"] for what in ("cords", "bdft"))
    order = sorted(cords, key=lambda s: -(cords[s].value or 0.0))
    return [{"species": s, "cords": words.plain(cords[s]), "bdft": words.plain(feet.get(s))} for s in order]


def _measure_next(plan: Season) -> dict[str, Any]:
    table = plan.standing.per_ac
    acres = plan.measured.stands.set_index("stand_id")["operable_ac"]
    found = cruise.worth_measuring(table[table["what"] == "cords"], acres, MORE_PLOTS)
    bare, rest = found[found["n"] == 0], found[found["n"] > 0]
    told: list[dict[str, Any]] = [{"plots": 3, "stand_id": s} for s in bare["stand_id"].head(1)]
    told += [{"plots": MORE_PLOTS, "stand_id": s} for s in rest["stand_id"].head(1)]
    return {"measure_next": [*bare["words"].head(1), *rest["words"].head(1)], "next_plots": told[0] if told else None}


def _edges(plan: Season) -> list[str]:
    return [w for w in plan.standing.edges["words"] if w]
