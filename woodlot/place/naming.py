"""Species as families write them -> plain common names of the region's list."""

from collections.abc import Collection, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.remedies import short
from woodlot.region import Region
from woodlot.say.words import capital, plural
from woodlot.species import spaced
from woodlot.trade import closest

__all__ = ["accepted_names", "name_preference", "name_species", "own_words"]

#: Tables whose trees are scaled: every species must be on the list. Elsewhere shrubs and ferns may stand too.
_STRICT = ("trees", "tally", "cores")
#: A name off the list that is this like one on it is taken for a slip of the pencil, also where shrubs may stand.
_SLIP = 0.88
_WRITE = "Write the common name, such as sugar maple."


def own_words(sheets: Mapping[str, Sheet], about: str) -> dict[str, str]:
    """The family's own words of one kind (words.csv), as they are compared -> what is meant; the last of two counts."""
    rows = sheets["words"].frame
    rows = rows[rows["about"] == about].dropna(subset=["written", "meant"])
    return dict(zip(rows["written"].map(spaced), rows["meant"], strict=True))


def _shrubs(region: Region) -> set[str]:
    """Names that the browse tables know besides the trees."""
    return set(region.table("deer_browse_preference")["species"].str.lower())


def accepted_names(region: Region) -> dict[str, str]:
    """Every name accepted in a region (common names, nicknames, scientific names, all lower case) -> common name."""
    known = region.species
    return {word: name for word, name in known.names.items() if name not in known.without_bark}


def name_species(sheets: dict[str, Sheet], region: Region, faults: list[Fault], notes: list[str]) -> dict[str, Sheet]:
    """The sheets with each species under its common name; unknown ones are faults, remarks where shrubs may stand."""
    names, shrubs = accepted_names(region), _shrubs(region)
    bare = region.species.without_bark
    out = dict(sheets)
    for table, column in [(t, "species") for t in (*_STRICT, "browse", "seedlings")] + [("stands", "site_species")]:
        strict = table in (*_STRICT, "stands")
        out[table] = _one(sheets[table], column, names, shrubs, bare if strict else None, region.name, faults, notes)
    for name, chosen in region.species.stand_ins.items():
        rows = {sheets[t].file: int((out[t].frame["species"] == name).sum()) for t in _STRICT}
        if where := ", ".join(f"{file} {plural(n, 'row')}" for file, n in rows.items() if n):
            notes.append(f"{capital(name)} ({where}): {chosen}.")
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
    words, strict = sheet.frame[column], bare is not None
    if not strict:
        names = names | {spaced(shrub): shrub for shrub in shrubs}
    known = words.map(lambda word: names.get(spaced(word)) if isinstance(word, str) else None)
    nick = known.notna() & (words.map(spaced, na_action="ignore") != known.map(spaced, na_action="ignore"))
    if len(counted := words[nick].value_counts().sort_index()):
        meant = [f"{word} is {names[spaced(str(word))]} ({plural(n, 'row')})" for word, n in counted.items()]
        notes.append(f"{sheet.file}: nicknames were understood so: {', '.join(meant)}.")
    foreign = []
    for word in words[words.notna() & known.isna()].unique():
        near = closest(spaced(word), [*names, *map(spaced, shrubs)], 0.6 if strict else _SLIP)
        if bare and word in bare:
            remedy = "Its bark has no figures here. Write the kind most like it, or give a region of your own."
        elif near:
            remedy = f"Not in the {of_region} list. Closest: {names.get(near, near)}."
        elif strict:
            remedy = f"Not in the {of_region} list. It has {len(set(names.values()))} names. {_WRITE}"
        else:
            foreign.append(word)
            continue
        faults += sheet.faults(words == word, column, remedy)
    if foreign:
        notes.append(f"{sheet.file}: {short(', '.join(sorted(foreign)), 100)}: not on the tree list, kept as written.")
    named = pd.Series(np.where(known.isna(), words, known), dtype="str") if len(words) else words
    return replace(sheet, frame=sheet.frame.assign(**{column: named}))
