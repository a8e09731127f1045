"""The family's own region: every row of its tables that cannot act, in one pass, before anything is worked out."""

from collections.abc import Collection, Iterator
from pathlib import Path

import numpy as np
import pandas as pd

from woodlot.covers import known
from woodlot.errors import Fault
from woodlot.place.building import check_builds
from woodlot.place.checked import Sheet
from woodlot.place.remedies import short
from woodlot.region import MARKS, Region, keys, known_tables, more_columns, read_table
from woodlot.species import spaced
from woodlot.trade import GROWTHS, GUIDES, SEEN, closest, unknown

__all__ = ["check"]

#: A column with this in its name holds shares of one.
SHARE = "share"
#: Least and most of a figure by its unit.
BY_UNIT = {"month": (1, 12), "share": (0, 1), "correlation": (0, 1)}
#: Tables that name species in a column beside their key.
NAMES_SPECIES = {"species": "members", "species_words": "kind"}
#: Tables whose species may be others than those of the list: shrubs, wood by a shorter name.
OTHER_SPECIES = {"decay_classes", "deer_browse_preference", "deer_regen_groups", "species"}
#: Columns that hold no other words than the table a region is based on.
SAME_WORDS = {
    "breakup_ages": ("pace",),
    "cut_rules": ("way",),
    "doubtful_westfall_2024": ("action",),
    "growth_bands": ("of",),
}
#: Two figures of one row of which the second is more than the first.
RISING = {
    "breakup_ages": ("onset_yr", "half_yr"),
    "growth_bands": ("low_pct", "high_pct"),
    "longevity": ("typical_yr", "longest_yr"),
}
#: What is counted from one on.
COUNTED = {"draws", "lines", "months", "nodes", "plots", "stands", "winters"}


def check(region: Region, faults: list[Fault]) -> None:
    """Append what is wrong with the tables that do not come with woodlot: names, columns, keys, numbers, marks."""
    for folder in region.own_folders:
        under = Region(region.name, region.folders[region.folders.index(folder) + 1 :])
        for file in sorted(folder.iterdir()):
            if file.suffix.lower() == ".csv":
                _table(file, f"{folder.name}/{file.name}", under, faults)
        _kinds(folder, under, faults)
    if not faults:
        _keys(region, faults)
        _ages_and_soils(region, faults)
        _covers(region, faults)
        _tree_words(region, faults)
        _builds(region, faults)


def _table(file: Path, called: str, under: Region, faults: list[Fault]) -> None:
    if file.stem not in known_tables():
        near = closest(file.stem, known_tables())
        remedy = "Nothing in woodlot reads a table of this name." + (f" Did you mean {near}?" if near else "")
        faults.append(Fault(called, None, "", "no table of a region", remedy))
        return
    try:
        own = read_table(file)
    except (UnicodeDecodeError, pd.errors.ParserError, pd.errors.EmptyDataError) as error:
        faults.append(Fault(called, None, "", short(str(error), 120), "Save it as CSV with commas, in UTF-8."))
        return
    base = under.table(file.stem)
    before = len(faults)
    for column in base.columns.difference([*own.columns, *more_columns(file.stem)], sort=False):
        faults.append(Fault(called, 1, column, "no such column", f"Add a column {column}."))
    for column in own.columns.difference([*base.columns, *more_columns(file.stem)], sort=False):
        near = closest(str(column), list(base.columns))
        remedy = f"Did you mean {near}?" if near else f"The columns are {', '.join(base.columns)}."
        faults.append(Fault(called, 1, short(str(column)), "not known", remedy))
    if len(faults) == before:
        _rows(own, base, called, file.stem, faults)


def _kinds(folder: Path, under: Region, faults: list[Fault]) -> None:
    """Words and kinds of several species speak of species of the list: the region's own and those it is based on."""
    files = {topic: folder / f"{topic}.csv" for topic in NAMES_SPECIES}
    if any(fault.file.startswith(f"{folder.name}/") for fault in faults):
        return
    own = {topic: read_table(file) for topic, file in files.items() if file.is_file()}
    listed = {*under.species.listed, *(own["species"]["species"] if "species" in own else ())}
    for topic, rows in own.items():
        column = NAMES_SPECIES[topic]
        strange = rows[column].fillna("").map(lambda text: [n for n in text.split(";") if n and n not in listed])
        sheet = Sheet(
            topic, f"{folder.name}/{topic}.csv", rows.astype(str).where(rows.notna()), np.arange(len(rows)) + 2
        )
        remedy = "No species of the list. Names of species.csv stand here, with ; between them."
        faults += sheet.faults(strange.map(len) > 0, column, remedy)


