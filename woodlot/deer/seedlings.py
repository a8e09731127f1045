"""Seedling plots: which rows speak today, and the share of plots with enough for this pressure of deer, by two rules.

visits          rows up to a day, each with its plot, its day and its year
latest          of these, each plot's latest visit of the last years
open_plots      the rows of them that no fence keeps from deer
stocking        open plots -> share of plots with enough, by each rule
share_stocked   plots with enough, of all -> Estimate
plots_wanted    plots for a range of so much either way

The counts each rule asks for are from memory; how strict the rule is matters more than anything measured here.
A thicket that deer leave and nobody wants is no next forest: only kinds that make one count (deer_regen_groups.csv).
"""

from collections.abc import Mapping
from datetime import date
from math import ceil
from typing import Any

import pandas as pd

from woodlot.columns import header
from woodlot.deer.answer import Stocking, Words
from woodlot.deer.browse import design_effect, wilson
from woodlot.deer.defaults import default
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, reason, z_quantile
from woodlot.region import Region

__all__ = [
    "HEIGHTS",
    "effect_and_df",
    "latest",
    "open_plots",
    "plots_wanted",
    "rule_of",
    "share_stocked",
    "stocked_plots",
    "stocking",
    "visits",
    "with_groups",
]

HEIGHTS = ("under_1ft", "from_1_to_3ft", "from_3_to_5ft", "over_5ft")
#: Lines from which their own spread is taken.
LEAST_LINES = 3


def visits(seedlings: pd.DataFrame | None, as_of: date) -> pd.DataFrame:
    """Rows up to a day with all columns of the table, and plot (line and name), day, year, and whether it was fenced.

    Rows without a day belong to the last there is. Raises InputError for counts below zero.
    """
    rows = (pd.DataFrame() if seedlings is None else seedlings).reindex(columns=header("seedlings"))
    numbers = (*HEIGHTS, "radius_ft", "open_sky_pct", "lon", "lat")
    rows = rows.astype({name: float if name in numbers else object for name in rows})
    rows[list(HEIGHTS)] = rows[list(HEIGHTS)].fillna(0.0)
    if (rows[list(HEIGHTS)] < 0).to_numpy().any():
        raise InputError("seedling counts cannot be negative")
    day = pd.to_datetime(rows["date"])
    known = (day.isna() | (day <= pd.Timestamp(as_of))).to_numpy(dtype=bool)
    rows, day = rows[known].reset_index(drop=True), day[known].reset_index(drop=True)
    day = day.fillna(day.max() if day.notna().any() else pd.Timestamp(as_of))
    plot = (rows["line"].fillna("").astype(str) + " " + rows["plot_id"].astype(str)).str.strip()
    yes = rows["fenced"].astype("boolean").fillna(False).astype(bool)
    return rows.assign(
        species=rows["species"].astype(str).str.strip().str.lower(),
        plot=plot,
        day=day,
        year=day.dt.year,
        fenced=yes.groupby([plot, day]).transform("any"),
    )


def latest(rows: pd.DataFrame, year: int, region: Region) -> pd.DataFrame:
    """Of `visits` each plot's latest one in the years up to ``year`` that still speak."""
    rows = rows[(rows["year"] <= year) & (rows["year"] > year - default("seedling_years", region))]
    return rows[rows["day"] == rows.groupby("plot")["day"].transform("max")]


def open_plots(rows: pd.DataFrame) -> pd.DataFrame:
    """The rows of plots that no fence keeps from deer."""
    return rows[~rows["fenced"]]


def with_groups(rows: pd.DataFrame, region: Region) -> pd.DataFrame:
    """Rows with ``counts``: yes, if wanted, no, or nothing, as a kind makes the next forest."""
    region.note("deer_regen_groups", ("",))
    return rows.assign(counts=rows["species"].map(region.species.rows("deer_regen_groups")["next_forest"]))


def rule_of(code: int | None, region: Region) -> list[dict[str, Any]]:
    """The rules for a browse code; None: those for moderate deer."""
    rows = region.table("deer_regen_stocking")
    asked = str(3 if code is None else int(code))
    here = rows["codes"].astype(str).str.split().map(lambda known: asked in known)
    return [{str(name): cell for name, cell in row.items()} for row in rows[here].to_dict("records")]


