"""What ``woodlot grow`` shows: what stands today, what it grows, and where it goes if nobody cuts.

GrowAnswer, grow_answer   the answer, from the chapters
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from woodlot.answers.ageing import Account, AgeingStand, account_answer, ageing_answers, ageing_lines
from woodlot.answers.as_json import LEFT_OUT
from woodlot.answers.cut import balance_answer
from woodlot.answers.cut_verb import memory_notes
from woodlot.answers.plain_cells import number, picked, records
from woodlot.answers.stand_types import Balance
from woodlot.answers.year_types import YearTold
from woodlot.answers.years_told import how_told, years_of
from woodlot.estimate import Number
from woodlot.plan.balance import total
from woodlot.plan.ceilings import Yearly
from woodlot.plan.woods import CASES, run
from woodlot.say import days, growth
from woodlot.say.cut import since_plots_words
from woodlot.say.reasons import plain, said
from woodlot.season import Season
from woodlot.tree.growth import cored_pct, growth_default

__all__ = ["GrowAnswer", "GrownStand", "grow_answer"]


@dataclass(frozen=True, kw_only=True)
class GrownStand:
    """A stand brought forward to the day asked, what it grows (cords a year, uncut), what it holds years later, and the
    years told of it.
    """

    stand_id: str
    parcel_id: str | None
    cover: str
    way: str
    acres: float
    seasons: int
    cores: int
    cut_cords: float
    words: str
    basal_sqft_per_ac: float | None
    later_sqft_per_ac: float | None
    cords: float | None
    cords_then: float | None
    growth_low: float | None
    growth_mid: float | None
    growth_high: float | None
    years_told: tuple[YearTold, ...]
    years_words: str


@dataclass(frozen=True)
class BalanceOfStand(Balance):
    """Growth against cut of one stand."""

    stand_id: str


@dataclass(frozen=True)
class CordsOfYear:
    """Cords standing in all stands shown, uncut, by low, middle and high growth."""

    year: int
    low: float
    mid: float
    high: float


@dataclass(frozen=True, kw_only=True)
class GrowAnswer:
    """The growth of a place, a parcel or a stand. growth: of all these stands together; balances: growth against cut of
    the stands in which wood was cut; balance: of all that are shown; years_words: how the years told are to be read;
    ageing: stands that fall apart at an age, or should; ageing_words: all of them in few lines; account: what lives,
    grows in and dies; cored: what cored trees grew, in percent of today's basal area, where no plot says what stands.
    """

    stands: tuple[GrownStand, ...]
    growth: Number
    path: tuple[CordsOfYear, ...]
    notes: tuple[str, ...]
    before: tuple[str, ...]
    words: str
    years_words: str
    balances: tuple[BalanceOfStand, ...]
    balance: Balance | None
    ageing: tuple[AgeingStand, ...]
    ageing_words: tuple[str, ...]
    account: Account | None
    cored: Number | None = field(default=None, metadata=LEFT_OUT)


def grow_answer(season: Season, years: int, parcel: str | None, stand: str | None) -> GrowAnswer:
    """Today's wood of one parcel or stand or all of them, its growth, and ``years`` years of it uncut."""
    woods, growing, region = season.woods, season.ceilings, season.place.region
    balances, told = season.balances, years_of(season)
    paths = {case: run(woods, years, case, region=region) for case in CASES}
    frame = woods.stands.reset_index(drop=True)
    frame["grows"] = list(growing.table["grows"])
    known_yr = int(growth_default("unknown_age_yr", region=region))
    asked = frame["age_asked"].to_numpy(dtype=bool)
    frame["basal_later"] = np.where(frame["bare"] | (asked & (years > known_yr)), np.nan, paths["mid"].basal[-1])
    here = picked(frame, parcel, stand)
    stands = tuple(_stand(row, *told[row["stand_id"]]) for row in records(here))
    horizon = growth_default("horizon_yr", region=region)
    changed = (here["cut_cords"] > 0) | here["bare"] | here["young"]
    acres = frame["acres"].to_numpy() * (frame.index.isin(here.index) & ~frame["bare"].to_numpy(dtype=bool))
    at = [*range(0, years, max(1, years // 5)), years]
    until = np.where(asked, np.minimum(np.arange(years + 1)[:, None], known_yr), np.arange(years + 1)[:, None])
    cords = [(np.nan_to_num(np.take_along_axis(paths[case].cords, until, axis=0)) @ acres)[at] for case in CASES]
    with_plots = here[here["cords_then"].notna()]
    ageing = ageing_answers(here, region=region)
    cores = season.place.cores
    if parcel is not None or stand is not None:
        cores = cores[cores["stand_id"].isin(here["stand_id"])]
    return GrowAnswer(
        stands=stands,
        growth=_growth(growing, parcel, stand),
        path=tuple(CordsOfYear(*row) for row in zip(at, *(one.tolist() for one in cords), strict=True)),
        notes=(
            *map(said, (*growing.cautions, *woods.visits, *woods.left_out)),
            *([growth.beyond(horizon)] if years > horizon else []),
            *memory_notes(woods, region=region),
            *(f"Stand {one.stand_id}: {one.words}" for one, is_new in zip(stands, changed, strict=True) if is_new),
        ),
        before=tuple(days.before_words(list(with_plots["stand_id"]), with_plots["measured_on"], season.day)),
        words=_today(here, with_plots["measured_on"], season),
        years_words=how_told(season),
        balances=tuple(
            BalanceOfStand(**vars(made), stand_id=one)
            for one in here["stand_id"]
            if (made := balance_answer(balances.get(one))) and made.cut_cords
        ),
        balance=balance_answer(total(balances[one] for one in here["stand_id"] if one in balances)),
        ageing=ageing,
        ageing_words=ageing_lines(ageing),
        account=account_answer(paths["mid"], acres, years),
        cored=plain(cored_pct(cores, season.level)) if len(cores) and not len(with_plots) else None,
    )


def _growth(growing: Yearly, parcel: str | None, stand: str | None) -> Number:
    """What all stands grow, those of a parcel, or one."""
    if stand is not None:
        table = growing.table.set_index("stand_id")
        return plain(table["grows"].get(stand))
    return plain((growing.whole if parcel is None else growing.parcels.get(parcel, {})).get("grows"))


def _stand(row: dict[str, Any], years: tuple[YearTold, ...], line: str) -> GrownStand:
    acres, grows = row["acres"], plain(row["grows"])
    return GrownStand(
        **{name: row[name] for name in ("stand_id", "parcel_id", "cover", "way", "acres", "seasons", "cut_cords")},
        cores=int(row["cores"]),
        words=since_plots_words(row),
        basal_sqft_per_ac=None if row["bare"] else number(row["basal"]),
        later_sqft_per_ac=number(row["basal_later"]),
        cords=number(row["cords"] * acres),
        cords_then=number(row["cords_then"] * acres),
        growth_low=grows.low,
        growth_mid=grows.value,
        growth_high=grows.high,
        years_told=years,
        years_words=line,
    )


def _today(here: pd.DataFrame, measured_on: pd.Series, season: Season) -> str:
    """On which day the cords stand, and why they are not those of ``woodlot scale``."""
    now, then = (float(np.nansum(here[name] * here["acres"])) for name in ("cords", "cords_then"))
    grown = bool((here["seasons"] > 0).any())
    return growth.today(now, then, float(here["cut_cords"].sum()), grown, measured_on, season.day)
