"""Will the next forest come up? Seedlings by height.

stocking        seedling plots -> share of plots with enough for this pressure of deer, by two rules, with words

The counts each rule asks for are from memory; how strict the rule is matters more than anything measured here.
A thicket that deer leave and nobody wants is no next forest: only kinds that make one count (deer_regen_groups.csv).
"""

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from woodlot.deer.answer import Stocking
from woodlot.deer.browse import wilson
from woodlot.deer.defaults import default
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate
from woodlot.region import Region
from woodlot.say.reasons import plain
from woodlot.say.words import range_words

__all__ = ["stocking"]

HEIGHTS = ("under_1ft", "from_1_to_3ft", "from_3_to_5ft", "over_5ft")


def stocking(
    seedlings: pd.DataFrame | None, impact_code: int | None, region: Region, level: float = LEVEL
) -> list[Stocking]:
    """Share of seedling plots with enough, by each rule.

    seedlings: rows plot_id, species, radius_ft and counts by height (a plot without any has a row of zeros);
    impact_code 0 to 5 picks the row of the rule (None: the row for moderate deer, said in words). Counts are brought to
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
    groups = region.table("deer_regen_groups").set_index("species")["next_forest"]
    frame = counts.assign(
        species=species,
        plot=seedlings["plot_id"],
        radius=seedlings["radius_ft"].astype(float),
        counts=species.map(groups),
    )
    told = [_rule(rule, frame, impact_code is None, region, level) for rule in rows.to_dict("records")]
    return [replace(row, words=row.words + _apart(frame)) for row in told[:1]] + told[1:]


def _stocked(rule: Mapping, frame: pd.DataFrame, kinds: tuple[str, ...]) -> int:
    """Plots on which the kinds that count so have enough by a rule."""
    weights = [float(rule[f"weight_{h.removeprefix('from_')}"]) for h in HEIGHTS]
    weighted = (frame[list(HEIGHTS)] * weights).sum(axis=1) * (float(rule["plot_radius_ft"]) / frame["radius"]) ** 2
    by_plot = weighted.where(frame["counts"].isin(kinds), 0.0).groupby(frame["plot"]).sum()
    return int((by_plot >= float(rule["needed_per_plot"])).sum())


def _apart(frame: pd.DataFrame) -> str:
    """What is not counted: fillers with more stems over 3 feet than the rest has, and kinds without a group."""
    n = frame["plot"].nunique()
    tall = frame["from_3_to_5ft"] + frame["over_5ft"]
    by = {k: tall.where(frame["counts"] == k, 0.0).groupby(frame["plot"]).sum() for k in ("yes", "no")}
    over = by["no"][by["no"] > by["yes"]].index
    out = ""
    if len(over):
        names = _names(frame[frame["plot"].isin(over) & (frame["counts"] == "no") & (tall > 0)])
        out += f" {names[:1].upper()}{names[1:]} stands over it on {len(over)} of {n} plots."
    strange = frame[frame["counts"].isna() & (frame[list(HEIGHTS)].sum(axis=1) > 0)]
    return out + (f" Not counted, since no table speaks of them: {_names(strange, 'and')}." if len(strange) else "")


def _names(rows: pd.DataFrame, word: str = "or") -> str:
    """The kinds by how many stems there are, the most first, up to three."""
    stems = rows[list(HEIGHTS)].sum(axis=1).groupby(rows["species"]).sum()
    kinds = stems[stems > 0].sort_values(ascending=False, kind="stable").index.tolist()
    kinds = kinds if len(kinds) < 4 else [*kinds[:2], "others"]
    return f" {word} ".join([", ".join(kinds[:-1]), kinds[-1]]) if len(kinds) > 1 else kinds[0]


def _rule(rule: Mapping, frame: pd.DataFrame, guessed: bool, region: Region, level: float) -> Stocking:
    n, needed = frame["plot"].nunique(), float(rule["needed_per_plot"])
    stocked, more = (_stocked(rule, frame, kinds) for kinds in (("yes",), ("yes", "if wanted")))
    share, wanted = stocked / n, 100 * float(rule["share_of_plots"])
    low = high = None
    if n >= 3:
        alike = default("seedling_design_effect", region)
        low, high = (100 * x for x in wilson(stocked, n, level, design_effect=alike, df=n - 1))
    e = Estimate(
        100 * share, "percent", low, high, level, "none" if low is None else "interval", df=max(n - 1, 1), n=n,
        method=f"plots stocked, {rule['rule']}", source=str(rule["source"]),
        why="" if n >= 3 else f"{n} plots; three would give a first range",
    )  # fmt: skip
    if low is None or high is None:
        verdict = "Not enough plots to say whether the next forest comes up."
    elif low >= wanted:
        verdict = "The next forest is coming up."
    elif high < wanted:
        verdict = "The next forest is not coming up."
    elif 100 * share >= wanted:
        verdict = "The next forest is probably coming up."
    else:
        verdict = "The next forest is probably not coming up."
    range_ = "" if low is None else f", {range_words(plain(e))}"
    words = (
        f"{verdict} {stocked} of {n} plots ({100 * share:.0f}%{range_}) have enough of the kinds that make a forest "
        f"({rule['rule']}, {needed:.0f} a plot at {rule['deer']} deer); {wanted:.0f}% of plots are needed."
    )
    if more > stocked:
        words += f" With {_names(frame[frame['counts'] == 'if wanted'], 'and')}, if wanted, {more} of {n}."
    words += " How hard deer press is not known: moderate deer assumed." if guessed else ""
    return Stocking(rule["rule"], rule["deer"], needed, n, wanted, words, rule["seen"], plain(e))
