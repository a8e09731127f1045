"""Species as families write them -> plain common names of the region's list."""

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.remedies import NOT_MEASURED, short
from woodlot.region import Region
from woodlot.say.words import capital, not_listed, plural
from woodlot.species import either, spaced

__all__ = ["name_preference", "name_species", "own_words", "told_species"]

#: Tables whose trees are scaled: every species must be on the list. Elsewhere shrubs and ferns may stand too.
_STRICT = ("trees", "tally", "cores")
_COLUMNS = (*((table, "species") for table in (*_STRICT, "browse", "seedlings")), ("stands", "site_species"))
#: What stands between the kinds of one cell, and what says that there is none.
BETWEEN, NO_KIND = r"\s*[;,/+&]\s*|\s+and\s+", ("none", "no", "0")
_WRITE = "Write the common name, such as sugar maple."


def own_words(sheets: Mapping[str, Sheet], about: str) -> dict[str, str]:
    """The family's own words of one kind (words.csv), as they are compared -> what is meant; the last of two counts."""
    rows = sheets["words"].frame
    rows = rows[rows["about"] == about].dropna(subset=["written", "meant"])
    return dict(zip(rows["written"].map(spaced), rows["meant"], strict=True))


def _shrubs(region: Region) -> dict[str, str]:
    """Names that the browse tables know besides the trees, as they are compared -> as they stand there."""
    return {spaced(name): name for name in region.table("deer_browse_preference")["species"].str.lower()}


@dataclass
class _Reading:
    """How the words of a place are read: the region's, the family's own before them; what was understood, by rows."""

    region: Region
    own: dict[str, str]
    shrubs: dict[str, str]
    understood: Counter[tuple[str, str]] = field(default_factory=Counter)

    def kinds(self, word: str, strict: bool) -> tuple[str, ...]:
        """What a word may mean; a cell that says that nobody knew the tree is any tree."""
        kinds = self.region.species.means(word, self.own if strict else self.shrubs | self.own)
        return kinds or (self.region.species.means("unknown") if word.lower() in NOT_MEASURED else ())

    def remedy(self, word: str, strict: bool) -> str:
        """What would be right in place of a word that means nothing or several kinds; "" where it may stay."""
        species, kinds = self.region.species, self.kinds(word, strict)
        if not strict and set(kinds) <= species.unnamed:
            near = species.closest(word, self.shrubs.values(), slips=1)
            return "" if kinds or not near else self._offer(word, near)
        if kinds:
            what = (
                "Was it a hardwood or a softwood?" if set(kinds) <= species.unnamed else f"It may be {either(kinds)}."
            )
            return f"{what} Write which, or say it once in words.csv: species,{word},{kinds[0]}."
        near = species.closest(word)
        return self._offer(word, near) if near else f"{not_listed(self.region.name)} {_WRITE}"

    def _offer(self, word: str, near: tuple[str, ...]) -> str:
        which = "" if len(near) == 1 else " Which of them is for you to say."
        return f"{not_listed(self.region.name)} Closest: {either(near)}.{which}"


#: Where the reading of a word comes from, if it was not read.
_FROM = {"yours": "; by words.csv", "memory": "; from memory", "chosen": "; our choice"}


def name_species(sheets: dict[str, Sheet], region: Region, faults: list[Fault], notes: list[str]) -> dict[str, Sheet]:
    """The sheets with each species under its common name; unknown ones are faults, remarks where shrubs may stand."""
    reading = _Reading(region, _own(sheets, region, faults), _shrubs(region))
    out = dict(sheets)
    for table, column in _COLUMNS:
        out[table] = _one(sheets[table], column, reading, table not in ("browse", "seedlings"), faults, notes)
    out["ledger"] = _kept(sheets["ledger"], reading)
    out["seedlings"] = _several(out["seedlings"], "seed_trees", reading, faults, notes)
    _tell_words(reading, notes)
    _tell_kinds(out, region, notes)
    return out


def name_preference(
    preference: Mapping[str, str] | None, sheets: Mapping[str, Sheet], region: Region, faults: list[Fault]
) -> dict[str, str] | None:
    """What deer make of kinds, each kind under the name it has in browse.csv; a slip of the pencil is a fault."""
    if preference is None:
        return None
    reading = _Reading(region, _own(sheets, region, []), _shrubs(region))
    out = {}
    for word, wish in preference.items():
        kinds = reading.kinds(word, strict=False)
        out[kinds[0] if len(kinds) == 1 else word] = wish
        if len(kinds) != 1 and (remedy := reading.remedy(word, strict=False)):
            faults.append(Fault("place.toml", None, "deer.preference", short(word), remedy))
    return out


def _own(sheets: Mapping[str, Sheet], region: Region, faults: list[Fault]) -> dict[str, str]:
    """The family's own words for trees and shrubs -> plain names; a row that means nothing is a fault of words.csv."""
    reading = _Reading(region, {}, _shrubs(region))
    sheet, out = sheets["words"], {}
    for written, meant in own_words(sheets, "species").items():
        kinds = reading.kinds(meant, strict=False)
        if len(kinds) == 1:
            out[written] = kinds[0]
            continue
        here = (sheet.frame["about"] == "species") & (sheet.frame["meant"] == meant)
        near = f" Closest: {either(near)}." if (near := region.species.closest(meant, reading.shrubs.values())) else ""
        remedy = f"It may be {either(kinds)}. Write which." if kinds else f"{not_listed(region.name)}{near}"
        faults += sheet.faults(here, "meant", remedy)
        out[written] = "" if not kinds else kinds[0]
    return {written: meant for written, meant in out.items() if meant}


