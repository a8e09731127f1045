"""Species as families write them -> plain common names of the region's list."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot import tables
from woodlot.errors import Fault, TableError
from woodlot.place.checked import Sheet
from woodlot.place.remedies import short
from woodlot.trade import closest

__all__ = ["accepted_names", "for_checks", "name_preference", "name_species"]

#: Tables whose trees are scaled: every species must be on the list. Elsewhere shrubs and ferns may stand too.
_STRICT = ("trees", "tally", "cores")
#: A name off the list that is this like one on it is taken for a slip of the pencil, also where shrubs may stand.
_SLIP = 0.88


_WRITE = "Write the common name, such as sugar maple."


def _spaced(word: str) -> str:
    """A name with blanks where people also write hyphens or underscores."""
    return " ".join(word.replace("-", " ").replace("_", " ").replace(".", " ").split())


def accepted_names(region: str, beside: Path | None = None) -> dict[str, str]:
    """Every name accepted in a region (common names, nicknames, scientific names, all lower case) -> common name."""
    listed = tables.table("species", of=region, beside=beside)
    listed = listed[~listed["species"].isin(for_checks(region, beside))]
    plain = listed["species"].str.lower()
    names: dict[str, str] = dict(zip(listed["scientific_name"].str.lower(), plain, strict=True))
    for nicknames, name in zip(listed["other_names"].fillna(""), plain, strict=True):
        names |= {nickname.strip().lower(): name for nickname in nicknames.split(";") if nickname.strip()}
    return names | dict(zip(plain, plain, strict=True))


def for_checks(region: str, beside: Path | None = None) -> list[str]:
    """Species that stand in the tables only so that an equation can be checked: their bark has no figures."""
    known = tables.table("wood_properties_miles_2009", of=region, beside=beside)
    return list(known.loc[known["bark_sg"].isna(), "species"].str.lower())


def _stand_ins(region: str, beside: Path | None) -> dict[str, str]:
    """Species for which the figures of another stand in -> what was chosen and why."""
    listed = tables.table("species", of=region, beside=beside)
    chosen = listed[listed["seen"] == "chosen"]
    return dict(zip(chosen["species"].str.lower(), chosen["where"], strict=True))


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
    stand_ins, bare = _stand_ins(region, beside), for_checks(region, beside)
    out = dict(sheets)
    for table, column in [(t, "species") for t in (*_STRICT, "browse", "seedlings")] + [("stands", "site_species")]:
        strict = table in (*_STRICT, "stands")
        out[table] = _one(sheets[table], column, names, shrubs, bare if strict else None, region, faults, notes)
    for name, chosen in stand_ins.items():
        rows = {sheets[t].file: int((out[t].frame["species"] == name).sum()) for t in _STRICT}
        where = ", ".join(f"{file} {n} row{'' if n == 1 else 's'}" for file, n in rows.items() if n)
        if where:
            notes.append(f"{name[:1].upper()}{name[1:]} ({where}): {chosen}.")
    return out


def name_preference(
    preference: Mapping[str, str] | None, region: str, beside: Path | None, faults: list[Fault]
) -> dict[str, str] | None:
    """What deer make of kinds, each kind under the name it has in browse.csv; a slip of the pencil is a fault."""
    if preference is None:
        return None
    names = accepted_names(region, beside) | {shrub: shrub for shrub in _shrubs(region, beside)}
    joined = {_spaced(name): plain for name, plain in names.items()}
    for word in preference:
        if _spaced(word) not in joined and (near := closest(word, names, _SLIP)):
            remedy = f"Not in the {region} list. Closest: {names[near]}."
            faults.append(Fault("place.toml", None, "deer.preference", short(word), remedy))
    return {joined.get(_spaced(word), word): wish for word, wish in preference.items()}


def _one(
    sheet: Sheet,
    column: str,
    names: dict[str, str],
    shrubs: Collection[str],
    bare: Collection[str] | None,
    region: str,
    faults: list[Fault],
    notes: list[str],
) -> Sheet:
    said, strict = sheet.frame[column], bare is not None
    if not strict:
        names = names | {shrub: shrub for shrub in shrubs}
    joined = {_spaced(name): plain for name, plain in names.items()}
    known = said.map(lambda word: names.get(word) or joined.get(_spaced(word)) if isinstance(word, str) else None)
    nick = known.notna() & (said.map(_spaced, na_action="ignore") != known.map(_spaced, na_action="ignore"))
    counted = said[nick].value_counts().sort_index()
    if len(counted):
        meant = {str(word): joined[_spaced(str(word))] for word in counted.index}
        told = [f"{word} is {meant[str(word)]} ({n} row{'s' if n != 1 else ''})" for word, n in counted.items()]
        notes.append(f"{sheet.file}: nicknames were understood so: {', '.join(told)}.")
    foreign = []
    for word in said[said.notna() & known.isna()].unique():
        if bare and word in bare:
            remedy = "Its bark has no figures here. Write the kind most like it, or give a region of your own."
            faults.extend(sheet.faults(said == word, column, short(word), remedy))
            continue
        near = closest(word, [*names, *shrubs], 0.6 if strict else _SLIP)
        if not strict and not near:
            foreign.append(word)
            continue
        near = names.get(near, near)
        many = len(set(names.values()))
        remedy = f"Not in the {region} list." + (f" Closest: {near}." if near else f" It has {many} names. {_WRITE}")
        faults.extend(sheet.faults(said == word, column, short(word), remedy))
    if foreign:
        notes.append(f"{sheet.file}: {short(', '.join(sorted(foreign)), 100)}: not on the tree list, kept as written.")
    named = pd.Series(np.where(known.isna(), said, known), dtype="str") if len(said) else said
    return replace(sheet, frame=sheet.frame.assign(**{column: named}))
