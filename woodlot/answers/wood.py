"""The wood in the answers: what stands in all, by kind of tree and in each stand.

stands_wood     what stands in each stand
whole_wood      all stands together
species_answer  kinds of tree over all stands, those with most cords first
stands_answer   each stand whole: ground, wood, cut, what deer find to eat
"""

from dataclasses import replace
from itertools import groupby
from typing import Any

import pandas as pd

from woodlot.answers.chart_types import Full
from woodlot.answers.cut import balance_answer, cut_of
from woodlot.answers.land import distances_of, ground_of
from woodlot.answers.noted import sick_of, stands_noted
from woodlot.answers.plain_cells import number
from woodlot.answers.stand_types import Species, SpeciesOfStand, Stand, StandWood, WholeWood
from woodlot.answers.wishes import wishes_answer
from woodlot.answers.years_told import years_of
from woodlot.estimate import Estimate, Number, scale
from woodlot.plan import cautions
from woodlot.say import reasons
from woodlot.say.wood import BORROWED, NOT_MEASURED, UNMEASURED
from woodlot.season import Season
from woodlot.wood import tally
from woodlot.wood.of_species import BY_SPECIES
from woodlot.wood.standing import FULLNESS

__all__ = ["species_answer", "stands_answer", "stands_wood", "whole_wood"]

#: What is summed over a stand, and its unit.
TOTALS = {"cords": "cords", "sawlog_cords": "cords", "firewood_cords": "cords", "bdft": "board feet"}


def stands_wood(season: Season) -> list[StandWood]:
    """What stands in each stand: cords, board feet and kinds of tree, measured, borrowed or not known."""
    stood, rows = season.standing, _rows(season)
    of, region = stood.of_species, season.place.region
    borrowed = season.lent.per_ac if any(not int(row["plots"]) for row in rows) else {}  # else nobody need look
    lent, basal = (borrowed.get(what, {}) for what in ("cords", "basal_sqft"))
    shares = tally.species_shares(of.means("cords"))
    shares_of = dict(iter(shares[shares["mean"] > 0].groupby("stand_id")))
    told = of.in_stands("cords", season.level, region=region)
    unseen = of.unseen("cords", season.level, region=region)
    dead = stood.dead_per_ac.set_index("stand_id")["mean"]
    out = []
    for row in rows:
        sid, plots = row["stand_id"], int(row["plots"])
        here = shares_of.get(sid, shares.iloc[:0])
        kinds = zip(here["species"], here["mean"], here["share_pct"], strict=True)
        totals = {w: _number(stood.totals[f"{w} by stand_id"].get(sid), unit, plots) for w, unit in TOTALS.items()}
        out.append(
            StandWood(
                stand_id=sid,
                parcel_id=row["parcel_id"],
                cover=row["cover"],
                acres=float(row["acres"]),
                plots=plots,
                how="borrowed" if any(sid in of for of in borrowed.values()) else row["how"],
                measured_on=None if pd.isna(row["measured_on"]) else row["measured_on"].date().isoformat(),
                dead_cords_per_ac=number(dead.get(sid)),
                species=tuple(
                    SpeciesOfStand(s, float(mean), float(share), reasons.plain(told[sid][s]))
                    for s, mean, share in kinds
                ),
                cords_per_ac=_per_ac(stood.each_ac["cords"].get(sid), "cords an acre", plots, lent.get(sid)),
                **totals,
                basal_sqft_per_ac=_per_ac(stood.each_ac["basal_sqft"].get(sid), "sq ft an acre", plots, basal.get(sid)),
                unseen_kind_per_ac=reasons.plain(unseen.get(sid)),
            )
        )
    return out


def _rows(season: Season) -> list[dict[Any, Any]]:
    """A row a stand: its ground and the summary of its plots."""
    land = season.measured.stands.drop(columns="geometry")
    return land.merge(season.standing.stands, on="stand_id", how="left").to_dict("records")


def _number(estimate: Estimate | None, unit: str, plots: int) -> Number:
    """An estimate of a stand; without plots it says what would give a first figure."""
    out = replace(reasons.plain(estimate), unit=unit)
    return replace(out, why=UNMEASURED) if plots == 0 else out


def _per_ac(estimate: Estimate | None, unit: str, plots: int, lent: Estimate | None) -> Number:
    """The same an acre; a borrowed number stands without its range."""
    out = _number(estimate, unit, plots)
    return out if lent is None else replace(out, value=lent.value, why=BORROWED)


def whole_wood(season: Season) -> WholeWood:
    """All stands together: cords with the parts of their range, logs, board feet, and the ground behind them."""
    stood = season.standing
    parts = tally.parts_of_range(stood.totals["cords by all"]["all"], region=season.place.region)
    names = ("gross_cords", *TOTALS)
    sums: dict[str, Any] = {what: reasons.plain(stood.totals[f"{what} by all"]["all"]) for what in names}
    live = stood.trees[stood.trees["alive"]]
    return WholeWood(
        **(sums | stood.ground),
        cords_sampling_only=reasons.plain(parts["plots"]),
        cords_table_only=reasons.plain(parts["table"]),
        cords_stacked=reasons.plain(parts["stacked"]),
        cull_judged_pct=float(100.0 * live["cull_judged"].mean()) if len(live) else 0.0,
        parcel_acres=float(season.measured.parcels["acres"].sum()),
    )


