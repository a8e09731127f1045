"""The hunt: how many bucks and does at most this season, why, and the chance that goes with it.

season          the whole deer answer for a place (density, ground, browse, take, risk, meat, cautions)
season_of       the fall whose season a plan made on a day speaks of
deer_plots      pellet and browse plots together, for the map
taken_by_year   deer the family took by season, from bag and ledger

Call, from a place: ``season(place.parcels, pellets=place.pellets, browse=place.browse, bag=place.bag,
winters=place.winters, stands=place.stands, ledger=place.ledger, options=place.deer, limits=place.limits,
as_of=place.as_of, region=place.region)``, and ``counts=place.counts, seedlings=place.seedlings, land_cover=
place.rasters.get("land_cover"), cover_codes=place.cover_codes`` for all of it. Every frame may be None or empty.

The rule. The doe rate that holds the herd is set on the low end of a three-year mean (one chance in five that the herd
is below it), and there is no doe while that mean is under 0.8 of the first three years. Both ends are shown: neighbors
take none, neighbors take the local rate; the take is set at the second. Chasing each year's count instead harvests its
noise.
"""

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd

from woodlot.deer import browse as browsing
from woodlot.deer import meat, survey, take
from woodlot.deer.answer import Browsed, Deer, Neighbors, Take, Taken, Words
from woodlot.deer.bag import fall_of, taken_by_year
from woodlot.deer.defaults import default
from woodlot.deer.evidence import evidence
from woodlot.deer.forest_floor import Overhead
from woodlot.deer.herd import female_matrix, growth_rate, herd_rates, hold_rate
from woodlot.deer.herd_answer import HerdAnswer, at_usual_level, herd_answer, seed_of
from woodlot.deer.herd_year import bucks
from woodlot.deer.next_forest import next_forest
from woodlot.deer.options import DeerSettings
from woodlot.deer.range import deer_equivalents, deer_that_walk_there, share_of_time_pct
from woodlot.deer.record import record
from woodlot.deer.survey import deer_plots
from woodlot.deer.survey_worth import next_to_measure
from woodlot.estimate import LEVEL, Estimate, Reason, reason
from woodlot.plan import ledger as book_lines
from woodlot.plan.browse_from_cuts import feeding
from woodlot.plan.cautions import of_deer
from woodlot.plan.hunt_choices import Choices, choices
from woodlot.plan.hunt_meat import with_meat
from woodlot.plan.risk import season_risk
from woodlot.region import Region
from woodlot.wood.drawn_down import winter_began