def _own(region: Region, topics: Collection[str]) -> Iterator[tuple[str, pd.DataFrame, Sheet]]:
    """The region's own files of some tables: table, its rows, and the same as a sheet of text."""
    for folder in region.own_folders:
        for topic in topics:
            if (file := folder / f"{topic}.csv").is_file():
                own = read_table(file)
                text = own.astype(str).where(own.notna())
                yield topic, own, Sheet(topic, f"{folder.name}/{file.name}", text, np.arange(len(own)) + 2)


def _keys(region: Region, faults: list[Fault]) -> None:
    """Rows of species and covers that nothing knows: no tree and no stand would ever ask for them."""
    under = region.as_shipped()
    there = {"species": region.species.listed, "cover": tuple(known(region))}
    for topic, own, sheet in _own(region, known_tables()):
        for column in there.keys() & set(keys(topic)) if topic not in OTHER_SPECIES else ():
            names = dict.fromkeys((*there[column], *under.table(topic, rows=())[column].dropna()))
            texts = own[column].fillna("").astype(str).tolist()
            near = [closest(text, names) for text in texts]
            remedies = [f"No {column} of the list. " + (f"Did you mean {one}?" if one else "") for one in near]
            bad = own[column].notna() & ~own[column].isin(list(names))
            faults += sheet.faults(bad, column, lambda at, said=remedies: said[at].strip())


def _ages_and_soils(region: Region, faults: list[Fault]) -> None:
    """Kinds that break up without all paces; soils without a row of any species; words of no soil."""
    ages, growth = (region.table(topic, rows=()) for topic in ("breakup_ages", "site_growth"))
    paces = ages.groupby("species")["pace"].nunique()
    few = set(paces.index[paces < ages["pace"].nunique()])
    soils = list(dict.fromkeys(growth["soil"]))
    bare = set(soils) - set(growth.loc[growth["species"] == "any", "soil"])
    for topic, own, sheet in _own(region, ("breakup_ages", "site_growth", "soil_words")):
        if topic == "breakup_ages":
            remedy = f"Needs a row of each pace: {', '.join(dict.fromkeys(ages['pace']))}."
            faults += sheet.faults(own["species"].isin(few), "pace", remedy)
        elif topic == "site_growth":
            faults += sheet.faults(own["soil"].isin(bare), "species", "This soil needs a row of any species: any.")
        else:
            texts = own["soil"].fillna("").astype(str).tolist()
            faults += sheet.faults(~own["soil"].isin(soils), "soil", lambda at, said=texts: unknown(said[at], soils))


def _covers(region: Region, faults: list[Fault]) -> None:
    """Covers and kinds that own rows of cover_types.csv and cover_words.csv name and nothing knows."""
    there = known(region)
    of_one: dict[str, Collection[str]] = {"as": there, "growth": GROWTHS, "guide": GUIDES}
    of_one |= dict.fromkeys(("evergreen", "shelter", "wet", "woods"), ("yes", "no"))
    for folder in region.own_folders:
        for topic, allowed in (("cover_types", of_one), ("cover_words", {"covers": there})):
            if not (file := folder / f"{topic}.csv").is_file():
                continue
            own = read_table(file)
            sheet = Sheet(topic, f"{folder.name}/{file.name}", own, np.arange(len(own)) + 2)
            for column, words in allowed.items():
                parts = own[column].astype("str").str.split(r";\s*", regex=True)
                bad = parts.map(lambda each, ok=words: any(one not in ok for one in each), na_action="ignore")
                texts = own[column].fillna("").astype(str).tolist()
                remedies = [unknown(text, words) for text in texts]
                faults += sheet.faults(bad.fillna(False), column, remedies.__getitem__, texts.__getitem__)


def _tree_words(region: Region, faults: list[Fault]) -> None:
    """Letters and spellings of own rows of tree_words.csv that another word has already."""
    rows = region.table("tree_words", rows=()).dropna(subset=["word"])
    for folder in region.own_folders:
        if not (file := folder / "tree_words.csv").is_file():
            continue
        own = read_table(file)
        sheet = Sheet("tree_words", f"{folder.name}/{file.name}", own, np.arange(len(own)) + 2)
        for column in ("letter", "also"):
            parts = rows[column].fillna("").str.split(";").explode().map(spaced)
            twice = set(parts[parts.duplicated(keep=False) & (parts != "")])
            bad = own[column].fillna("").map(lambda text, many=twice: any(spaced(p) in many for p in text.split(";")))
            faults += sheet.faults(bad, column, "Another word has it already. Give each word its own.")


def _builds(region: Region, faults: list[Fault]) -> None:
    """Pieces of own ready lists that cannot be cut."""
    for file in (folder / "build_pieces.csv" for folder in region.own_folders):
        if file.is_file():
            own = read_table(file)
            sheet = Sheet("build_pieces", f"{file.parent.name}/{file.name}", own, np.arange(len(own)) + 2)
            faults += check_builds(sheet, region)