def species_answer(season: Season, parcel: str | None = None, stand: str | None = None) -> tuple[Species, ...]:
    """Kinds of tree of all stands, of one parcel or stand, those with most cords first; none where no plot is."""
    by, key = ("stand_id", stand) if stand else ("parcel_id", parcel) if parcel else ("all", "all")
    of, region = season.standing.of_species, season.place.region
    cords, feet = (of.totals(what, by, season.level, region=region).get(str(key), {}) for what in BY_SPECIES)
    order = sorted(cords, key=lambda s: -(cords[s].value or 0.0))
    return tuple(Species(s, reasons.plain(cords[s]), reasons.plain(feet.get(s))) for s in order)


def stands_answer(season: Season, fullness: tuple[Full, ...]) -> tuple[Stand, ...]:
    """Each stand whole; ``fullness``: how full the stands are (``charts.fullness``)."""
    grown, after = season.cutting.schedule.growing.set_index("stand_id"), {f.stand_id: f.after_pct for f in fullness}
    cuts, balances = cut_of(season, after), season.balances
    over = dict(zip(season.seen.stands["stand_id"], season.seen.stands.to_dict("records"), strict=True))
    away, none = dict(iter(season.seen.distances.groupby("stand_id"))), season.seen.distances.iloc[:0]
    miles = season.measured.parcels.set_index("parcel_id")["miles_from_home"]
    food = season.herd.food.stands if season.herd.food else {}
    stood, lent = season.standing, season.lent.per_ac
    trees_of, bare = dict(iter(stood.trees.groupby("stand_id"))), stood.trees.iloc[:0]
    wished = {stand: tuple(each) for stand, each in groupby(wishes_answer(season), key=lambda one: one.stand_id)}
    years, told, sick = years_of(season), stands_noted(season.place), sick_of(season.place)
    out = []
    for row, wood in zip(_rows(season), stands_wood(season), strict=True):
        sid, plots, frozen = wood.stand_id, wood.plots, bool(row["frozen_ground_only"])
        borrowed = {what: lent.get(what, {}).get(sid) for what in ("cords", "basal_sqft", "trees")}
        apart: dict[str, Any] = {f"borrowed_{w}_per_ac": reasons.plain(e) for w, e in borrowed.items() if e is not None}
        out.append(
            Stand(
                **vars(wood),
                letter=row["letter"],
                gross_ac=float(row["gross_ac"]),
                operable=bool(row["operable"]),
                frozen_ground_only=frozen,
                age_yr=number(row["age_yr"]),
                empty_plots=int(row["empty_plots"]),
                half_width_pct=_half_width_pct(stood.each_ac["cords"].get(sid)),
                qmd_in=number(row["qmd_in"]),
                relative_density=number(row["relative_density"]),
                stocking_pct=_stocking_pct(stood.each_ac[FULLNESS].get(sid)),
                dead_trees_per_ac=number(row["dead_trees_per_ac"]),
                cut=cuts[sid],
                growth_cords_per_yr=reasons.plain(grown["growth"].loc[sid]),
                balance=balance_answer(balances.get(sid)),
                food_lb_per_ac=reasons.plain(food[sid]) if sid in food else None,
                trees_per_ac=_per_ac(stood.each_ac["trees"].get(sid), "trees an acre", plots, borrowed["trees"]),
                **apart,
                wishes=wished.get(sid),
                years_told=years[sid][0],
                years_words=years[sid][1],
                noted=told.get(sid),
                ground=ground_of(over[sid], season.seen.steep is not None),
                distances=distances_of(away.get(sid, none)),
                cautions=tuple(
                    reasons.said(one)
                    for one in cautions.of_stand(
                        trees_of.get(sid, bare),
                        frozen,
                        miles.get(wood.parcel_id),
                        season.place.region,
                        [one.wish for one in wished.get(sid, ())],
                        sick.get(sid, ()),
                    )
                ),
            )
        )
    return tuple(out)


def _half_width_pct(estimate: Estimate | None) -> float | None:
    """Half of the range over the number [%], None without a range."""
    if estimate is None or not estimate.value or estimate.low is None or estimate.high is None:
        return None
    return 100.0 * (estimate.high - estimate.low) / (2.0 * estimate.value)


def _stocking_pct(share: Estimate | None) -> Number:
    """How full a stand is, percent of full stocking (relative density), with the range of its plots."""
    if share is None:
        return Number(unit="percent", why=NOT_MEASURED)
    return reasons.plain(scale(share, 100.0, "percent"))