__all__ = ["deer_plots", "season", "season_of", "taken_by_year"]


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
    as_of: date,
    region: Region,
    level: float = LEVEL,
) -> Deer[Estimate, Words]:
    """Everything about deer for one place and the season that a plan of the day ``as_of`` speaks of.

    options: the part [deer] of place.toml. limits: tags_doe, tags_buck. meat_lb: boned venison the household wishes
    for in a year. name: of the place, for its draws. over: the cruise, which tells light and seed trees over the
    seedlings; state: whose permits are told. land_cover, cover_codes: a raster of the ground around and its codes.
    What cuts to come add to eat is not in it (woodlot.plan.browse_from_cuts.coming_food).

    Nothing is read or written; the date is an argument.
    """
    chosen = choices(options or DeerSettings(), limits or {}, meat_lb, region)
    year = season_of(as_of, pellets)
    lines = None if ledger is None else book_lines.standing(ledger)
    kept = record(
        parcels, year=year, pellets=pellets, counts=counts, bag=bag, ledger=lines, winters=winters, stands=stands,
        options=chosen.given, region=region, level=level,
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
    thin = chosen.given.goal == "thin"
    wide = thin and chosen.given.neighbors_join and len(codes) > 1 and all((c.code or 0) >= 4 for c in codes[-2:])
    taken, risk = _of_today(
        herd, parcels, pellets, counts, winters, stands, taken_by_year(bag, lines, region), chosen, wide, region, level
    )
    walks = at_usual_level(herd)
    return Deer(
        season=year,
        density_per_sqmi=herd.winter,
        fall_per_sqmi=herd.fall,
        words=_how_many(herd),
        years=kept.springs,
        equivalents=deer_equivalents(herd.fall, ground.own_ac),
        walk_there=deer_that_walk_there(walks, parcels.geometry, home_range_ac, region=region),
        walk_there_bucks=deer_that_walk_there(at_usual_level(herd, bucks), parcels.geometry, region=region, sex="buck"),
        food=feeding(parcels, stands, ledger, herd.winter, home_range_ac, land_cover, cover_codes, as_of, region),
        acres=ground.own_ac,
        effective_ac=ground.range_ac,
        share_pct=share_of_time_pct(ground.own_ac, ground.range_ac),
        does_per_buck=herd.does_per_buck,
        fawns_per_doe=herd.fawns_per_doe,
        growth=herd.growth,
        browse=tuple(Browsed(r.preference, r.stems, r.plots, r.word, r.browsed_pct, r.words) for r in by_class),
        seedlings=rules,
        forest=forest,
        evidence=evidence(herd, counts, chosen.given, region, level),
        impact=pressure,
        take=with_meat(taken, herd, chosen, bag, lines, region),
        risk=risk,
        measure_next=tuple(next_to_measure(herd, region, level)),
        cautions=(
            *herd.cautions,
            *([reason("thinning asks more")] if thin and not wide else []),
            *of_deer(region),
        ),
    )


def _how_many(herd: HerdAnswer) -> Reason:
    """How many deer there are, or why there is no number."""
    if not herd.measured:
        return reason("no herd figure", why=herd.why_not)
    if herd.sides:
        return reason("counts disagree", sides=herd.said_sides)
    return reason("deer this fall", fall=herd.fall, counts=_names(herd, True), beside=_names(herd, False))


def _names(herd: HerdAnswer, sets: bool) -> tuple[Reason, ...]:
    """Counts that the number rests on: those that set one, or those that tell ratios and trends."""
    return tuple(pull.source.words for pull in herd.pulls if pull.used and pull.source.sets == sets)


def _of_today(herd, parcels, pellets, counts, winters, stands, took, chosen, wide, region, level):
    """The take by the three-year mean, until it rests on the herd."""
    year, ground = herd.season, survey.ground(parcels, chosen.given.home_range_ac, region=region)
    acres = _parcel_acres(parcels)
    history = survey.history(pellets, winters, stands, chosen.given, year, region, level, acres, counts)
    taken = _take(history, ground, took, chosen, year, wide, region)
    points = list(survey.winter_points(winters, region=region).values())
    fitted = (herd.used, herd.record.ground, herd.seed) if herd.measured else None
    return taken, season_risk(history, ground, taken, chosen, points, region, fitted)


def _take(
    history, ground, taken: Mapping[int, Taken], choices: Choices, year: int, thin: bool, region: Region
) -> Take[Estimate, Words]:
    """Does and bucks of this season and why, the two ends, and the meat."""
    matrix = female_matrix(**herd_rates(choices.farmland_pct, region=region))
    hold, growth = hold_rate(matrix), growth_rate(matrix)
    rate = hold
    if thin and history.fall.value:
        target = default("regen_limit", region) * history.fall.value / (history.winter.value or history.fall.value)
        rate = max(hold, take.thinning_rate(hold, history.fall.value, target))
    years = int(default("carry_years", region))
    basis = {s.year: s for s in history.seasons}
    falls = range(min(basis, default=year), year + 1)
    common = {"deaths_per_deer": choices.lost, "acres": ground.acres, "effective_ac": ground.effective_ac}
    does = {
        y: take.allowance(s.does_low, rate if y == year else hold, neighbors_per_sqmi=choices.around[1], **common)
        for y, s in basis.items()
    }
    bucks = {
        y: take.allowance(s.bucks, choices.buck_rate, neighbors_per_sqmi=choices.around[0], **common)
        for y, s in basis.items()
    }
    killed, fell = [taken.get(y, Taken()) for y in falls], [y in basis and basis[y].fell for y in falls]
    closed = {y for y, s in basis.items() if s.index_low or choices.given.goal == "grow"}
    budget = [does[y].own if y in does and y not in closed else 0.0 for y in falls]
    doe_n, doe_left = take.carry(budget, [k.does for k in killed], fell, years)
    budget = [bucks[y].share if y in bucks else 0.0 for y in falls]
    buck_n, buck_left = take.carry(budget, [k.bucks for k in killed], fell, years)
    measured = year in basis
    now_does, now_bucks = does.get(year), bucks.get(year)
    why_no_doe = _no_doe(history, measured, now_does, growth, choices)
    why_no_buck = None if measured else reason("not measured", of="bucks", why=history.why_not)
    if choices.tags[1] == 0:
        why_no_buck = why_no_buck or reason("no tag", one="buck")
    gone = taken.get(year, Taken())
    doe_n = 0 if why_no_doe else _under(doe_n, choices.tags[0], gone.does)
    buck_n = 0 if why_no_buck else _under(buck_n, choices.tags[1], gone.bucks)
    pounds = meat.meat_of_take(buck_n, doe_n, region=region)

    def why(one: str, whole: int, left: float, none: Reason | None, a: take.Allowance | None, part: str) -> Words:
        if none or a is None:
            return none or ""
        per_yr = float(getattr(a, part))
        small = take.scant(a, per_yr, one, ground.acres, years)
        return reason(
            "season", one=one, whole=whole, left=left, per_yr=per_yr, years=years,
            gone=getattr(gone, f"{one}s"), too_small=small,
        )  # fmt: skip

    return Take(
        does=doe_n,
        bucks=buck_n,
        does_words=why("doe", doe_n, doe_left, why_no_doe, now_does, "own"),
        bucks_words=why("buck", buck_n, buck_left, why_no_buck, now_bucks, "share"),
        measured=measured,
        does_per_yr=_end(now_does, "own"),
        does_if_neighbors_take_none=_end(now_does, "if_none"),
        does_if_local_rate=_end(now_does, "if_local"),
        bucks_per_yr=_end(now_bucks, "share"),
        bucks_if_neighbors_take_none=_end(now_bucks, "if_none"),
        bucks_if_local_rate=_end(now_bucks, "if_local"),
        hold_rate=hold,
        doe_rate=rate,
        growth_rate=growth,
        neighbors=Neighbors(*choices.around),
        neighbors_words=_neighbors(ground, now_does, now_bucks, choices),
        already_taken=gone,
        meat_lb=pounds,
        meals=meat.servings(pounds.value or 0.0, region),
        wish_words="",
    )


def _neighbors(ground, does: take.Allowance | None, bucks: take.Allowance | None, choices: Choices) -> Words:
    """Both ends: neighbors take none, neighbors take the local rate; "" where no season has a basis."""
    if does is None or bucks is None:
        return ""
    return reason(
        "neighbors", used_ac=ground.effective_ac, share_pct=ground.share_pct, none=(does.if_none, bucks.if_none),
        local=(does.if_local, bucks.if_local), around=choices.around[::-1], known=choices.around_known,
    )  # fmt: skip


def _parcel_acres(parcels) -> dict[str, float]:
    from woodlot.land.parcels import acres_once

    each = acres_once(parcels.geometry)
    return dict(zip(parcels["parcel_id"].astype(str), [float(a) for a in each], strict=True))


def _under(whole: int, tags: float | None, gone: float) -> int:
    return whole if tags is None else min(whole, max(0, int(tags - gone)))


def _end(a: take.Allowance | None, which: str) -> float | None:
    return None if a is None else float(getattr(a, which))


def _no_doe(history, measured: bool, now: take.Allowance | None, growth: float, choices: Choices) -> Reason | None:
    """Why no doe may be named; None when one may."""
    if not measured or now is None:
        return reason("not measured", of="does", why=history.why_not)
    if choices.given.goal == "grow":
        return reason("herd to grow")
    if history.seasons[-1].index_low:
        return reason("low index")
    if growth <= 1.0:
        return reason("no growth")
    if now.own <= 0:
        return reason("neighbors take all", known=choices.given.neighbor_does_per_sqmi is not None)
    return reason("no tag", one="doe") if choices.tags[0] == 0 else None
