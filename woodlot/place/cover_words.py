"""Covers as people say them -> covers of the region, by the family's words.csv and by cover_words.csv.

name_covers    the stands under the covers that are meant; what must be asked or nobody knows is read as no cover
known_words    all words for covers: the region's (``spoken_words``) and the family's own before them
understood     what one word means by such words; likely: covers of the words most like it
word_in        the word for a cover that stands in a name
words_of       the words that mean each cover

A word that stands in no table is taken apart into words that do, the longest first: "oak, aspen" may be either, "alder
swamp" is what both may be. A letter means another cover on another list, and so does a number: neither is taken.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import pandas as pd

from woodlot.covers import known
from woodlot.errors import Fault
from woodlot.place.checked import Sheet
from woodlot.place.naming import own_words
from woodlot.place.remedies import NOT_MEASURED, short
from woodlot.region import Region, once
from woodlot.say.words import first_of, noun, plural
from woodlot.trade import NO_COVER, nearest

__all__ = [
    "Meant",
    "known_words",
    "likely",
    "name_covers",
    "plain",
    "spoken_words",
    "understood",
    "word_in",
    "words_of",
]

#: Words that say nothing of a cover, and words that say how old or large its trees are.
FILL = set(re.findall(r"\w+", "type types stand stands the a an of in and or with some mostly mainly our my"))
SIZE = set(re.findall(r"\w+", "young old mature big large small tall thick nice good poor"))
_YEAR = re.compile(r"\b(?:18|19|20)\d\d\b")
#: Stands named in a remark; words looked at, and covers offered, for one that nobody knows.
MOST, NEAR = 6, 4
WHAT_HANGS = "Wood is counted all the same; what a cut should leave and what deer find there hang on it."


@dataclass(frozen=True)
class Meant:
    """What a word may mean: covers, what is to be said where it means one, whether it is a letter of some list, and the
    rows of cover_words.csv that say so.
    """

    covers: tuple[str, ...] = ()
    note: str = ""
    letter: bool = False
    rows: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether one cover is meant."""
        return len(self.covers) == 1 and not self.letter


def plain(text: str) -> str:
    """A word as it is compared: lower case, blanks for signs, without what says nothing of a cover.

    >>> plain("The Spruce/Fir stand")
    'spruce fir'
    """
    parts = re.sub(r"[^\w]+|_", " ", text.lower().replace("'", "")).split()
    return " ".join([part for part in parts if part not in FILL] or parts)


@once
def _covers(*, region: Region) -> dict[str, Meant]:
    return {plain(cover): Meant((cover,)) for cover in known(region)}


@once
def spoken_words(*, region: Region) -> dict[str, Meant]:
    """Words of cover_words.csv; the covers of the region go before them."""
    rows, out = region.table("cover_words", rows=()).fillna(""), {}
    for word, text, note in zip(rows["word"], rows["covers"], rows["note"], strict=True):
        covers = tuple(cover.strip() for cover in text.split(";"))
        out[plain(word)] = Meant(covers, note, len(plain(word)) == 1, (word,))
    return out | _covers(region=region)


def known_words(region: Region, own: Mapping[str, str]) -> dict[str, Meant]:
    """All words for covers: the region's; before them the family's own (as ``naming.own_words``) that mean one."""
    spoken = spoken_words(region=region)
    meant = {plain(written): understood(word, spoken) for written, word in own.items()}
    return spoken | {word: Meant(one.covers) for word, one in meant.items() if one.sure} | _covers(region=region)


def words_of(region: Region) -> dict[str, list[str]]:
    """Cover -> words that are read as it."""
    out: dict[str, list[str]] = {cover: [] for cover in known(region)}
    spoken = spoken_words(region=region)
    for word in region.table("cover_words", rows=())["word"]:
        if spoken[plain(word)].sure:
            out[spoken[plain(word)].covers[0]].append(word)
    return out


def _look(words: Mapping[str, Meant], parts: list[str]) -> Meant | None:
    word = " ".join(parts)
    return words.get(word) or words.get(word.removesuffix("s")) if word else None


def understood(text: str, words: Mapping[str, Meant]) -> Meant:
    """What a word means by some words (``plain`` -> what is meant); no cover where nobody knows.

    Where each part may mean the same covers, these; else those of all parts.
    """
    parts, found = plain(text).split(), []
    while parts:
        size = next((n for n in range(len(parts), 0, -1) if _look(words, parts[:n])), 0)
        if size and (one := _look(words, parts[:size])):
            found.append(one)
        elif parts[0] not in SIZE:
            return Meant()
        parts = parts[size or 1 :]
    either = tuple(dict.fromkeys(cover for one in found for cover in one.covers))
    common = tuple(cover for cover in either if all(cover in one.covers for one in found))
    note = "; ".join(dict.fromkeys(one.note for one in found if one.note))
    rows = tuple(row for one in found for row in one.rows)
    return Meant(common or either, note, any(one.letter for one in found), rows)


