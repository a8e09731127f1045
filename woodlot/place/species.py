"""Species as families write them -> plain common names of the region's list."""

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot import tables
from woodlot.errors import Fault, TableError
from woodlot.place.cells import Sheet
from woodlot.place.remedies import closest, short

__all__ = ["accepted_names", "name_species"]

#: Tables whose trees are scaled: every species must be on the list. Elsewhere shrubs and ferns may stand too.
_STRICT = ("trees", "tally", "cores")
#: A name off the list that is this like one on it is taken for a slip of the pencil, also where shrubs may stand.
_SLIP = 0.88


def accepted_names(region: str, beside: Path | None = None) -> dict[str, str]:
    """Every name accepted in a region (common names, nicknames, scientific names, all lower case) -> common name."""
    listed = tables.table("species", of=region, beside=beside)
    plain = listed["species"].str.lower()
    names: dict[str, str] = dict(zip(listed["scientific_name"].str.lower(), plain, strict=True))
    for nicknames, name in zip(listed["other_names"].fillna(""), plain, strict=True):
        names |= {nickname.strip().lower(): name for nickname in nicknames.split(";") if nickname.strip()}
    return names | dict(zip(plain, plain, strict=True))


def _shrubs(region: str, beside: Path | None) -> set[str]:
    """Names that the browse tables know besides the trees."""
    try:
        return set(tables.table("deer_browse_preference", of=region, beside=beside)["species"].str.lower())
    except (TableError, KeyError):
        return set()


def name_species(
    sheets: dict[str, Sheet], region: str, beside: Path | None, faults: list[Fault], notes: list[str]
) -> dict[str, Sheet]:
    """The sheets with every species under its common name; unknown ones are faults, or said where shrubs may stand."""
    names = accepted_names(region, beside)
    shrubs = _shrubs(region, beside)
    out = dict(sheets)
    for table, column in [(t, "species") for t in (*_STRICT, "browse", "seedlings")] + [("stands", "site_species")]:
        out[table] = _one(sheets[table], column, names, shrubs, table in (*_STRICT, "stands"), region, faults, notes)
    return out


def _one(
    sheet: Sheet,
    column: str,
    names: dict[str, str],
    shrubs: Collection[str],
    strict: bool,
    region: str,
    faults: list[Fault],
    notes: list[str],
) -> Sheet:
    said = sheet.frame[column]
    if not strict:
        names = names | {shrub: shrub for shrub in shrubs}
    known = said.map(lambda word: names.get(word) if isinstance(word, str) else None)
    counted = said[known.notna() & (said != known)].value_counts().sort_index()
    if len(counted):
        told = [
            f"{word} is {names[str(word)]} ({rows} row{'s' if rows != 1 else ''})" for word, rows in counted.items()
        ]
        notes.append(f"{sheet.file}: nicknames were understood so: {', '.join(told)}.")
    foreign = []
    for word in said[said.notna() & known.isna()].unique():
        near = closest(word, [*names, *shrubs], 0.6 if strict else _SLIP)
        if not strict and not near:
            foreign.append(word)
            continue
        near = names.get(near, near)
        remedy = f"Not in the {region} list." + (
            f" Closest: {near}." if near else f" It has {len(set(names.values()))} names."
        )
        faults.extend(sheet.faults(said == word, column, short(word), remedy))
    if foreign:
        notes.append(f"{sheet.file}: {short(', '.join(sorted(foreign)), 100)}: not on the tree list, kept as written.")
    named = pd.Series(np.where(known.isna(), said, known), dtype="str") if len(said) else said
    return replace(sheet, frame=sheet.frame.assign(**{column: named}))
