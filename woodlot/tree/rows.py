"""Rows of coefficients of the national equations: which equation serves which quantity of which species where.

row               the equation of one quantity by the order of use
stem_rows         the five equations of a stem
doubtful_below_in   diameter under which the equation in use is doubtful
levels_westfall_2024   all of it for one species, to be shown

Order of use, for each quantity apart: species and division, species, group of species. A doubtful row yields to the
next one, unless its own published accuracy is good: then it serves, and outside the diameters it was tried on it goes
the way of the next one.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.region import Region, once, row_key

__all__ = [
    "LEVELS",
    "MEAN",
    "Row",
    "StemRows",
    "division_name",
    "doubtful_below_in",
    "levels_westfall_2024",
    "row",
    "stem_rows",
]

LEVELS = ("species and division", "species", "group")
#: Of a kind of several species.
MEAN = "mean of its species"
COEFFICIENTS = ("a", "a1", "b", "b1", "c", "c1", "break_in", "alpha", "beta")


@dataclass(frozen=True)
class Row:
    """One equation: its form, coefficients (alpha, beta for shares of a stem) and where it came from.

    beyond: the equation in whose proportion this one goes on below low_in and above high_in, where it has one.
    """

    quantity: str
    species: str
    level: str
    model: int
    a: float = np.nan
    a1: float = np.nan
    b: float = np.nan
    b1: float = np.nan
    c: float = np.nan
    c1: float = np.nan
    break_in: float = np.nan
    alpha: float = np.nan
    beta: float = np.nan
    passed_over: str = ""
    low_in: float = 0.0
    high_in: float = np.inf
    beyond: "Row | None" = None


@dataclass(frozen=True)
class StemRows:
    """The five equations of one stem: wood, bark, both together, shares outside and inside bark."""

    wood: Row
    bark: Row
    both: Row
    outside: Row
    inside: Row


@once
def _book(*, region: Region) -> dict[tuple[str, str, str], dict]:
    """(quantity, species or group, division) -> coefficients."""
    book: dict[tuple[str, str, str], dict] = {}
    for name in ("volume_westfall_2024", "ratio_westfall_2024", "biomass_westfall_2024"):
        for row in region.table(name, rows=()).to_dict("records"):
            book[row["quantity"], row["species"], str(row["division"])] = row | {"table": name}
    for row in region.table("group_westfall_2024", rows=()).to_dict("records"):
        book[row["quantity"], f"group {row['jenkins_group']}", "all"] = row | {"table": "group_westfall_2024"}
    return book


@once
def _doubts(action: str, *, region: Region) -> dict[tuple[str, str, str], dict]:
    rows = region.table("doubtful_westfall_2024", rows=())
    doubts = rows[rows["action"] == action].to_dict("records")
    return {(r["quantity"], r["species"], str(r["division"])): r for r in doubts}


def _tried(key: tuple[str, str, str], *, region: Region) -> dict | None:
    """Published accuracy of an equation when it is good: a small mean error on enough trees; else None.

    Weights were tried by species alone: a row of one division stands by the trees of all.
    """
    told = region.records("accuracy_westfall_2024", "quantity", "species", "division")
    accuracy = told.get((*key[:2], "all") if key[0] == "total_lb" else key)
    if accuracy is None or accuracy["n_trees"] < region.figure("defaults_tree", "good_row_trees"):
        return None
    most_pct = region.figure("defaults_tree", "good_row_mean_error_pct")
    return accuracy if abs(accuracy["mean_error_pct"]) <= most_pct else None


@once
def division_name(division: str, *, region: Region) -> str:
    """A division as the tables write it (``210``, ``M210`` ...); raises InputError for one without any row."""
    name = str(division).strip().upper()
    known = sorted(
        {d for _, _, d in _book(region=region) if d != "all"}
        | set(map(str, region.table("divisions_westfall_2024", rows=())["division"]))
    )
    if name == "ALL":
        return "all"
    if name not in known:
        raise InputError(f"there is no division {division!r}; there are {', '.join(known)} and all")
    return name


@once
def row(quantity: str, species: str, division: str, *, region: Region) -> Row:
    """The equation that serves one quantity of a species in a division, by the order of use."""
    division = division_name(division, region=region)
    group = region.species.jenkins_group(species)
    passed: list[str] = []
    kept: Row | None = None
    for level, (who, where) in zip(
        LEVELS, ((species, division), (species, "all"), (f"group {group}", "all")), strict=True
    ):
        if where == "all" and level == LEVELS[0]:
            continue
        figures_of = _book(region=region).get((quantity, who, where))
        if figures_of is None:
            continue
        doubt = _doubts("next level", region=region).get((quantity, who, where))
        tried = _tried((quantity, who, where), region=region) if doubt else None
        if doubt and kept:
            continue
        if doubt and not tried:
            region.note("doubtful_westfall_2024", (row_key("doubtful_westfall_2024", doubt),))
            passed.append(doubt["why"])
            continue
        region.note(figures_of["table"], (row_key(figures_of["table"], figures_of),))
        figures: dict[str, Any] = {k: float(figures_of[k]) for k in COEFFICIENTS if k in figures_of}
        model = int(figures_of["model"])
        if model == 5:
            figures["a"] *= region.species.wood_property(species, "wood_sg")
        one = Row(quantity, species, level, model, passed_over="; ".join(passed), **figures)
        if kept:
            return replace(kept, beyond=one)
        if not tried:
            return one
        kept = replace(one, low_in=float(tried["dbh_min_in"]), high_in=float(tried["dbh_max_in"]))
    raise InputError(f"no {quantity} equation for {species}")


@once
def stem_rows(species: str, division: str, *, region: Region) -> StemRows:
    """The five stem equations of a species in a division."""
    return StemRows(
        *(
            row(q, species, division, region=region)
            for q in ("wood_cuft", "bark_cuft", "both_cuft", "ratio_outside", "ratio_inside")
        )
    )


@once
def doubtful_below_in(species: str, division: str, *, region: Region) -> float:
    """Diameter under which the wood equation in use is doubtful; 0 where it is not."""
    used = row("wood_cuft", species, division, region=region)
    key = ("wood_cuft", species, division_name(division, region=region) if used.level == LEVELS[0] else "all")
    doubt = (
        (_doubts("warn", region=region).get(key) or _doubts("next level", region=region).get(key))
        if used.level != "group"
        else None
    )
    return float(doubt["dbh_below_in"]) if doubt else 0.0


def levels_westfall_2024(species: str, division: str = "210", *, region: Region) -> pd.DataFrame:
    """Which level serves each quantity of a species, and rows passed over as doubtful.

    species: name or nickname; division: ecological division of the place. Returns one row per quantity with columns
    quantity, level, model, passed_over, doubtful_below_in. Raises InputError for an unknown species or division.

    Source: order of use as restated from Westfall and others 2024; doubtful rows are this project's finding.
    """
    name = region.species.name(species)
    quantities = list(dict.fromkeys(q for q, _, _ in _book(region=region)))
    rows = [row(q, name, division, region=region) for q in quantities]
    levels = pd.DataFrame([vars(r) for r in rows])[["quantity", "level", "model", "passed_over"]]
    below = doubtful_below_in(name, division, region=region)
    levels["doubtful_below_in"] = np.where(levels["quantity"] == "wood_cuft", below, 0.0)
    return levels
