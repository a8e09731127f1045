"""Words on a tree as families write them -> words of tree_words.csv: letters, other spellings, their own of words.csv.

name_quality   the sheets of trees with each cell as words of the table; a word nobody knows is a fault, never a guess
wrong_words    these faults alone, of one sheet
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.naming import own_words
from woodlot.place.remedies import NOT_MEASURED, short
from woodlot.region import Region
from woodlot.say.words import plural
from woodlot.species import either, spaced
from woodlot.trade import nearest
from woodlot.tree.quality import letters, spellings, words_in

__all__ = ["JUDGED", "name_quality", "wrong_words"]

JUDGED, COLUMN, ABOUT, DEAD = ("trees", "tally"), "quality", "quality", "dead"
#: Words offered for one that nobody knows.
NEAR = 3


def name_quality(sheets: dict[str, Sheet], region: Region, faults: list[Fault], notes: list[str]) -> dict[str, Sheet]:
    """The sheets with each quality as words of the table; a tree called dead stands dead."""
    own = own_words(sheets, ABOUT)
    faults += _wrong_meanings(sheets["words"], region)
    known, out, told = _known(region, own), dict(sheets), Counter[tuple[str, str]]()
    for table in JUDGED:
        sheet = sheets[table]
        faults += wrong_words(sheet, region, own)
        cells = _bare(sheet.frame[COLUMN])
        read = {cell: words_in(cell, known)[0] for cell in cells.dropna().unique()}
        for cell, rows in cells.value_counts().sort_index().items():
            for part in str(cell).replace(";", ",").split(","):
                word = known.get(spaced(part), "")
                if word and len(part.strip()) > 1 and spaced(part) != spaced(word):
                    told[" ".join(part.split()), word] += int(rows)
        dead = cells.isin([cell for cell, words in read.items() if DEAD in words])
        if (slips := dead & sheet.frame["alive"].astype(bool)).any():
            notes.append(
                f"{sheet.file}: {plural(int(slips.sum()), 'tree')} called dead in quality: taken as standing dead."
            )
        named = cells.map({cell: "; ".join(words) for cell, words in read.items()})
        alive = sheet.frame["alive"].astype(bool) & ~dead
        frame = sheet.frame.assign(alive=alive)
        frame[COLUMN] = named.astype("str")
        out[table] = replace(sheet, frame=frame)
    if told:
        each = [f'"{written}" is {word} ({plural(n, "row")})' for (written, word), n in sorted(told.items())]
        notes.append(f"Words on trees were understood so: {', '.join(each)}.")
    return out


def wrong_words(sheet: Sheet, region: Region, own: Mapping[str, str]) -> list[Fault]:
    """The cells of a sheet with a word that nobody knows, each with what it was perhaps meant for.

    own: the family's own words (``naming.own_words``).
    """
    known = _known(region, own)
    cells = _bare(sheet.frame[COLUMN])
    strange = {cell: words_in(cell, known)[1] for cell in cells.dropna().unique()}
    strange = {cell: parts for cell, parts in strange.items() if parts}
    return sheet.faults(
        cells.isin(list(strange)),
        COLUMN,
        lambda at: _remedy(strange[cells.iloc[at]][0], region),
        lambda at: short(", ".join(strange[cells.iloc[at]])),
    )


def _bare(cells: pd.Series) -> pd.Series:
    """The cells; those that say that nobody judged the tree are empty."""
    return cells.where(~cells.str.strip().str.lower().isin(NOT_MEASURED)) if len(cells) else cells


def _known(region: Region, own: Mapping[str, str]) -> dict[str, str]:
    """Every spelling -> word of the table, the family's own before the region's."""
    known = spellings(region=region)
    return known | {written: known[spaced(meant)] for written, meant in own.items() if spaced(meant) in known}


def _wrong_meanings(words: Sheet, region: Region) -> list[Fault]:
    """Rows of words.csv by which no word of the table is meant."""
    meant = words.frame["meant"].where(words.frame["about"] == ABOUT)
    wrong = meant.notna() & ~meant.fillna("").map(spaced).isin(list(spellings(region=region)))
    return words.faults(wrong, "meant", lambda at: _remedy(words.text("meant", at), region))


def _remedy(word: str, region: Region) -> str:
    """What would be right in place of a word that nobody knows."""
    known = spellings(region=region)
    near = nearest(spaced(word), [one for one in known if len(one) > 1], NEAR) if len(word) > 1 else []
    meant = list(dict.fromkeys(known[one] for one in near))
    if meant:
        return f"Closest: {either(meant)}. Write it, or say it once in words.csv: {ABOUT},{word},{meant[0]}."
    every = ", ".join(f"{letter} {word}" for letter, word in letters(region=region).items())
    return f"Must be a letter or word of these, or several with a comma between: {every}."