def stocked_plots(rule: Mapping, rows: pd.DataFrame, kinds: tuple[str, ...] = ("yes",)) -> pd.Series:
    """Whether each plot has enough by a rule of the kinds that count so; by plot."""
    weights = [float(rule[f"weight_{h.removeprefix('from_')}"]) for h in HEIGHTS]
    weighted = (rows[list(HEIGHTS)] * weights).sum(axis=1) * (float(rule["plot_radius_ft"]) / rows["radius_ft"]) ** 2
    by_plot = weighted.where(rows["counts"].isin(kinds), 0.0).groupby(rows["plot"]).sum()
    return by_plot >= float(rule["needed_per_plot"])


def share_stocked(stocked: pd.Series, lines: pd.Series, region: Region, level: float = LEVEL) -> Estimate:
    """Share of plots with enough, percent, from whether each has, and its line (NaN: none), both by plot.

    Notes: Wilson's limits with t; how many plots count for one is told by the spread between lines where all plots lie
    on three or more, else by the region's figure. Under 15 plots no range.
    """
    n, least = len(stocked), int(default("seedling_least_plots", region))
    share, low, high = float(stocked.mean()), None, None
    effect, df = effect_and_df(stocked, lines, region)
    if n >= least:
        low, high = (100 * x for x in wilson(int(stocked.sum()), n, level, design_effect=effect, df=df))
    return Estimate(
        100 * share, "percent", low, high, level, "none" if low is None else "interval", df=df, n=n,
        why=None if n >= least else reason("few plots to stock", n=n, least=least),
    )  # fmt: skip


def effect_and_df(stocked: pd.Series, lines: pd.Series, region: Region) -> tuple[float, int]:
    """How many plots count for one, and the degrees of freedom of it."""
    usual, n = default("seedling_design_effect", region), len(stocked)
    on = lines.reindex(stocked.index)
    if on.isna().any() or on.nunique() < LEAST_LINES or stocked.nunique() < 2:
        return usual, max(n - 1, 1)
    each = stocked.groupby(on).agg(["sum", "size"])
    return design_effect(each["sum"], each["size"], 0.0), len(each) - 1


def plots_wanted(half_width: float, effect: float, level: float = LEVEL) -> int:
    """Plots for a range of so much either way, shares of one, whatever the share turns out to be.

    >>> plots_wanted(0.15, 1.3)
    40
    """
    return ceil(effect * (z_quantile(level) / (2 * half_width)) ** 2)


def stocking(
    rows: pd.DataFrame, impact_code: int | None, region: Region, level: float = LEVEL
) -> list[Stocking[Estimate, Words]]:
    """Share of seedling plots with enough, by each rule.

    rows: of `open_plots` (a plot without any stem has a row of zeros); impact_code 0 to 5 picks the row of the rule
    (None: the row for moderate deer, which is said). Counts are brought to the rule's plot size by area. Kinds that
    only some families want are told apart, and kinds without a group count for nothing, by name.
    """
    if len(rows) == 0:
        return []
    rows = with_groups(rows, region)
    guessed, strange = impact_code is None, _kinds(rows[rows["counts"].isna()])
    return [
        _rule(rule, rows, region, level, guessed=guessed, strange=() if at else strange)
        for at, rule in enumerate(rule_of(impact_code, region))
    ]


def _kinds(rows: pd.DataFrame) -> tuple[str, ...]:
    """The kinds that have stems, the most first."""
    stems = rows[list(HEIGHTS)].sum(axis=1).groupby(rows["species"]).sum()
    return tuple(stems[stems > 0].sort_values(ascending=False, kind="stable").index)


def _rule(rule: Mapping, rows: pd.DataFrame, region: Region, level: float, **facts: Any) -> Stocking[Estimate, Words]:
    stocked = stocked_plots(rule, rows)
    more = int(stocked_plots(rule, rows, ("yes", "if wanted")).sum())
    e = share_stocked(stocked, rows.groupby("plot")["line"].first(), region, level)
    needed, wanted, deer, name = (
        *(float(rule["needed_per_plot"]), 100 * float(rule["share_of_plots"])),
        *(str(rule["deer"]), str(rule["rule"])),
    )
    more_kinds = _kinds(rows[rows["counts"] == "if wanted"]) if more > int(stocked.sum()) else ()
    words = reason(
        "stocked", share=e, stocked=int(stocked.sum()), plots=len(stocked), rule=name, needed=needed, deer=deer,
        wanted=wanted, more=more, more_kinds=more_kinds, **facts,
    )  # fmt: skip
    return Stocking(name, deer, needed, len(stocked), wanted, words, rule["seen"], e)
