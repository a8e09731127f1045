"""The hunt: how many bucks and does at most this season, why, and the chance that goes with it.

season          the whole deer answer for a place (density, ground, browse, take, risk, meat, cautions)
season_of       the fall whose season a plan made on a day speaks of
taken_by_year   deer the family took by season, from bag and ledger

Call, from a place: ``season(place.parcels, pellets=place.pellets, browse=place.browse, bag=place.bag,
winters=place.winters, stands=place.stands, ledger=place.ledger, options=place.deer, limits=place.limits,
as_of=place.as_of, region=place.region)``, and ``counts=place.counts, seedlings=place.seedlings, land_cover=
place.rasters.get("land_cover"), cover_codes=place.cover_codes`` for all of it. Every frame may be None or empty.

The herd is one fit of all that was counted (`deer.herd_answer`), the take the family's share of what it can give
(`plan.doe_take`), the chance that of the herd beside neighbors who hunt on (`plan.risk`).
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd

from woodlot import ledger as book_lines
from woodlot.deer import browse as browsing
from woodlot.deer.answer import Browsed, Deer, Pool, Take, Taken, Words
from woodlot.deer.bag import fall_of, taken_by_year
from woodlot.deer.condition import condition
from woodlot.deer.evidence import evidence
from woodlot.deer.falls import falls_told, hard_winter, springs_told
from woodlot.deer.forest_floor import Overhead
from woodlot.deer.group import Group, acres_for_a_doe
from woodlot.deer.herd_answer import HerdAnswer, at_usual_level, herd_answer, seed_of
from woodlot.deer.herd_year import bucks
from woodlot.deer.next_forest import next_forest
from woodlot.deer.options import DeerSettings
from woodlot.deer.range import deer_equivalents, deer_that_walk_there, share_of_time_pct
from woodlot.deer.record import record
from woodlot.deer.survey_worth import next_to_measure
from woodlot.estimate import LEVEL, Estimate, Reason, reason
from woodlot.plan.browse_from_cuts import feeding
from woodlot.plan.cautions import of_deer
from woodlot.plan.doe_take import goal_of, take
from woodlot.plan.hunt_choices import Choices, choices
from woodlot.plan.hunt_meat import with_meat
from woodlot.plan.risk import season_risk
from woodlot.region import Region
from woodlot.wood.drawn_down import winter_began

__all__ = ["season", "season_of", "taken_by_year"]


def season_of(as_of: date, pellets: pd.DataFrame | None) -> int:
    """The fall whose season a plan speaks of: in winter the one that began last fall, with what was taken in it.

    The coming one from the day on which this spring's plots are counted; without a count from May, with the wood.
    """
    if pellets is not None and len(pellets):
        day = pd.to_datetime(pellets["date"])
        if ((day.dt.year == as_of.year) & (day <= pd.Timestamp(as_of)) & pellets["groups"].notna()).any():
            return as_of.year
    return max(fall_of(as_of), winter_began(as_of).year)


def season(
    parcels,
    *,
    pellets: pd.DataFrame | None = None,
    browse: pd.DataFrame | None = None,
    counts: pd.DataFrame | None = None,
    seedlings: pd.DataFrame | None = None,
    over: Overhead | None = None,
    state: str | None = None,
    bag: pd.DataFrame | None = None,
    winters: pd.DataFrame | None = None,
    stands=None,
    ledger: pd.DataFrame | None = None,
    land_cover: str | Path | None = None,
    cover_codes: pd.DataFrame | None = None,
    options: DeerSettings | None = None,
    limits: Mapping[str, Any] | None = None,
    meat_lb: float | None = None,
    name: str = "",
    group: Group | None = None,
    as_of: date,
    region: Region,
    level: float = LEVEL,
) -> Deer[Estimate, Words]:
    """Everything about deer for one place and the season that a plan of the day ``as_of`` speaks of.

    options: the part [deer] of place.toml. limits: tags_doe, tags_buck. meat_lb: boned venison the household wishes
    for in a year. name: of the place, for its draws. group: neighbors who pool with the family; then the take is that
    of all of them. over: the cruise, which tells light and seed trees over the seedlings; state: whose permits are
    told. land_cover, cover_codes: a raster of the ground around and its codes. What cuts to come add to eat is not in
    it (woodlot.plan.browse_from_cuts.coming_food).

    Nothing is read or written; the date is an argument.
    """
    chosen = choices(options or DeerSettings(), limits or {}, meat_lb)
    year = season_of(as_of, pellets)
    lines = None if ledger is None else book_lines.standing(ledger)
    kept = record(
        parcels, year=year, pellets=pellets, counts=counts, bag=bag, ledger=lines, winters=winters, stands=stands,
        options=chosen.given, group=group, region=region, level=level,
    )  # fmt: skip
    herd = herd_answer(kept, level=level, seed=seed_of(name, year), region=region)
    ground, home_range_ac = kept.ground, chosen.given.home_range_ac
    springs = browsing.by_spring(browse, as_of, chosen.given.preference, region, level)
    by_class = springs[-1][2] if springs else []
    codes = [browsing.impact(rows, plots, region) for _, plots, rows in springs]
    pressure = codes[-1] if codes else browsing.impact([], 0, region)
    forest, rules = next_forest(
        seedlings, browse, pellets, over or Overhead(),
        own=chosen.given.preference, state=state, as_of=as_of, region=region, level=level,
    )  # fmt: skip
    together = group is not None and len(group.families) > 1
    took = taken_by_year(bag, lines, region) if group is None else _all_took(group)
    of_all = replace(chosen, tags=(None, None)) if together else chosen  # tags are those of one family
    own_ac = sum(_parcel_acres(parcels).values())
    verdicts = [one.verdict for one in forest.history] if forest else []
    goal = goal_of(chosen, [one.code for one in codes], verdicts, herd.winter.value, ground.own_ac, region)
    taken = take(herd, took, of_all, goal, region, together=together)
    walks = at_usual_level(herd)
    return Deer(
        season=year,
        density_per_sqmi=herd.winter,
        fall_per_sqmi=herd.fall,
        words=_how_many(herd, as_of, region),
        years=springs_told(herd),
        falls=falls_told(herd, level),
        doubts=herd.cautions,
        condition=kept.condition,
        equivalents=deer_equivalents(herd.fall, own_ac),
        walk_there=deer_that_walk_there(walks, parcels.geometry, home_range_ac, region=region),
        walk_there_bucks=deer_that_walk_there(at_usual_level(herd, bucks), parcels.geometry, region=region, sex="buck"),
        food=feeding(parcels, stands, ledger, herd.winter, home_range_ac, land_cover, cover_codes, as_of, region),
        acres=own_ac,
        effective_ac=ground.range_ac,
        share_pct=share_of_time_pct(own_ac, ground.range_ac),
        does_per_buck=herd.does_per_buck,
        fawns_per_doe=herd.fawns_per_doe,
        growth=herd.growth,
        pool=_pool(group, taken, chosen, year, own_ac, region),
        browse=tuple(Browsed(r.preference, r.stems, r.plots, r.word, r.browsed_pct, r.words) for r in by_class),
        seedlings=rules,
        forest=forest,
        evidence=evidence(herd, counts, chosen.given, region, level, condition(bag, lines, region)),
        impact=pressure,
        take=with_meat(taken, herd, of_all, bag, lines, own_ac=own_ac, no_doe=goal.key == "grow", region=region),
        risk=season_risk(herd, taken, region),
        measure_next=tuple(next_to_measure(herd, region, level)),
        cautions=(
            *herd.cautions,
            *of_deer(region),
        ),
    )


def _all_took(group: Group) -> dict[int, Taken]:
    """Deer that all who pool took, by season."""
    killed = group.killed_by_fall()
    each = zip(killed.index, killed["bucks"], killed["does"], strict=True)
    return {int(fall): Taken(float(bucks), float(does)) for fall, bucks, does in each}


def _pool(group: Group | None, taken: Take, chosen: Choices, year: int, own_ac: float, region: Region) -> Pool | None:
    """Whose the next doe of the group is; of a family alone, what acres of neighbors would make one in a few years,
    where that is more ground than its own.
    """
    share = taken.does_per_yr or 0.0
    if group is not None and len(group.families) > 1:
        first = group.next_doe_to(year)
        words = reason(
            "doe of the group", does=taken.does, families=len(group.families), next_to=first, own=group.own,
            no_tag=chosen.tags[0] == 0,
        )  # fmt: skip
        return Pool(len(group.families), group.acres, first, None, words)
    years, long = (region.figure("defaults_herd", f"group_{name}_yr") for name in ("doe", "wait"))
    acres = acres_for_a_doe(share, own_ac, years) if share * long < 1.0 else None
    if not acres:
        return None
    return Pool(1, own_ac, None, acres, reason("acres to pool", acres=acres, years=years))


def _how_many(herd: HerdAnswer, as_of: date, region: Region) -> Reason:
    """How many deer there are, or why there is no number; with the winter before, where it took many."""
    deer, hard = _number(herd, as_of), hard_winter(herd, region)
    return deer if hard is None else reason("after a hard winter", deer=deer, winter=hard[0], lost=hard[1])


def _number(herd: HerdAnswer, as_of: date) -> Reason:
    if not herd.measured:
        return reason("no herd figure", why=herd.why_not)
    if herd.sides:
        return reason("counts disagree", year=herd.season, sides=herd.said_sides)
    counts, beside = _names(herd, True), _names(herd, False)
    return reason("deer in fall", fall=herd.fall, year=herd.season, counts=counts, beside=beside)


def _names(herd: HerdAnswer, sets: bool) -> tuple[Reason, ...]:
    """Counts that the number rests on: those that set one, or those that tell ratios and trends."""
    return tuple(pull.source.words for pull in herd.pulls if pull.used and pull.source.sets == sets)


def _parcel_acres(parcels) -> dict[str, float]:
    from woodlot.land.parcels import acres_once

    each = acres_once(parcels.geometry)
    return dict(zip(parcels["parcel_id"].astype(str), [float(a) for a in each], strict=True))
