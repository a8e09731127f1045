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
    *,
    own_ac: float,
    no_doe: bool,
    region: Region,
) -> Take[Estimate, Words]:
    """The take with the meat of this season's kills, and with ten years of the ground where there is a herd.

    bag: rows of bag.csv; ledger: its standing lines; own_ac: the family's own acres; no_doe: the wish is more deer.
    """
    eaten = meat.meat_of_kills(bag, ledger, herd.season, region=region)
    taken = replace(taken, eaten_lb=eaten if eaten.n else None)
    if herd.used is None or taken.bank_yr is None:
        return taken
    ten = ten_years(
        herd.used,
        herd.record.ground,
        _season(taken, choices, no_doe),
        choices.meat_lb,
        own_ac=own_ac,
        seed=herd.seed,
        region=region,
    )
    return replace(taken, ten_years=ten, wish_words=ten.words)


def _season(taken: Take[Estimate, Words], choices: Choices, no_doe: bool) -> Season:
    """What the ten falls begin with; where the wish is more deer no doe is taken in any of them."""
    gone = taken.already_taken
    return Season(
        does_per_yr=0.0 if no_doe else taken.does_per_yr or 0.0,
        bucks_per_yr=taken.bucks_per_yr or 0.0,
        bank_yr=taken.bank_yr or (1.0, 1.0),
        tags=choices.tags,
        taken=(gone.does, gone.bucks),
        closed=bool(taken.closed),
        halved=bool(taken.halved),
    )
