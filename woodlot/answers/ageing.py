"""How stands age: those that fall apart, those whose age is asked, those that are older than most of their kind.

AgeingStand, ageing_answers   one for each such stand; ageing_lines: all of them in few lines
Account, account_answer       what a mean acre gains and loses a year
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from woodlot.answers.plain_cells import number, records
from woodlot.plan.woods import Run
from woodlot.region import Region
from woodlot.say import ageing
from woodlot.stand.ageing import breakup, reach_share
from woodlot.tree.growth import growth_default

#: Share of trees that reach an age under which that is said.
FEW = 0.5

__all__ = ["Account", "AgeingStand", "account_answer", "ageing_answers", "ageing_lines"]


@dataclass(frozen=True, kw_only=True)
class AgeingStand:
    """How one stand ages. kind: its main kind, or the main one that breaks up; ages in years, fast and slow pace beside
    the stand's own (latest_cut_yr); falling_apart: whether that kind is past its onset; reach_share: of trees of the
    kind, where few become as old; line: the least there is to say of it.
    """

    stand_id: str
    kind: str
    age_yr: float | None
    pace: str
    onset_fast_yr: float | None
    onset_slow_yr: float | None
    half_fast_yr: float | None
    half_slow_yr: float | None
    latest_cut_yr: float | None
    falling_apart: bool
    age_asked: bool
    reach_share: float | None
    words: str
    line: str


@dataclass(frozen=True, kw_only=True)
class Account:
    """What a mean acre of the stands shown gains and loses a year, uncut [sq ft], and cords that fall apart by age."""

    years: int
    survivor_sqft: float
    ingrowth_sqft: float
    mortality_sqft: float
    broken_cords: float
    words: str


def ageing_answers(stands: pd.DataFrame, *, region: Region) -> tuple[AgeingStand, ...]:
    """Those of ``Woods.stands`` of which there is something to say."""
    return tuple(told for row in records(stands) if (told := _one(row, region)))


def _one(row: dict, region: Region) -> AgeingStand | None:
    kind, age, reach = row["short_kind"] or row["main"], row["age_yr"], None
    if not kind:
        return None
    fast, slow = (breakup([kind], pace, region=region) for pace in ("fast", "slow"))
    onset, half = ([float(getattr(one, name)[0]) for one in (fast, slow)] for name in ("onset_yr", "half_yr"))
    if row["age_asked"]:
        words = ageing.age_asked(kind, growth_default("unknown_age_yr", region=region))
        line = words
    elif not np.isfinite(age):
        return None
    elif row["short_kind"]:
        due = "past" if age >= row["onset_yr"] else "due" if age >= row["latest_cut_yr"] else "waits"
        line = ageing.due_line(kind, age, row["latest_cut_yr"], due)
        words = ageing.breaks_up(kind, age, row["latest_cut_yr"], onset, half, row["pace"], due, row["brush"])
    else:
        reach = reach_share(kind, age, region=region)
        if not reach < FEW:
            return None
        line = words = ageing.few_reach(kind, age, reach)
    return AgeingStand(
        **{name: row[name] for name in ("stand_id", "pace", "age_asked")},
        falling_apart=bool(row["short_kind"]) and bool(age >= row["onset_yr"]),
        onset_fast_yr=number(onset[0]),
        onset_slow_yr=number(onset[1]),
        half_fast_yr=number(half[0]),
        half_slow_yr=number(half[1]),
        kind=kind,
        age_yr=number(age),
        latest_cut_yr=number(row["latest_cut_yr"]),
        reach_share=reach,
        words=words,
        line=line,
    )


def ageing_lines(stands: Sequence[AgeingStand]) -> tuple[str, ...]:
    """Each stand's line, and the ages of each kind that breaks up once."""
    return ageing.briefly((one.stand_id, one.line, _ages(one)) for one in stands)


def _ages(of: AgeingStand) -> str:
    """When its kind falls apart, where its age says something of it."""
    ends = (of.onset_fast_yr, of.onset_slow_yr), (of.half_fast_yr, of.half_slow_yr)
    known = [[end for end in pair if end is not None] for pair in ends]
    if of.age_asked or of.latest_cut_yr is None or min(map(len, known)) < 2:
        return ""
    return ageing.ages_line(of.kind, *known)


def account_answer(path: Run, acres: np.ndarray, years: int) -> Account | None:
    """Of stands with so many acres each (0 for those that are not shown); None where none is."""
    if not acres.sum() > 0 or years < 1:
        return None
    survivor, ingrowth, mortality = (
        float((np.nan_to_num(one) @ acres).mean() / acres.sum())
        for one in (path.survivor, path.ingrowth, path.mortality)
    )
    broken = float((np.nan_to_num(path.broken) @ acres).sum())
    return Account(
        years=years,
        survivor_sqft=survivor,
        ingrowth_sqft=ingrowth,
        mortality_sqft=mortality,
        broken_cords=broken,
        words=ageing.account(years, survivor, ingrowth, mortality, broken),
    )