def _rows(own: pd.DataFrame, base: pd.DataFrame, called: str, topic: str, faults: list[Fault]) -> None:
    key = list(keys(topic))
    sheet = Sheet(topic, called, own.astype(str).where(own.notna()), np.arange(len(own)) + 2)
    if key:
        remedy, twice = "This row stands twice. Keep one of the two.", own.duplicated(key, keep="first")
        faults += sheet.faults(twice, key[0], remedy, lambda at: ", ".join(str(own[column].iloc[at]) for column in key))
    for column in base.columns.intersection(own.columns, sort=False):
        if column in MARKS and topic == "sources":
            continue
        if column == "seen":
            bad, remedy = ~own[column].isin(SEEN), unknown("", SEEN)
        elif column in MARKS:
            bad, remedy = own[column].isna(), f"Say its {column}, as every row of every table does."
        elif column in SAME_WORDS.get(topic, ()):
            bad, remedy = ~own[column].isin(base[column]), unknown("", dict.fromkeys(base[column]))
        elif pd.api.types.is_string_dtype(base[column]) and column in key and base[column].notna().all():
            bad, remedy = own[column].isna(), "A row needs its key."
        elif pd.api.types.is_numeric_dtype(base[column]) and not pd.api.types.is_bool_dtype(base[column]):
            bad, remedy = _not_a_number(own[column], base[column], column)
        else:
            continue
        faults += sheet.faults(bad, column, remedy)
    if {"name", "unit"} <= set(base.columns):
        _figures(own, base, sheet, faults)
    for names in (("low", "value", "high"), ("leave_low", "leave_sqft_per_ac", "leave_high")):
        if set(names) <= set(base.columns) & set(own.columns):
            faults += _between(own, names, sheet)
    if topic in RISING:
        low, high = RISING[topic]
        least, most = (pd.to_numeric(own[column], errors="coerce") for column in (low, high))
        faults += sheet.faults(
            least >= most, high, f"Must be more than its {low}.", lambda at, a=most: f"{a.iloc[at]:g}"
        )


def _between(own: pd.DataFrame, names: tuple[str, str, str], sheet: Sheet) -> list[Fault]:
    """Figures that do not lie between their low and high."""
    low, value, high = (pd.to_numeric(own[c], errors="coerce") for c in names)
    return sheet.faults(
        (low > value) | (value > high),
        names[1],
        lambda at: f"Must lie between its low and high, {low.iloc[at]:g} and {high.iloc[at]:g}.",
        lambda at: f"{value.iloc[at]:g}",
    )


def _figures(own: pd.DataFrame, base: pd.DataFrame, sheet: Sheet, faults: list[Fault]) -> None:
    """Figures by name: a name that nothing reads, another unit, a value that its unit cannot have."""
    key = [column for column in ("scenario", "name") if column in base]
    columns = ["value"] if "value" in base else ["low", "mid", "high"]
    units = dict(zip(base[key].agg(" ".join, axis=1), base["unit"].fillna(""), strict=True))
    told = own[key].to_dict("list").values()
    names = [None if any(map(pd.isna, parts)) else " ".join(map(str, parts)) for parts in zip(*told, strict=True)]
    for at, (name, unit) in enumerate(zip(names, own["unit"].fillna(""), strict=True)):
        here = np.arange(len(own)) == at
        if name is None:
            continue  # reported as a row without its key
        if name not in units:
            faults += sheet.faults(here, "name", f"No figure of this name. {unknown(name, units)}")
            continue
        if unit != units[name]:
            remedy = f"This figure is in {units[name]}." if units[name] else "This figure has no unit."
            faults += sheet.faults(here, "unit", remedy)
        low, high = BY_UNIT.get(units[name], (1, np.inf) if units[name] in COUNTED else (-np.inf, np.inf))
        for column, value in pd.to_numeric(own.loc[own.index[at], columns], errors="coerce").items():
            if not (np.isnan(value) or low <= value <= high):
                most = f" to {high:g}" if np.isfinite(high) else " or more"
                faults += sheet.faults(here, str(column), f"Must be {low:g}{most}, in {units[name]}.", f"{value:g}")


def _not_a_number(own: pd.Series, base: pd.Series, column: str) -> tuple[pd.Series, str]:
    """Rows whose cell can be no value of a column, and what would be right."""
    numbers = pd.to_numeric(own, errors="coerce")
    bad = (numbers.isna() & own.notna()) | (np.isinf(numbers) & ~np.isinf(base).any())
    if base.notna().all():
        bad |= own.isna()
    words = "a number"
    if (base.dropna() >= 0).all():
        bad, words = bad | (numbers < 0), "a number, 0 or more"
    if SHARE in column and (base.dropna() <= 1).all():
        bad, words = bad | (numbers > 1), "a share from 0 to 1"
    return bad, f"Must be {words}."