def word_in(name: str, words: Mapping[str, Meant]) -> str:
    """The word for a cover that stands in what a stand is called, "" for none: "Back forty - popple" is popple.

    What means one cover goes before what may be several, the whole name and its parts between dashes and brackets
    before the longest word within one of them. A year is no part of a word.
    """
    text = _YEAR.sub("", name).strip()
    if (whole := understood(text, words)).covers:
        return "" if whole.letter else text
    found = [_word_within(part.strip(), words) for part in re.split(r"\s[-–—]+\s|[:;,(/)]", text)]
    sure = [word for word in found if understood(word, words).sure]
    return ", ".join(sure) or next(filter(None, found), "")


def _word_within(part: str, words: Mapping[str, Meant]) -> str:
    """A part of a name that is a word for covers, else the longest of its words that means one cover."""
    meant = understood(part, words)
    if meant.covers:
        return "" if meant.letter else part
    bits = plain(part).split()
    spans = [" ".join(bits[a:b]) for a in range(len(bits)) for b in range(a + 1, len(bits) + 1)]
    return max((span for span in spans if (one := _look(words, span.split())) and one.sure), key=len, default="")


def likely(text: str, words: Mapping[str, Meant]) -> tuple[str, ...]:
    """What a word may mean, or covers of the words most like it."""
    meant = understood(text, words).covers
    near = [] if meant else nearest(plain(text), [word for word in words if len(word) > 2], NEAR)
    return meant or tuple(dict.fromkeys(cover for word in near for cover in words[word].covers))[:NEAR]


def _offer(covers: tuple[str, ...]) -> str:
    quoted = [f'"{cover}"' if "," in cover else cover for cover in covers]
    return f"{', '.join(quoted[:-1])} or {quoted[-1]}" if len(quoted) > 1 else "".join(quoted)


def _wrong_words(sheet: Sheet, spoken: Mapping[str, Meant]) -> list[Fault]:
    """The rows of words.csv by which no single cover is meant."""
    here = (sheet.frame["about"] == "cover") & sheet.frame["meant"].notna()
    wrong = here & sheet.frame["meant"].map(lambda word: not understood(str(word), spoken).sure).astype(bool)

    def remedy(at: int) -> str:
        near = likely(sheet.text("meant", at), spoken) or tuple(one.covers[0] for one in spoken.values())[-NEAR:]
        return f"Must be one cover, such as {_offer(near)}."

    return sheet.faults(wrong, "meant", remedy)


def name_covers(sheets: Mapping[str, Sheet], region: Region, faults: list[Fault], notes: list[str]) -> Sheet:
    """The stands, each under the cover that is meant; ``NO_COVER`` where none is written, or none is sure.

    One remark tells how words were read, one names the stands without a word, and one a word asks what it means.
    """
    stands, words = sheets["stands"], known_words(region, own_words(sheets, "cover"))
    faults += _wrong_words(sheets["words"], spoken_words(region=region))
    written = stands.frame["cover"]
    bare = written.isna() | written.isin(NOT_MEASURED)
    meant = {word: understood(word, words) for word in sorted(written[~bare].unique())}
    region.note("cover_words", [row for one in meant.values() for row in one.rows])
    read = {word: one.covers[0] for word, one in meant.items() if one.sure}
    notes += _told(stands, {word: meant[word] for word in read if plain(word) != plain(read[word])})
    for word in (one for one in meant if one not in read):
        near, which = likely(word, words), "may be" if meant[word].covers else "is no cover known here. Closest:"
        said = f" {which} {_offer(near)}." if near else " is no cover known here."
        cells = [f'"{cell}"' if "," in cell else cell for cell in (word, (*near, *known(region))[0])]
        notes.append(
            f'{stands.file}: "{short(word)}", {_named(stands, written == word)},{said} Until then that cover is not '
            f"known. {WHAT_HANGS} Write the cover, or answer once with a line in words.csv, such as "
            f"cover,{','.join(cells)}"
        )
    if bare.any():
        notes.append(
            f"{stands.file}: the cover of {_named(stands, bare)} is not known. {WHAT_HANGS} Write it (northern "
            "hardwoods, oak, pine ...) in the column cover."
        )
    cover = written.where(~bare).map(read)
    return replace(stands, frame=stands.frame.assign(cover=cover.where(cover.notna(), NO_COVER).astype("str")))


def _named(stands: Sheet, where: pd.Series) -> str:
    names = [short(str(one), 20) for one in stands.frame.loc[where, "stand_id"].dropna()]
    return f"{noun(len(names), 'stand')} {first_of(names, MOST)}"


def _told(stands: Sheet, read: Mapping[str, Meant]) -> list[str]:
    """One remark on all words that were read as a cover."""
    many = stands.frame["cover"].value_counts()
    said = []
    for word, one in read.items():
        note = f"; {one.note}" if one.note else ""
        said.append(f'"{short(word)}" is read as {_offer(one.covers)} ({plural(int(many[word]), "stand")}{note})')
    return [f"{stands.file}: {', '.join(said)}."] if said else []
