"""Winter: how hard it was, by whatever was written down, and what it takes from the herd.

Loss, losses_by_fall    the winters a family wrote down or measured -> share of the herd lost, by the fall before
counted                 daily weather -> a scale's value by winter
days_lacking            winters whose weather has too few days to be counted
herd_loss               share of the herd lost, from a scale's value
points_of_loss          Wisconsin's points of a share lost
losses_by_age           that share split into fawns and grown deer
birth_share             births after such a winter, beside those after a mild one
deep_snow_weeks, yard_falls, conifer_share    where the deer of a spring's pellets stood in a yard

A biologist wants of each winter the share of the herd it took, from whatever measure there is, and never one state's
points turned into another's.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np
import pandas as pd

from woodlot.covers import are
from woodlot.deer.bag import fall_of
from woodlot.deer.defaults import default
from woodlot.deer.options import DeerSettings
from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.trade import SNOW_ALONE, WINTER_SCALES

__all__ = [
    "Loss",
    "birth_share",
    "conifer_share",
    "counted",
    "days_lacking",
    "deep_snow_weeks",
    "herd_loss",
    "losses_by_age",
    "losses_by_fall",
    "points_of_loss",
    "yard_falls",
]


class Loss(NamedTuple):
    """What a winter took: share of the herd, by which scale, what the scale measures and how much of it there was.

    weather: counted from daily weather, else as written; beside: (scale, value, weather) of what told this winter too
    and is set aside.
    """

    share: float
    scale: str
    measure: str
    value: float
    weather: bool = False
    beside: tuple[tuple[str, float, bool], ...] = ()


def losses_by_fall(winters: pd.DataFrame | None, region: Region) -> dict[int, Loss]:
    """Share of the herd that each winter took, by the year in which it began; a winter nobody told is not there.

    winters: rows of winters.csv. Of a winter told twice the surer measure counts: what is written before what is
    counted from weather, then by the order of ``trade.WINTER_SCALES``.
    """
    out: dict[int, Loss] = {}
    for fall, scale, value, weather in (*_written(winters), *_from_weather(winters, region)):
        if fall in out:
            out[fall] = out[fall]._replace(beside=(*out[fall].beside, (scale, value, weather)))
            continue
        out[fall] = Loss(herd_loss(value, scale, region), scale, _measure(scale, region), value, weather)
    return dict(sorted(out.items()))


def _written(winters: pd.DataFrame | None) -> Iterator[tuple[int, str, float, bool]]:
    if winters is None or not len(winters) or not {"winter", "points", "scale"} <= set(winters.columns):
        return
    told = winters[winters["points"].notna() & winters["scale"].notna()]
    for scale in WINTER_SCALES:
        rows = told[told["scale"].eq(scale)]
        yield from ((int(f), scale, float(x), False) for f, x in zip(rows["winter"], rows["points"], strict=True))


def _from_weather(winters: pd.DataFrame | None, region: Region) -> Iterator[tuple[int, str, float, bool]]:
    """By each winter's own rule, then by the others: one that needs snow alone is the last."""
    days = _days(winters, region)
    if not len(days):
        return
    own = days.groupby(fall_of(days.index))["scale"].first()
    rules = list(region.table("deer_winter_rules")["scale"])
    by = {scale: counted(winters, scale, region).set_index("winter")["value"].dropna().to_dict() for scale in rules}
    for fall, scale in zip(own.index, own, strict=True):
        first = scale if scale in by else rules[0]
        rule = next((one for one in (first, *rules) if fall in by[one]), None)
        if rule:
            yield int(fall), rule, float(by[rule][fall]), True


def _days(winters: pd.DataFrame | None, region: Region) -> pd.DataFrame:
    """A row a day: least_f, snow_in, scale; snow read every week or so in a straight line between readings."""
    names = ["least_f", "snow_in", "scale"]
    if winters is None or not len(winters) or "date" not in winters:
        return pd.DataFrame(columns=names, index=pd.DatetimeIndex([]))
    rows = winters.reindex(columns=["date", *names])
    rows = rows[rows["date"].notna() & (rows["least_f"].notna() | rows["snow_in"].notna())]
    rows = rows.set_index(pd.DatetimeIndex(pd.to_datetime(rows["date"]), name="date"))[names].sort_index()
    if rows.index.has_duplicates:
        raise InputError(f"two rows for {rows.index[rows.index.duplicated()][0]:%Y-%m-%d}; one row a day is needed")
    days = rows.astype({"least_f": float, "snow_in": float}).asfreq("D") if len(rows) else rows
    read = pd.Series(np.arange(len(days), dtype=float), index=days.index).where(days["snow_in"].notna())
    near = read.bfill() - read.ffill() <= region.figure("defaults_herd", "snow_reading_days")
    return days.assign(snow_in=days["snow_in"].astype(float).interpolate().where(near))


def counted(winters: pd.DataFrame | None, scale: str, region: Region) -> pd.DataFrame:
    """Daily weather by a scale's rule: winter (the year it began), value, days known, days wanted.

    winters: a row a day with date, least_f [F, lowest that day], snow_in [in on the ground]. A point for each day as
    cold as the rule says, another for each day of so much snow; a rule without cold counts days of snow alone. A winter
    with more than a tenth of its days missing has no value (NaN).
    """
    rules = region.records("deer_winter_rules", "scale")
    if scale not in rules:
        raise InputError(f"there is no rule by which the winter scale {scale!r} counts weather")
    rule, days = rules[scale], _days(winters, region)
    first, last = int(rule["first_month"]), int(rule["last_month"])
    month = pd.DatetimeIndex(days.index).month
    days = days[(month >= first) | (month <= last)]
    known, value = days["snow_in"].notna(), (days["snow_in"] >= float(rule["snow_in"])).astype(float)
    if pd.notna(rule["cold_f"]):
        known &= days["least_f"].notna()
        value += days["least_f"].astype(float) <= float(rule["cold_f"])
    by = pd.DataFrame({"value": value.where(known), "days": known}).groupby(fall_of(days.index)).sum()
    ends = [(pd.Timestamp(y, first, 1), pd.Timestamp(y + 1, last, 1) + pd.offsets.MonthEnd()) for y in by.index]
    wanted = np.array([(end - begin).days + 1 for begin, end in ends], dtype=float)
    whole = by["days"].to_numpy() >= (1.0 - default("winter_days_missing", region)) * wanted
    return pd.DataFrame(
        {"winter": by.index, "value": by["value"].where(whole).to_numpy(), "days": by["days"].to_numpy(int),
         "wanted": wanted.astype(int)}
    )  # fmt: skip


