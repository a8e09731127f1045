"""What winters.csv and bag.csv tell of deer, beyond single cells: whose winter, which season, and what says nothing.

fill_winters    winters with their year, weather with the rule of the family's state
fill_seasons    the bag with the season of each deer, by its day where no year is written
"""

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from woodlot.deer.bag import fall_of, milk_tells
from woodlot.deer.winter import Loss, days_lacking, losses_by_fall
from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.region import Region
from woodlot.say.words import first_of, plural
from woodlot.trade import AGES_YR, ANTLERED, DOES, WINTER_SCALES, key_of

__all__ = ["fill_seasons", "fill_winters"]

#: The most that a scale's measure can be: days of a winter, percent.
MOST = {"michigan": (240, "days"), "maine": (100, "percent")}


def fill_winters(winters: Sheet, state: str, faults: list[Fault], notes: list[str], *, region: Region) -> Sheet:
    """Winters with their year from the day where it is empty; each row needs points with scale, weeks, or weather.

    state: the family's, whose rule counts daily weather that names none. Winters that are told twice, counted from
    weather or cannot be counted are remarked on.
    """
    frame = winters.frame
    day, points = frame["date"], frame["points"].notna()
    year = frame["winter"].where(frame["winter"].notna(), fall_of(day).astype("Int64"))
    weather = day.notna() & (frame["least_f"].notna() | frame["snow_in"].notna())
    weeks = frame["deep_snow_weeks"].notna()
    wrong = winters.is_wrong("points", "date", "least_f", "snow_in", "deep_snow_weeks")
    undated = year.isna() & ~winters.is_wrong("winter", "date")
    nothing = "Write points with their scale, deep_snow_weeks, or date with snow_in (and least_f)."
    unnamed = f"Whose points are they? Write {', '.join(WINTER_SCALES)}; scales are never mixed."
    for where, column, remedy in (
        (undated, "winter", "Write the year in which the winter began, or a date."),
        (~points & ~weather & ~weeks & ~wrong, "points", nothing),
        (points & frame["scale"].isna() & ~winters.is_wrong("scale"), "scale", unnamed),
    ):
        faults += winters.faults(where, column, remedy)
    for scale, (most, of) in MOST.items():
        over = frame["scale"].eq(scale) & (frame["points"] > most)
        faults += winters.faults(over, "points", f"Of {scale} these are {of}: {most} at most.")
    dated = frame.assign(winter=year)
    for told, by, column in ((points, ["winter", "scale"], "winter"), (weeks, ["winter"], "deep_snow_weeks")):
        again = told & dated.where(told).duplicated(by, keep="first") & day.isna()
        faults += winters.faults(again, column, "This winter stands above already.", lambda at: str(year.iloc[at]))
    twice = weather & day.where(weather).duplicated(keep="first")
    faults += winters.faults(twice, "date", "This day stands above already. One row a day is needed.")
    own = key_of(state, WINTER_SCALES)
    rule = frame["scale"].where(~weather | frame["scale"].notna(), own if own in WINTER_SCALES else None)
    filled = frame.assign(winter=year.fillna(0).astype("int64"), scale=rule)
    if not twice.any():
        notes += _winters_told(winters.file, filled, own in WINTER_SCALES, region)
    return replace(winters, frame=filled)


def _winters_told(file: str, winters: pd.DataFrame, known: bool, region: Region) -> list[str]:
    """Remarks: winters counted from weather, told twice, or with too few days."""
    losses, lacking = losses_by_fall(winters, region), days_lacking(winters, region)
    out = []
    if counted := [f"{fall}: {_much(loss)}" for fall, loss in losses.items() if loss.weather]:
        out.append(
            f"{file}: counted from daily weather, by the year in which the winter began: {first_of(counted, 6)}."
            + ("" if known else " Another state's rule counts where state is written in place.toml, [choices].")
        )
    if twice := {fall: loss for fall, loss in losses.items() if loss.beside}:
        out.append(f"{file}: told in more than one way, of which the first counts: {first_of(_ways(twice), 6)}.")
    if lacking:
        few = [f"{fall} ({have} of {of} days)" for fall, (have, of) in lacking.items()]
        out.append(f"{file}: too few days of snow to count the winter: {first_of(few, 6)}. A reading a week is enough.")
    return out


def _much(loss: Loss) -> str:
    return f"{loss.value:g} {loss.measure}, by the rule of {loss.scale.title()}"


def _ways(twice: Mapping[int, Loss]) -> list[str]:
    return [
        f"{fall} " + " before ".join(f"{scale.title()} {value:g}" for scale, value in _each(loss))
        for fall, loss in twice.items()
    ]


def _each(loss: Loss) -> list[tuple[str, float]]:
    return [(loss.scale, loss.value), *((scale, value) for scale, value, _ in loss.beside)]


def fill_seasons(bag: Sheet, faults: list[Fault], notes: list[str], *, region: Region) -> Sheet:
    """The bag with the season of each deer, and the faults of rows in which one cell gainsays another."""
    frame = bag.frame
    day, year, who, age = frame["date"], frame["year"], frame["sex_age"], frame["age_yr"]
    fall = fall_of(day).astype("Int64")
    bare = year.isna() & fall.isna() & ~bag.is_wrong("year", "date")
    other = (year.notna() & fall.notna() & (year != fall)).fillna(False)
    faults += bag.faults(bare, "year", "Write the year in which the season began, or the day it was taken.")
    faults += bag.faults(
        other, "year", lambda at: f"{day.iloc[at]:%Y-%m-%d} is of the season that began in {fall.iloc[at]}."
    )
    low, high = (who.map({kind: ages[at] for kind, ages in AGES_YR.items()}) for at in (0, 1))
    faults += bag.faults(
        (age < low) | (age > high),
        "age_yr",
        lambda at: f"A {who.iloc[at]} is {low.iloc[at]:g} to {high.iloc[at]:g} years old. Which of the two is a slip?",
    )
    faults += bag.faults(frame["milk"].notna() & ~who.isin(DOES) & who.notna(), "milk", "Only a grown doe has milk.")
    faults += bag.faults(
        frame["beam_in"].notna() & ~who.isin(ANTLERED) & who.notna(), "beam_in", "Only a buck has beams."
    )
    lost = frame["milk"].notna() & ~milk_tells(frame, region)
    if lost.any():
        notes.append(
            f"{bag.file}: milk of {plural(int(lost.sum()), 'row')} tells nothing of fawns: it does up to "
            "mid-November, with the day in the column date."
        )
    return replace(bag, frame=frame.assign(year=year.fillna(fall).fillna(0).astype("int64")))
