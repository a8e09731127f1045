"""Will the next forest come up? Seedlings by height.

stocking        seedling plots -> share of plots with enough for this pressure of deer, by two rules

The counts each rule asks for are from memory; how strict the rule is matters more than anything measured here.
A thicket that deer leave and nobody wants is no next forest: only kinds that make one count (deer_regen_groups.csv).
"""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from woodlot.deer.answer import Stocking, Words
from woodlot.deer.browse import wilson
from woodlot.deer.defaults import default
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, reason
from woodlot.region import Region

__all__ = ["stocking"]

HEIGHTS = ("under_1ft", "from_1_to_3ft", "from_3_to_5ft", "over_5ft")


def stocking(
    seedlings: pd.DataFrame | None, impact_code: int | None, region: Region, level: float = LEVEL
) -> list[Stocking[Estimate, Words]]:
    """Share of seedling plots with enough, by each rule.

    seedlings: rows plot_id, species, radius_ft and counts by height (a plot without any has a row of zeros);
    impact_code 0 to 5 picks the row of the rule (None: the row for moderate deer, which is said). Counts are brought to
    the rule's plot size by area. Kinds that only some families want and fillers (beech, ironwood) are told apart, and
    kinds without a group count for nothing, by name. stocked_pct is in percent (Wilson with t and a design
    effect, plots as the sample). Raises InputError for counts below zero.
    """
    if seedlings is None or len(seedlings) == 0:
        return []
    counts = seedlings[list(HEIGHTS)].astype(float).fillna(0.0)
    if (counts < 0).to_numpy().any():
        raise InputError("seedling counts cannot be negative")
    code = 3 if impact_code is None else int(impact_code)
    rows = region.table("deer_regen_stocking")
    rows = rows[rows["codes"].astype(str).str.split().map(lambda known: str(code) in known)]
    species = seedlings["species"].astype(str).str.strip().str.lower()
    region.note("deer_regen_groups", ("",))
    groups = region.species.rows("deer_regen_groups")["next_forest"]
    frame = counts.assign(
        species=species,
        plot=seedlings["plot_id"],
        radius=seedlings["radius_ft"].astype(float),
        counts=species.map(groups),
    )
    guessed, apart = impact_code is None, _apart(frame)
    return [
        _rule(rule, frame, region, level, guessed=guessed, **({} if at else apart))
        for at, rule in enumerate(rows.to_dict("records"))
    ]


def _stocked(rule: Mapping, frame: pd.DataFrame, kinds: tuple[str, ...]) -> int:
    """Plots on which the kinds that count so have enough by a rule."""
    weights = [float(rule[f"weight_{h.removeprefix('from_')}"]) for h in HEIGHTS]
    weighted = (frame[list(HEIGHTS)] * weights).sum(axis=1) * (float(rule["plot_radius_ft"]) / frame["radius"]) ** 2
    by_plot = weighted.where(frame["counts"].isin(kinds), 0.0).groupby(frame["plot"]).sum()
    return int((by_plot >= float(rule["needed_per_plot"])).sum())


def _apart(frame: pd.DataFrame) -> dict[str, Any]:
    """What is not counted: fillers with more stems over 3 feet than the rest has, and kinds without a group."""
    tall = frame["from_3_to_5ft"] + frame["over_5ft"]
    by = {k: tall.where(frame["counts"] == k, 0.0).groupby(frame["plot"]).sum() for k in ("yes", "no")}
    over = by["no"][by["no"] > by["yes"]].index
    fillers = _kinds(frame[frame["plot"].isin(over) & (frame["counts"] == "no") & (tall > 0)])
    return {"over": len(over), "fillers": fillers, "strange": _kinds(frame[frame["counts"].isna()])}


def _kinds(rows: pd.DataFrame) -> tuple[str, ...]:
    """The kinds that have stems, the most first."""
    stems = rows[list(HEIGHTS)].sum(axis=1).groupby(rows["species"]).sum()
    return tuple(stems[stems > 0].sort_values(ascending=False, kind="stable").index)


def _rule(rule: Mapping, frame: pd.DataFrame, region: Region, level: float, **facts: Any) -> Stocking[Estimate, Words]:
    n, needed = frame["plot"].nunique(), float(rule["needed_per_plot"])
    stocked, more = (_stocked(rule, frame, kinds) for kinds in (("yes",), ("yes", "if wanted")))
    share, wanted = stocked / n, 100 * float(rule["share_of_plots"])
    low = high = None
    if n >= 3:
        alike = default("seedling_design_effect", region)
        low, high = (100 * x for x in wilson(stocked, n, level, design_effect=alike, df=n - 1))
    e = Estimate(
        100 * share, "percent", low, high, level, "none" if low is None else "interval", df=max(n - 1, 1), n=n,
        why=None if n >= 3 else reason("few plots to stock", n=n),
    )  # fmt: skip
    name, deer = rule["rule"], rule["deer"]
    more_kinds = _kinds(frame[frame["counts"] == "if wanted"]) if more > stocked else ()
    words = reason(
        "stocked", share=e, stocked=stocked, plots=n, rule=name, needed=needed, deer=deer, wanted=wanted,
        more=more, more_kinds=more_kinds, **facts,
    )  # fmt: skip
    return Stocking(name, deer, needed, n, wanted, words, rule["seen"], e)
