"""The sugarbush: taps by the size of sound maples, the syrup they may give, and what was noted of it.

sugarbushes   each stand that is wished to be one
Sugarbush     what it holds
tapped        which kinds are tapped
noted         taps, sap and syrup in the ledger

A sugarmaker wants to know how many taps the trees can bear year after year, and only then what comes of them: a tree
too thin, rotten or dying has none, however many would be wanted.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from woodlot.estimate import Estimate, reason
from woodlot.land.wishes import Wishes
from woodlot.region import Region
from woodlot.stand import cruise, plots
from woodlot.trade import LEDGER_KINDS, SAP_KINDS, SUGARBUSH, UNITS, key_of
from woodlot.tree import quality

__all__ = ["Noted", "Sugarbush", "noted", "sugarbushes", "tapped"]

#: How a note names its taps.
TAPS = re.compile(r"(\d[\d,]*)\s+taps?\b", re.IGNORECASE)


@dataclass(frozen=True)
class Noted:
    """What the ledger says: taps on the last day that names any (None where none does), and of the last spring with
    any the gallons of sap and syrup.
    """

    taps: int | None = None
    taps_on: pd.Timestamp | None = None
    spring: int | None = None
    sap_gal: float = 0.0
    syrup_gal: float = 0.0


@dataclass(frozen=True)
class Sugarbush:
    """A stand to tap.

    taps: on its acres (Estimate); syrup: gallons a spring from them, of assumptions, syrup_of_noted from the taps that
    are noted (None where none are); unsound: taps that thick enough maples would bear but for rot or a word of it.
    """

    stand_id: str
    acres: float
    taps: Estimate
    syrup: Estimate
    unsound: float
    noted: Noted
    syrup_of_noted: Estimate | None


def tapped(species: Sequence[str], region: Region) -> tuple[str, ...]:
    """Those kinds that are tapped: whatever tree they may be has a row of sugarbush_species.csv."""
    known = set(region.table("sugarbush_species", rows=())["species"])
    return tuple(one for one in species if set(region.species.members(one)) <= known)


def _on_trees(trees: pd.DataFrame, region: Region) -> tuple[pd.Series, np.ndarray]:
    """Taps that each tree bears by its size (missing where it was counted only), and whether it is sound."""
    sizes = region.table("sugarbush_taps").sort_values("from_in")
    at = np.searchsorted(sizes["from_in"].to_numpy(), trees["dbh_in"].to_numpy(dtype=float), side="right")
    by_size = np.append(0.0, sizes["taps"].to_numpy(dtype=float))[at]
    kinds = trees["species"].isin(tapped(trees["species"].unique().tolist(), region)).to_numpy()
    words = quality.limits(trees, region=region)
    sound = (words["never"] != quality.NOT_BY_HAND) & (words["standing_share"] > 0) & (words["heat_left_share"] >= 1.0)
    taps = pd.Series(np.where(kinds, by_size, 0.0), index=trees.index)
    return taps.mask(trees["counted_only"] & kinds), sound.to_numpy()


def sugarbushes(
    wished: Wishes,
    visited: pd.DataFrame,
    trees: pd.DataFrame,
    lines: pd.DataFrame,
    level: float,
    *,
    region: Region,
) -> tuple[Sugarbush, ...]:
    """Every stand of which the whole or a part is wished to be a sugarbush.

    Parameters
    ----------
    wished
        ``land.wishes``.
    visited, trees
        Plots, and tallied trees as ``wood.standing`` holds them.
    lines
        ``ledger.standing``.
    level
        Share of times a range of taps should hold the truth.
    region
        Whose tables are used.
    """
    ground = wished.of(SUGARBUSH)["acres"]
    if not len(ground):
        return ()
    visited = visited[visited["stand_id"].isin(ground.index)]
    trees = trees[trees["stand_id"].isin(ground.index)]
    taps, sound = _on_trees(trees, region)
    rows = trees.assign(
        taps=taps.where(sound, 0.0), unsound=taps.where(~sound, 0.0), sweet=taps * trees["trees_per_ac"]
    )
    sums = plots.means(plots.plot_sums(visited, rows, ("taps", "unsound")))
    of = {what: sums[sums["what"] == what] for what in ("taps", "unsound")}
    each = cruise.on_acres(cruise.estimates(of["taps"], "taps an acre", level=level, region=region), ground, "taps")
    lost = (of["unsound"].set_index("stand_id")["mean"] * ground).fillna(0.0)
    out = []
    for stand, acres in ground.items():
        none = Estimate(None, "taps", level=level, ground_ac=float(acres), why=reason("no plot yet"))
        number, told = each.get(str(stand), none), noted(lines, str(stand))
        sugar = _sugar(rows[(rows["stand_id"] == stand) & sound], region)
        of_noted = None if told.taps is None else _syrup(told.taps, sugar, region)
        unsound = float(lost.get(stand, 0.0))
        out.append(
            Sugarbush(str(stand), float(acres), number, _syrup(number.value, sugar, region), unsound, told, of_noted)
        )
    return tuple(out)


def _sugar(rows: pd.DataFrame, region: Region) -> dict[str, float]:
    """Sugar of the sap [%], middle, low and high: kinds weighed by their taps; where none is known, that of the first
    row.
    """
    table = region.table("sugarbush_species", rows=())
    by = rows.groupby("species")["sweet"].sum()
    by = by[by > 0]
    if not len(by):
        by = pd.Series(1.0, index=[table["species"].iloc[0]])
    region.species.read_rows("sugarbush_species", by.index)
    known = region.species.rows("sugarbush_species").loc[by.index, ["sugar_pct", "low", "high"]]
    return {str(name): float(np.average(known[name], weights=by)) for name in known}


def _syrup(taps: float | None, sugar: Mapping[str, float], region: Region) -> Estimate:
    """Gallons of syrup from some taps: sap of a tap times its sugar over the rule of boiling down."""
    boiling = region.figure("defaults_sugarbush", "boiling")
    sap, (low, high) = (
        region.figure("defaults_sugarbush", "sap_gal_per_tap"),
        region.limits("defaults_sugarbush", "sap_gal_per_tap"),
    )
    unit = "gallons of syrup"
    if not taps:
        return Estimate(None if taps is None else 0.0, unit, why=reason("no taps"))
    middle, least, most = (
        taps * gal * sugar[name] / boiling for gal, name in ((sap, "sugar_pct"), (low, "low"), (high, "high"))
    )
    return Estimate(middle, unit, least, most, kind="assumptions", why=reason("sap of taps", sap=sap, **sugar))


def noted(lines: pd.DataFrame, stand_id: str) -> Noted:
    """Taps, sap and syrup that the ledger notes in a stand.

    Taps stand in the words of a line ("140 taps"). Amounts count in gallons; a spring is a calendar year.
    """
    here = lines[lines["stand_id"].eq(stand_id).fillna(False)] if len(lines) else lines
    if not len(here):
        return Noted()
    named = here["text"].fillna("").str.extract(TAPS.pattern, flags=re.IGNORECASE, expand=False).dropna()
    facts: dict[str, Any] = {}
    if len(named):
        last = here.loc[named.index, "date"].sort_values(kind="stable").index[-1]
        facts |= {"taps": int(named[last].replace(",", "")), "taps_on": here.loc[last, "date"]}
    gallons = here["unit"].fillna("").map(lambda unit: key_of(unit, UNITS)) == LEDGER_KINDS["sap"].unit
    made = here[here["kind"].isin(SAP_KINDS) & gallons & here["amount"].notna()]
    if len(made):
        spring = int(made["date"].dt.year.max())
        sums = made[made["date"].dt.year == spring].groupby("kind")["amount"].sum()
        facts |= {"spring": spring} | {f"{kind}_gal": float(sums.get(kind, 0.0)) for kind in SAP_KINDS}
    return Noted(**facts)
