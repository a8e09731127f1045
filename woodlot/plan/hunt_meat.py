"""The meat of a season's take: what is in already, and what ten years of the ground give beside the wish.

with_meat     a take with both
"""

from dataclasses import replace

import pandas as pd

from woodlot.deer import meat
from woodlot.deer.answer import Take, Words
from woodlot.deer.herd_answer import HerdAnswer
from woodlot.deer.ten_years import Season, ten_years
from woodlot.estimate import Estimate
from woodlot.plan.hunt_choices import Choices
from woodlot.region import Region

__all__ = ["with_meat"]


def with_meat(
    taken: Take[Estimate, Words],
    herd: HerdAnswer,
    choices: Choices,
    bag: pd.DataFrame | None,
    ledger: pd.DataFrame | None,
    part: float,
    region: Region,
) -> Take[Estimate, Words]:
    """The take with the meat of this season's kills, and with ten years of the ground where there is a herd.

    bag: rows of bag.csv; ledger: its standing lines; part: the family's part of the ground, where neighbors pool.
    """
    eaten = meat.meat_of_kills(bag, ledger, herd.season, region=region)
    taken = replace(taken, eaten_lb=eaten if eaten.n else None)
    used, growing, first = herd.used, herd.growing, herd.reference
    if used is None or growing is None or first is None or taken.does_per_yr is None or taken.bucks_per_yr is None:
        return taken
    ten = ten_years(
        used,
        herd.record.ground,
        growing,
        first,
        _season(taken, herd, choices, region),
        choices.meat_lb,
        part=part,
        seed=herd.seed,
        region=region,
    )
    return replace(taken, ten_years=ten, wish_words=ten.words)


def _season(taken: Take, herd: HerdAnswer, choices: Choices, region: Region) -> Season:
    """What the ten falls begin with; where the wish is more deer no doe is taken in any of them."""
    does, bucks = taken.does_per_yr or 0.0, taken.bucks_per_yr or 0.0
    ground = herd.record.ground
    all_ground = (taken.does_if_neighbors_take_none or 0.0) / ground.range_sqmi
    overhunted = taken.neighbors.does_per_sqmi > region.figure("defaults_herd", "overhunted") * all_ground
    fresh = region.figure("defaults_herd", "bank_start_deer")
    bank = taken.bank_yr or tuple(fresh / share + 1.0 if share else 1.0 for share in (does, bucks))
    return Season(
        does_per_yr=0.0 if choices.given.goal == "grow" else does,
        bucks_per_yr=bucks,
        bank_yr=(bank[0], bank[1]),
        tags=choices.tags,
        closed=bool(taken.closed),
        halved=overhunted,
    )
