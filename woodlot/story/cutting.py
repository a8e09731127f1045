"""Growth and the cut for one place: today's woods, what may be cut each year, when, and the job of this winter.

brought_to_day   the woods on the day asked
cutting          all of it
totals           all stands together
level_of         how often a range should hold the truth
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.columns import NO_COVER
from woodlot.place import Place
from woodlot.plan import job, pieces, scheduled, to_day, yearly, years
from woodlot.plan.scheduled import Scheduled
from woodlot.plan.woods import Woods
from woodlot.plan.yearly import Yearly
from woodlot.stand.overhead import Seen
from woodlot.story import ground
from woodlot.story.choices import choice

__all__ = ["Cutting", "brought_to_day", "cutting", "level_of", "totals"]


BY_ANY_COVER = "Its cover is not known, so the rule for any other cover is used: write its cover first."


@dataclass(frozen=True)
class Cutting:
    """What was found for one place.

    woods: on the day asked; yearly: ceilings; schedule: when; jobs: of this winter; growing: one row a stand in the
    form of ``story.growing``.
    """

    woods: Woods
    yearly: Yearly
    schedule: Scheduled
    jobs: list[dict[str, Any]]
    growing: pd.DataFrame


def level_of(place: Place) -> float:
    """Share of times a range should hold the truth, as the family or its region chose."""
    return float(choice(place, "level"))


def brought_to_day(place: Place, land_told: Any, stood: Any) -> Woods:
    """Every stand grown from the day of its plots to ``place.as_of``, less what the ledger says was cut.

    ``land_told`` and ``stood`` are ``story.measured`` and ``story.standing`` of the same place.
    """
    return to_day.bring_forward(
        land_told.stands,
        stood.stands,
        stood.table,
        stood.trees,
        stood.totals["cords by stand_id"],
        _own_growth(place),
        place.ledger,
        place.as_of,
        division=str(choice(place, "division")),
        solid_cuft_per_cord=float(choice(place, "solid_cuft_per_cord")),
        log_rule=str(choice(place, "log_rule")),
        region=place.region,
        bare=to_day.understory_bare(place.seedlings),
    )


def _own_growth(place: Place) -> pd.DataFrame:
    """Cores of the place, and trees on plots visited again."""
    twice = to_day.measured_twice(place.earlier_plots, place.earlier_trees, place.plots, place.trees)
    return pd.concat([place.cores.assign(twice=False), twice], ignore_index=True) if len(twice) else place.cores


def cutting(
    place: Place,
    land_told: Any,
    stood: Any,
    plan_years: int = 10,
    step: int = 1,
    cut_more: bool = False,
    seed: int = 1,
    over: Seen | None = None,
) -> Cutting:
    """What may be cut each year, when each stand is cut over the coming years, and the job of this winter.

    ``over`` is what rasters and water say (``ground.looked_at``); None: it is looked up. Strips along water, steep
    ground and stands that are not to be worked are in no acre that is cut.
    """
    woods = brought_to_day(place, land_told, stood)
    seen = ground.looked_at(place, land_told, pictures=False) if over is None else over
    stands = ground.to_work(land_told, seen)
    ceilings = yearly.yearly_cut(woods, stands, stood.totals["cords by stand_id"], place.region, level_of(place), seed)
    began = years.winter_began(place.as_of)
    when = scheduled.scheduled(
        woods,
        ceilings,
        stands,
        began.year,
        need_cords=place.needs.get("firewood_cord"),
        pieces=other_products(place, woods, stood),
        wanted=pieces.wanted(place.needs),
        taken_cords=years.cords_cut(place.ledger, began),
        days_per_yr=place.limits.get("days_of_work_per_yr"),
        years=plan_years,
        step=step,
        neighbors=scheduled.neighbors_of(land_told.stands),
        cut_more=cut_more,
        region=place.region,
        seed=seed,
    )
    away = stands.set_index("stand_id")["miles_from_home"]
    roads = job.ft_from_road(land_told.stands, place.features)
    todo = job.jobs(woods, ceilings, when, stands, stood.trees, away, roads, place.region) if step == 1 else []
    ids = stands["stand_id"].astype(str)
    left = dict(zip(ids, stands["left_out"], strict=True))
    may = ceilings.table["may"].to_numpy(dtype=bool)
    unknown = set(ids[(stands["cover"] == NO_COVER).to_numpy() & may])
    growing = when.growing.assign(words=_with_left_out(when.growing, left, may))
    growing["words"] = [_by_rule(s, w, unknown) for s, w in zip(ids, growing["words"], strict=True)]
    todo = [one | {"words": f"{one['words']} {left[one['stand_id']]}".strip()} for one in todo]
    todo = [one | {"words": _by_rule(one["stand_id"], one["words"], unknown)} for one in todo]
    return Cutting(woods, ceilings, when, todo, growing)


def other_products(place: Place, woods: Woods, stood: Any) -> pieces.Pieces:
    """Posts, poles and logs that the trees of each species and size give, for what the family's list asks."""
    return pieces.pieces_by_class(
        woods.species,
        stood.trees,
        place.needs,
        str(choice(place, "division")),
        float(choice(place, "solid_cuft_per_cord")),
        str(choice(place, "log_rule")),
        place.region,
    )


def _with_left_out(growing: pd.DataFrame, left: dict[str, str], may: np.ndarray) -> list[str]:
    """The words of each stand, and which of its acres are left out, where some of it may be cut."""
    rows = zip(growing["stand_id"].astype(str), growing["words"], may, strict=True)
    return [f"{said} {left[stand]}".strip() if cut else said for stand, said, cut in rows]


def _by_rule(stand: str, said: str, unknown: set[str]) -> str:
    """The words of a stand with the rule of its cut, where its cover is not known."""
    first, over, rest = said.partition(" Over the years ")
    return f"{first} {BY_ANY_COVER}{over}{rest}" if stand in unknown else said


def totals(found: Cutting) -> dict[str, Any]:
    """All stands together.

    Keys: growth (Estimate), ceiling_cords_per_yr, this_winter_cords, stands_this_winter (ids), words, caution.
    """
    now = found.growing[found.growing["this_winter"]]
    limit = found.yearly.limit
    told = (
        "The low end of the smallest of three ceilings: what grows, a share of the acres each year, and what leads to "
        "the stock to keep."
        if limit > 0
        else "Nothing may be cut this year."
    )
    return {
        "growth": found.yearly.whole["grows"],
        "ceiling_cords_per_yr": limit,
        "this_winter_cords": float(now["this_winter_cords"].sum()),
        "stands_this_winter": now["stand_id"].tolist(),
        "words": " ".join(filter(None, [told, found.schedule.stopped, *found.schedule.words])),
        "caution": " ".join(found.yearly.cautions),
    }
