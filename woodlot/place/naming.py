"""Species as families write them -> plain common names of the region's list."""

from collections.abc import Collection, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.remedies import short
from woodlot.region import Region
from woodlot.species import spaced
from woodlot.trade import closest

__all__ = ["accepted_names", "name_preference", "name_species"]

#: Tables whose trees are scaled: every species must be on the list. Elsewhere shrubs and ferns may stand too.
_STRICT = ("trees", "tally", "cores")
#: A name off the list that is this like one on it is taken for a slip of the pencil, also where shrubs may stand.
_SLIP = 0.88


_WRITE = "Write the common name, such as sugar maple."


def _shrubs(region: Region) -> set[str]:
    """Names that the browse tables know besides the trees."""
    return set(region.table("deer_browse_preference")["species"].str.lower())


def accepted_names(region: Region) -> dict[str, str]:
    """Every name accepted in a region (common names, nicknames, scientific names, all lower case) -> common name."""
    known = region.species
    return {word: name for word, name in known.names.items() if name not in known.without_bark}


def name_species(sheets: dict[str, Sheet], region: Region, faults: list[Fault], notes: list[str]) -> dict[str, Sheet]:
    """The sheets with every species under its common name; unknown ones are faults, or said where shrubs may stand."""
    names, shrubs = accepted_names(region), _shrubs(region)
    bare = region.species.without_bark
    out = dict(sheets)
    for table, column in [(t, "species") for t in (*_STRICT, "browse", "seedlings")] + [("stands", "site_species")]:
        strict = table in (*_STRICT, "stands")
        out[table] = _one(sheets[table], column, names, shrubs, bare if strict else None, region.name, faults, notes)
    for name, chosen in region.species.stand_ins.items():
        rows = {sheets[t].file: int((out[t].frame["species"] == name).sum()) for t in _STRICT}
        where = ", ".join(f"{file} {n} row{'' if n == 1 else 's'}" for file, n in rows.items() if n)
        if where:
            notes.append(f"{name[:1].upper()}{name[1:]} ({where}): {chosen}.")
    return out


def name_preference(preference: Mapping[str, str] | None, region: Region, faults: list[Fault]) -> dict[str, str] | None:
    """What deer make of kinds, each kind under the name it has in browse.csv; a slip of the pencil is a fault."""
    if preference is None:
        return None
    names = accepted_names(region) | {spaced(shrub): shrub for shrub in _shrubs(region)}
    for word in preference:
        if spaced(word) not in names and (near := closest(spaced(word), names, _SLIP)):
            remedy = f"Not in the {region.name} list. Closest: {names[near]}."
            faults.append(Fault("place.toml", None, "deer.preference", short(word), remedy))
    return {names.get(spaced(word), word): wish for word, wish in preference.items()}


def _one(
    sheet: Sheet,
    column: str,
    names: dict[str, str],
    shrubs: Collection[str],
    bare: Collection[str] | None,
    of_region: str,
    faults: list[Fault],
    notes: list[str],
) -> Sheet:
    said, strict = sheet.frame[column], bare is not None
    if not strict:
        names = names | {spaced(shrub): shrub for shrub in shrubs}
    known = said.map(lambda word: names.get(spaced(word)) if isinstance(word, str) else None)
    nick = known.notna() & (said.map(spaced, na_action="ignore") != known.map(spaced, na_action="ignore"))
    counted = said[nick].value_counts().sort_index()
    if len(counted):
        meant = {str(word): names[spaced(str(word))] for word in counted.index}
        told = [f"{word} is {meant[str(word)]} ({n} row{'s' if n != 1 else ''})" for word, n in counted.items()]
        notes.append(f"{sheet.file}: nicknames were understood so: {', '.join(told)}.")
    foreign = []
    for word in said[said.notna() & known.isna()].unique():
        if bare and word in bare:
            remedy = "Its bark has no figures here. Write the kind most like it, or give a region of your own."
            faults.extend(sheet.faults(said == word, column, short(word), remedy))
            continue
        near = closest(spaced(word), [*names, *map(spaced, shrubs)], 0.6 if strict else _SLIP)
        if not strict and not near:
            foreign.append(word)
            continue
        near = names.get(near, near)
        many = len(set(names.values()))
        remedy = f"Not in the {of_region} list." + (f" Closest: {near}." if near else f" It has {many} names. {_WRITE}")
        faults.extend(sheet.faults(said == word, column, short(word), remedy))
    if foreign:
        notes.append(f"{sheet.file}: {short(', '.join(sorted(foreign)), 100)}: not on the tree list, kept as written.")
    named = pd.Series(np.where(known.isna(), said, known), dtype="str") if len(said) else said
    return replace(sheet, frame=sheet.frame.assign(**{column: named}))
