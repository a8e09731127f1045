"""Single trees that can be so but are likely a slip, and columns in which most rows are.

Heights are held against the region's height curve, merchantable heights against the 4-in top that the national
equations give over it, diameters and logs against what the kind comes to (tree_form.csv). One remark a rule, with the
first rows, what stands there and what would be usual; where most rows of a column look odd the column is asked about.

odd_trees         the remarks of a table
odd_rules         the rules, each with the trees for which it asks
say_rows          one remark for many rows
as_sticks_or_logs what a height would be, had it been counted in sticks or logs
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from woodlot.place.checked import Sheet
from woodlot.region import Region
from woodlot.say.words import noun, plural
from woodlot.tree.stem import height_ft_default
from woodlot.tree.westfall import parts_westfall_2024
from woodlot.units import BREAST_FT, CM_PER_IN, IN_PER_FT, LOG_FT, M_PER_FT

__all__ = ["FEW", "Odd", "as_sticks_or_logs", "odd_rules", "odd_trees", "say_rows"]

#: Rows that a remark names, and the least by which a column looks odd as a whole.
FEW = 5


@dataclass(frozen=True)
class Odd:
    """A rule: the trees for which it asks, the words of one by its position, and what is asked.

    of: trees that say something in the column; where ``most`` of them are odd ``ask_column`` is asked instead.
    """

    where: pd.Series
    words: Callable[[int], str]
    ask: str
    of: pd.Series | None = None
    ask_column: str = ""
    most: float = 0.5

    @property
    def of_column(self) -> bool:
        """Whether the column looks odd as a whole."""
        return self.of is not None and self.where.sum() >= max(FEW, self.most * self.of.sum())


def say_rows(
    sheet: Sheet, where: Any, notes: list[str], words: Callable[[int], str], ask: str, head: str = "", named: int = FEW
) -> None:
    """One remark for the rows where ``where`` is true, the first ``named`` of them with their words."""
    at = np.flatnonzero(np.asarray(where, dtype=bool))
    if len(at):
        rows = "; ".join(f"row {sheet.rows[one]}, {words(one)}" for one in at[:named])
        more = f"; and {len(at) - named:,} more" if len(at) > named else ""
        notes.append(f"{sheet.file}: {head}{rows}{more}. {ask}")


def as_sticks_or_logs(many: float, region: Region) -> str:
    """What a merchantable height would be had it been counted in sticks or in logs."""
    figure = partial(region.figure, "defaults_tree")
    stick_in, log_ft = figure("stick_in"), LOG_FT + figure("log_trim_ft")
    sticks_ft = many * stick_in / IN_PER_FT
    return (
        f"{many:g} sticks of {stick_in:g} in are {sticks_ft:.0f} ft, {many:g} {noun(many, 'log')} {many * log_ft:.0f}"
    )


def odd_trees(sheet: Sheet, region: Region, notes: list[str]) -> None:
    """Append the remarks on single trees of trees or tally, and on their columns as a whole."""
    whole = sheet.frame
    at = np.flatnonzero(whole["species"].isin(region.species.listed) & whole["dbh_in"].notna())
    if not len(at):
        return
    some = replace(sheet, frame=whole.iloc[at].reset_index(drop=True), rows=np.asarray(sheet.rows)[at], wrong={})
    for rule in odd_rules(some.frame, region):
        if rule.of is not None and rule.of_column:
            head = f"{int(rule.where.sum()):,} of {plural(int(rule.of.sum()), 'row')}: "
            say_rows(some, rule.where, notes, rule.words, rule.ask_column, head, 3)
        else:
            say_rows(some, rule.where, notes, rule.words, rule.ask)


def odd_rules(frame: pd.DataFrame, region: Region) -> list[Odd]:
    """All rules on trees with a listed species and a diameter, numbered from 0."""
    trees = _with_usual(frame, region)
    return [*_heights(trees, region), _thickness(trees, region), *_merch(trees, region), *_logs(trees, region)]


def _with_usual(frame: pd.DataFrame, region: Region) -> pd.DataFrame:
    """Trees with what is usual and what is the most for their kind and diameter.

    usual_ft: the region's curve, no more than a tall tree of the kind; most_ft: the share of the curve over which it is
    asked, no more than the tallest of the kind. A kind of several species has the largest limits of any of them, one
    without a row the largest there are.
    """
    figure, forms = partial(region.figure, "defaults_tree"), region.table("tree_form", rows=())
    out = frame[["species", "dbh_in", "height_ft", "merch_ft", "logs_16ft", "alive"]].astype({"species": "category"})
    limits = forms.set_index("species")[["tall_ft", "tallest_ft", "thick_in", "thickest_in"]]
    kinds = list(out["species"].cat.categories)
    largest = pd.DataFrame({kind: limits.reindex(region.species.members(kind)).max() for kind in kinds}).T
    region.species.read_rows("tree_form", kinds)
    out[limits.columns] = largest.fillna(limits.max()).to_numpy()[out["species"].cat.codes]
    out["merch_tree"] = out["dbh_in"] >= figure("merch_dbh_in")
    curve = height_ft_default(out["dbh_in"], out["species"], region)
    out["usual_ft"] = np.minimum(curve, out["tall_ft"])
    high = np.minimum(curve * figure("height_share_high"), out["tallest_ft"])
    out["most_ft"] = high.where(out["merch_tree"], out["tallest_ft"])
    return out


def _heights(trees: pd.DataFrame, region: Region) -> list[Odd]:
    figure = partial(region.figure, "defaults_tree")
    height, dbh = trees["height_ft"], trees["dbh_in"]

    def words(at: int) -> str:
        return f"{height[at]:g} ft on {dbh[at]:g} in, where {trees['usual_ft'][at]:.0f} ft is usual"

    said = height.notna() & trees["merch_tree"] & trees["alive"]
    low = said & (height < figure("height_share_low") * trees["usual_ft"])
    high = height > trees["most_ft"]
    times = (height - BREAST_FT) * IN_PER_FT / dbh
    thin = dbh < figure("slender_thin_in")
    slender = times > np.where(thin, figure("slender_asked_thin"), figure("slender_asked"))
    meters = "Are these meters? Then name the column height_m."
    return [
        Odd(low, words, f"Were these meters? 1 m is {1 / M_PER_FT:.2f} ft.", said, meters),
        Odd(high, words, "Is the height the tree's age, or its diameter a slip?"),
        Odd(
            slender & ~high,
            lambda at: f"{words(at)}: {times[at]:.0f} times as tall above {BREAST_FT:g} ft as thick",
            "Hardly a stem is so slender. Which of the two is a slip?",
        ),
    ]


def _thickness(trees: pd.DataFrame, region: Region) -> Odd:
    """Trees thicker than their kind grows; a column with many past the thickest that were measured is in cm."""
    figure, dbh = partial(region.figure, "defaults_tree"), trees["dbh_in"]
    rows = region.table("accuracy_westfall_2024").query("quantity == 'wood_cuft' and division == 'all'")
    kinds = rows[rows["n_trees"] >= figure("good_row_trees")].set_index("species")["dbh_max_in"]
    over, share = dbh > trees["thickest_in"], figure("thick_share_column")

    def words(at: int) -> str:
        return (
            f"{trees['species'][at]} of {dbh[at]:g} in, where {trees['thick_in'][at]:g} is thick and "
            f"{trees['thickest_in'][at]:g} hardly seen ({dbh[at]:g} cm are {dbh[at] / CM_PER_IN:.1f} in)"
        )

    ask, cm = "Was it measured in inches, and is it that kind?", "Are these centimeters? Then name the column dbh_cm."
    column = Odd(over | (dbh > trees["species"].map(kinds).astype("float64")), words, ask, dbh.notna(), cm, share)
    return column if column.of_column else Odd(over, words, ask)


def _top_ft(trees: pd.DataFrame, height_ft: pd.Series, region: Region) -> pd.Series:
    """Height of the 4-in top above the stump, by total heights; NaN without one, and where no merch_ft is written."""
    figure = partial(region.figure, "defaults_tree")
    here = np.flatnonzero(trees["merch_ft"].gt(0) & trees["merch_tree"] & height_ft.gt(BREAST_FT))
    out = np.full(len(trees), np.nan)
    if len(here):
        some = trees.iloc[here]
        top = np.full(len(here), figure("merch_top_dob_in"))
        size = some["dbh_in"].to_numpy(dtype=float), height_ft.to_numpy(dtype=float)[here]
        codes = region.species.codes(some["species"])
        parts = parts_westfall_2024(*codes, region.choice("division"), *size, top, top, region=region)
        out[here] = parts["merch_top_ft"] - figure("stump_ft")
    return pd.Series(out)


def _merch(trees: pd.DataFrame, region: Region) -> list[Odd]:
    figure, merch, height = partial(region.figure, "defaults_tree"), trees["merch_ft"], trees["height_ft"]
    stump, top_in = figure("stump_ft"), figure("merch_top_dob_in")
    top = _top_ft(trees, height.fillna(trees["usual_ft"]), region)
    most = _top_ft(trees, trees["most_ft"].where(height.isna()), region).fillna(top)

    def words(at: int) -> str:
        tree = "" if pd.isna(height[at]) else f" and {height[at]:g} ft"
        return f"merch_ft {merch[at]:g} on {trees['dbh_in'][at]:g} in{tree}, where {top[at]:.0f} ft is usual"

    short = merch < figure("merch_short_share") * top
    counted, written = "they count as the feet that are written", "logs are written into logs_16ft"
    sticks = Odd(
        short,
        lambda at: f"{words(at)} ({as_sticks_or_logs(merch[at], region)})",
        f"Were these sticks or logs? As it is {counted}; {written}.",
        top.notna(),
        "Are these sticks, logs or meters? Then the cords come out far too low, for "
        f"{counted}. Write feet, or name the column merch_m; {written}.",
    )
    over = merch > figure("merch_over_share") * most + figure("merch_over_ft")
    tip = height - stump - merch < figure("tip_least_ft")
    return [
        sticks if sticks.of_column else replace(sticks, where=short & (merch <= figure("merch_short_ft"))),
        Odd(
            over | (tip & top.notna()),
            words,
            f"merch_ft ends where the stem is {top_in:g} in thick. Is this the height of the whole tree?",
        ),
    ]


def _logs(trees: pd.DataFrame, region: Region) -> list[Odd]:
    figure, logs, dbh = partial(region.figure, "defaults_tree"), trees["logs_16ft"], trees["dbh_in"]
    hard, soft = figure("sawlog_dbh_hardwood_in"), figure("sawlog_dbh_softwood_in")
    least = np.where(region.species.is_hardwood(trees["species"]), hard, soft)
    unsawn = logs.gt(0) & ~region.species.is_sawn(trees["species"])
    thin = logs.gt(0) & (dbh < least - figure("logs_room_in")) & ~unsawn
    log_ft = logs * (LOG_FT + figure("log_trim_ft"))
    sizes = [dbh < figure("logs_thin_in"), dbh < figure("logs_thick_in")]
    most = np.select(sizes, [figure("logs_most_thin"), figure("logs_most")], figure("logs_most_thick"))
    long = log_ft > figure("logs_share_of_height") * trees["height_ft"].fillna(trees["most_ft"])

    def counted(at: int) -> str:
        return f"{logs[at]:g} {noun(logs[at], 'log')}"

    def words(at: int) -> str:
        high = trees["height_ft"][at]
        tree = f"the whole tree is usually {trees['usual_ft'][at]:.0f}" if pd.isna(high) else f"the tree has {high:g}"
        return f"{counted(at)}, {log_ft[at]:.0f} ft, on {dbh[at]:g} in, where {tree}"

    return [
        Odd(
            unsawn,
            lambda at: f"{counted(at)} in {trees['species'][at]} of {dbh[at]:g} in",
            "Hardly anyone saws this kind: no sawlog is counted in it.",
        ),
        Odd(
            thin,
            lambda at: f"{counted(at)} on {dbh[at]:g} in",
            f"Under {hard:g} in ({soft:g} for softwoods) no sawlog is counted.",
        ),
        Odd(
            ((logs > most) | long) & ~unsawn & ~thin,
            words,
            "logs_16ft counts logs of 16 ft. Were these sticks, half logs or feet?",
            logs.gt(0),
            "logs_16ft counts logs of 16 ft. Are these sticks, half logs or feet? Board feet come out far too high.",
        ),
    ]