def days_lacking(winters: pd.DataFrame | None, region: Region) -> dict[int, tuple[int, int]]:
    """Winters with weather that no rule can count and nothing written: (days with snow read, days wanted)."""
    days = _days(winters, region)
    if not len(days):
        return {}
    told = losses_by_fall(winters, region)
    snow = counted(winters, SNOW_ALONE, region)
    rows = zip(snow["winter"], snow["days"], snow["wanted"], strict=True)
    return {int(fall): (int(have), int(of)) for fall, have, of in rows if fall not in told}


def _curve(scale: str, region: Region) -> pd.DataFrame:
    def rows(region: Region) -> pd.DataFrame:
        curve = region.table("deer_winter_loss")
        return curve[curve["scale"] == scale]

    return region.once(("deer_winter_loss", scale), rows)


def _measure(scale: str, region: Region) -> str:
    return str(_curve(scale, region)["measure"].iloc[0])


def herd_loss(value, scale: str, region: Region):
    """Share of the herd that a winter of this value in a scale's measure takes; number or array.

    Notes: straight lines between the rows of deer_winter_loss.csv, flat beyond them.
    Raises InputError for a value below zero or a scale that has no rows.
    """
    curve = _curve(scale, region)
    if not len(curve):
        raise InputError(f"no losses are known for the winter scale {scale!r}")
    if np.any(np.asarray(value, dtype=float) < 0):
        raise InputError(f"winter points cannot be negative, was {value!r}")
    out = np.interp(value, curve["value"].to_numpy(float), curve["herd_loss"].to_numpy(float))
    return float(out) if np.ndim(value) == 0 else out


def points_of_loss(loss, region: Region):
    """Wisconsin's points of a winter that takes this share of the herd: .08 -> 68, .12 -> 88, .30 -> 175."""
    curve = _curve("wisconsin", region)
    out = np.interp(loss, curve["herd_loss"].to_numpy(float), curve["value"].to_numpy(float))
    return float(out) if np.ndim(loss) == 0 else out


def losses_by_age(herd_loss, region: Region):
    """Share of fawns and share of grown deer lost, from the share of the whole herd lost: (fawns, grown)."""
    fawns = np.minimum(default("winter_fawn_loss_cap", region), default("winter_fawn_loss_ratio", region) * herd_loss)
    return fawns, default("winter_adult_loss_ratio", region) * herd_loss


def birth_share(points, region: Region):
    """Births after a winter of these points as a share of those after a mild one (1 down to 0.8)."""
    start, full = default("birth_loss_from_points", region), default("birth_loss_full_points", region)
    return 1.0 - default("birth_loss_hard_winter", region) * np.clip((points - start) / (full - start), 0.0, 1.0)


def deep_snow_weeks(winters: pd.DataFrame | None, region: Region) -> pd.Series:
    """Weeks of snow at yarding depth by winter (the year in which it began): as written, else from days of snow."""
    days = _days(winters, region)
    snow = days["snow_in"].dropna()
    weeks = (snow >= default("deep_snow_yard", region)).groupby(fall_of(snow.index).rename("winter")).sum() / 7.0
    if winters is not None and len(winters) and "deep_snow_weeks" in winters:
        told = winters[winters["deep_snow_weeks"].notna()]
        weeks = told.groupby(told["winter"].astype(int))["deep_snow_weeks"].max().astype(float).combine_first(weeks)
    return weeks.astype(float)


def yard_falls(
    winters: pd.DataFrame | None, stands, options: DeerSettings, falls: Iterable[int], region: Region
) -> frozenset[int]:
    """Falls whose spring's pellets are of a winter yard: two weeks or more of 15 in. of snow near conifers.

    falls: of the record, the season that is asked for last; ``options.weeks_of_deep_snow`` speaks of the winter before
    that season, where winters.csv does not tell its weeks.
    """
    falls = sorted(set(falls))
    if not falls or conifer_share(stands, region) < default("conifer_share_yard", region):
        return frozenset()
    weeks = deep_snow_weeks(winters, region).to_dict()
    written = set() if winters is None or "deep_snow_weeks" not in winters else set(
        winters.loc[winters["deep_snow_weeks"].notna(), "winter"].astype(int)
    )  # fmt: skip
    last = falls[-1] - 1
    if options.weeks_of_deep_snow is not None and last not in written:
        weeks[last] = float(options.weeks_of_deep_snow)
    least = default("deep_snow_weeks_yard", region)
    return frozenset(fall for fall in falls if weeks.get(fall, 0.0) >= least)


def conifer_share(stands, region: Region) -> float:
    """Share of the stands' acres that shelter deer in winter."""
    if stands is None or len(stands) == 0:
        return 0.0
    from woodlot.land.parcels import acres_once

    acres = pd.Series(acres_once(stands.geometry), index=stands.index)
    return float(acres[are(stands["cover"], "shelter", region)].sum() / acres.sum())