def _one(sheet: Sheet, column: str, reading: _Reading, strict: bool, faults: list[Fault], notes: list[str]) -> Sheet:
    words, bare = sheet.frame[column], reading.region.species.without_bark
    rows = words.value_counts().sort_index()
    known: dict[str, str] = {}
    foreign = []
    for word, n in rows.items():
        kinds = reading.kinds(str(word), strict)
        if len(kinds) == 1 and not (strict and kinds[0] in bare):
            known[str(word)] = kinds[0]
            if spaced(str(word)) != spaced(kinds[0]):
                reading.understood[str(word), kinds[0]] += int(n)
        elif len(kinds) == 1:
            remedy = "Its bark has no figures here. Write the kind most like it, or give a region of your own."
            faults += sheet.faults(words == word, column, remedy)
        elif remedy := reading.remedy(str(word), strict):
            faults += sheet.faults(words == word, column, remedy)
        else:
            foreign.append(str(word))
    if foreign:
        notes.append(f"{sheet.file}: {short(', '.join(foreign), 100)}: not on the tree list, kept as written.")
    read = words.map(known)
    named = pd.Series(np.where(read.isna(), words, read), dtype="str") if len(words) else words
    return replace(sheet, frame=sheet.frame.assign(**{column: named}))


def _kept(sheet: Sheet, reading: _Reading) -> Sheet:
    """The ledger with its kinds of trees under their common names; what nobody knows stays as it was written."""
    words = sheet.frame["species"]
    each = {word: reading.kinds(str(word), False) for word in words.dropna().unique()}
    known = {word: kinds[0] for word, kinds in each.items() if len(kinds) == 1 and kinds[0] != word}
    return replace(sheet, frame=sheet.frame.assign(species=words.replace(known))) if known else sheet


def told_species(sheets: Mapping[str, Sheet], region: Region) -> Callable[[str], tuple[str, str]]:
    """What reads a word of a new line of the ledger: the common name that it means, and else what would be right."""
    reading = _Reading(region, _own(dict(sheets), region, []), _shrubs(region))

    def read(word: str) -> tuple[str, str]:
        kinds = reading.kinds(word, False)
        return (kinds[0], "") if len(kinds) == 1 else ("", reading.remedy(word, True))

    return read


def _several(sheet: Sheet, column: str, reading: _Reading, faults: list[Fault], notes: list[str]) -> Sheet:
    """A column whose cells hold several kinds: each is read as one of ``_one``; cells come out with ; between kinds."""
    cells = sheet.frame[column].dropna()
    parts = cells.str.split(BETWEEN).explode().str.strip()
    parts = parts[parts.notna() & (parts != "") & ~parts.isin(NO_KIND)]
    if len(cells) == 0:
        return sheet
    each = replace(sheet, frame=parts.rename(column).to_frame().reset_index(drop=True), rows=sheet.rows[parts.index])
    each = replace(each, wrong={})
    named = _one(each, column, reading, False, faults, notes).frame[column]
    joined = pd.Series(named.to_numpy(), index=parts.index).groupby(level=0).agg("; ".join)
    read = joined.reindex(cells.index).fillna("none").reindex(sheet.frame.index)
    return replace(sheet, frame=sheet.frame.assign(**{column: read.astype("str").where(read.notna())}))


def _tell_words(reading: _Reading, notes: list[str]) -> None:
    """One remark for all files: nicknames and codes, what each was taken for, and where that is from memory only."""
    told = []
    for (word, kind), n in sorted(reading.understood.items()):
        seen = "yours" if spaced(word) in reading.own else reading.region.species.mark(word)
        told.append(f'"{word}" is {kind} ({plural(n, "row")}{_FROM.get(seen, "")})')
    if told:
        notes.append(f"Nicknames and codes of trees were understood so: {', '.join(told)}.")


def _tell_kinds(sheets: Mapping[str, Sheet], region: Region, notes: list[str]) -> None:
    """What stands in for figures that a species or a kind of several has not of its own."""
    known = region.species
    for name, chosen in known.stand_ins.items():
        rows = {sheets[t].file: int((sheets[t].frame["species"] == name).sum()) for t in _STRICT}
        if where := ", ".join(f"{file} {plural(n, 'row')}" for file, n in rows.items() if n):
            notes.append(f"{capital(name)} ({where}): {chosen}.")
    counted = pd.concat([sheets[t].frame["species"] for t in _STRICT]).value_counts()
    told = [
        f"{kind} ({plural(int(counted[kind]), 'row')}): {len(known.members(kind))} species, cords {volume:.0%}, weight "
        f"and heat {weight:.0%}"
        for kind in known.listed
        if kind in counted and len(known.members(kind)) > 1
        for volume, weight in [[known.spread(kind, of) for of in ("volume_spread", "weight_spread")]]
    ]
    if told:
        notes.append(
            "Trees known only as a kind of several species are worked as the mean of these (the volume of a hardwood "
            "or softwood nobody named by its group). How far one species may lie from that widens the range of cords: "
            f"{'; '.join(told)}."
        )
