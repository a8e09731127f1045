"""What outlines, lines and points are called and how they are described -> ids, covers, legal words, acres, kinds."""

import re
from collections.abc import Iterable, Mapping, Sequence
from html import unescape

import pandas as pd

from woodlot.place.bringing.headings import plain_words
from woodlot.place.cover_words import Meant, understood, word_in
from woodlot.species import unaccented
from woodlot.trade import CUT_FIRST, LEAVE_DEAD, NEVER_CUT
from woodlot.units import AC_PER_SQMI

__all__ = [
    "deed_acres_in",
    "feature_in",
    "ids_of",
    "is_covered",
    "is_feature",
    "is_legal",
    "plain_text",
    "plot_in",
    "with_covers",
    "with_legal",
]

#: Letters of an id made from a name; what is longer is cut between words.
_MOST = 24
_FRACTIONS = {"½": "1/2", "¼": "1/4", "⁄": "/", "∕": "/"}
_PART = r"(?:[NS][EW]|[NSEW])"
_LEGAL = re.compile(
    rf"\b(?:sec(?:tion|t|s)?\b\.?\s*(?:no\.?\s*)?\d|T\.?\s*\d+\s*-?\s*[NS]\b|{_PART}\s*(?:1/[24]|quarter|half)"
    rf"|(?:[NS][EW]\s*(?:1/4)?(?:\s+of\s+the|\s+of)?\s+){{1,3}}[NS][EW]\b|gov(?:ernmen|'?)t\.?\s*lots?\b|lot\s+\d+,"
    r"|township\s+\d+|range\s+\d+|thence\b|point of beginning|metes and bounds)",
    re.IGNORECASE,
)
_QUARTER = r"(?:(?:NE|NW|SE|SW)(?:\s*(?:1/4|quarter)|\b)|[NSEW]\s*(?:1/2|half))"
_CHAIN = re.compile(rf"\b{_QUARTER}(?:[\s.]*(?:of\s+the|of)?[\s.]*{_QUARTER})*", re.IGNORECASE)
_PART_LEFT = re.compile(r"\b(?:less|except|exc|excluding|lots?|thence|beginning|part of)\b", re.IGNORECASE)
_ACRES = re.compile(
    r"\b(\d{1,6}(?:,\d{3})*(?:\.\d+)?)\s*(?:deed(?:ed)?\s+|\+/-\s*|\(?more or less\)?\s*)?(?:acres?|ac)\b\.?", re.I
)
_FEATURES = {
    "stream": ("creek", "stream", "brook", "river", "crick", "ditch", "spring"),
    "lake": ("lake", "pond", "beaver pond", "slough", "flowage"),
    "home_ground": ("home", "house", "cabin", "camp", "yard", "homestead", "farmstead", "barn", "home ground"),
    "road": ("road", "trail", "lane", "two track", "drive", "driveway", "skid trail", "tote road", "access"),
    "landing": ("landing", "log deck", "deck", "header"),
    "deer_stand": ("deer stand", "blind", "deer blind", "tree stand", "treestand", "ladder stand", "bow stand"),
    NEVER_CUT: ("never cut", "do not cut", "no cutting"),
    CUT_FIRST: ("cut first",),
    LEAVE_DEAD: ("leave dead trees", "leave snags"),
}
_HOME = ("home", "house", "cabin", "camp", "homestead", "farmstead")
_STAND = re.compile(
    r"^\s*(?:stand|std|block|unit|compartment)\s*(?:no\.?|#)?\s*([A-Za-z]?\d{1,4}[A-Za-z]?|[A-Za-z])\b", re.I
)
_PLOT = re.compile(r"^\s*(?:plot|plt|point|pt|p|sample|station)?\s*[-_#.]?\s*(?:no\.?)?\s*(\d{1,4}[A-Za-z]?)\s*$", re.I)
_BARE = re.compile(r"^\s*([A-Za-z]?\d{1,4}[A-Za-z]?|[A-Za-z])\s*(?:[-:.,(]\s*|\s+-\s*|$)")


def plain_text(text: str) -> str:
    """A description without the marks of a web page, on one line."""
    out = re.sub(r"<(?:br|/p|/tr|/div)[^>]*>", "; ", text, flags=re.IGNORECASE)
    out = re.sub(r"<[^>]*>", " ", out)
    return re.sub(r"\s*(?:;\s*)+", "; ", " ".join(unescape(out).split())).strip("; ")


def is_legal(text: str) -> bool:
    """Whether words describe land as a deed does: sections, quarters, townships, lots, bearings."""
    plain = text
    for mark, letters in _FRACTIONS.items():
        plain = plain.replace(mark, letters)
    return bool(_LEGAL.search(plain))


def nominal_acres(text: str) -> float | None:
    """Acres that a description names by halves and quarters of a section of 640: the SE1/4 of the NE1/4 is forty.

    None where it names none, more than one piece, or keeps something out; not what is there, only what the words say.
    """
    plain = text
    for mark, letters in _FRACTIONS.items():
        plain = plain.replace(mark, letters)
    chains = [found.group() for found in _CHAIN.finditer(plain)]
    if len(chains) != 1 or _PART_LEFT.search(plain):
        return None
    parts = re.findall(_QUARTER, chains[0], re.IGNORECASE)
    if len(parts) == 1 and not re.search(r"1/[24]|quarter|half", chains[0], re.IGNORECASE):
        return None
    quarters = sum(bool(re.match("[NS][EW]", part, re.IGNORECASE)) for part in parts)
    return AC_PER_SQMI / 4.0**quarters / 2.0 ** (len(parts) - quarters)


def deed_acres_in(text: str) -> str:
    """Acres that words name, "" when they name none or several."""
    found = {one.replace(",", "") for one in _ACRES.findall(text)}
    return found.pop() if len(found) == 1 else ""


def ids_of(names: Iterable[str], table: str, taken: Iterable[str] = ()) -> list[str]:
    """An id for each name: its number where it bears one ("Stand 3 - popple" is 3), else letters, digits and dashes of
    its first part; numbered where a name is missing or stands twice.
    """
    used, out = {one.lower() for one in taken}, []
    for at, name in enumerate(names, start=1):
        stem = _stem(name, table) or f"{table.removesuffix('s')}-{at}"
        one, more = stem, 2
        while one.lower() in used:
            one, more = f"{stem}-{more}", more + 1
        used.add(one.lower())
        out.append(one)
    return out


def _stem(name: str, table: str) -> str:
    for pattern in (_STAND, _BARE) if table == "stands" else (_BARE,):
        if found := pattern.match(name):
            return found.group(1)
    first = re.split(r"\s+[-:|/(]\s*|[:(|;,]", name.strip(), maxsplit=1)[0] or name
    words = re.sub(r"[^a-z0-9]+", " ", unaccented(first.replace("'", "").replace("’", "")).lower()).split()
    out = ""
    for word in words:
        if out and len(out) + 1 + len(word) > _MOST:
            break
        out = f"{out}-{word}" if out else word[:_MOST]
    return out


def with_legal(frame: pd.DataFrame, called: Sequence[str], words: Sequence[str]) -> pd.DataFrame:
    """Parcels with legal words and deed acres from what they are called and what is written to them, where their own
    columns say nothing.
    """
    legal = [one if is_legal(one) else "" for one in words]
    acres = [deed_acres_in(b) or deed_acres_in(a) for a, b in zip(called, words, strict=True)]
    out = _filled(frame, "legal", legal)
    return out if "deed_ha" in frame else _filled(out, "deed_acres", acres)


def with_covers(
    frame: pd.DataFrame, called: Sequence[str], words: Sequence[str], covers: Mapping[str, Meant]
) -> pd.DataFrame:
    """Stands with the word for a cover that stands in what they are called or in what is written to them, where the
    column cover says nothing; a word that means one cover goes before one that may be several.
    """
    found = [(word_in(a, covers), word_in(b, covers)) for a, b in zip(called, words, strict=True)]
    sure = [next((word for word in both if understood(word, covers).sure), both[0] or both[1]) for both in found]
    return _filled(frame, "cover", sure)


def _filled(frame: pd.DataFrame, column: str, said: Sequence[str]) -> pd.DataFrame:
    new = pd.Series(list(said), index=frame.index, dtype=object)
    return frame.assign(**{column: frame[column].where(frame[column].ne(""), new) if column in frame else new})


def plot_in(name: str) -> str:
    """The number of a plot that a waypoint's name is ("Plot 3", "P3", "003"), "" when it is none."""
    found = _PLOT.match(name)
    return (found.group(1).lstrip("0") or "0") if found else ""


def feature_in(text: str) -> str:
    """The kind of a feature whose word stands in a text, "" for none."""
    return _feature(text)[1]


def _feature(text: str) -> tuple[str, str]:
    """The longest word for a feature in a text, and the feature's kind; "" for none."""
    plain = f" {plain_words(text)} "
    words = [(word, kind) for kind, named in _FEATURES.items() for word in named if f" {word} " in plain]
    return max(words, key=lambda one: len(one[0]), default=("", ""))


def is_feature(text: str, covers: Mapping[str, Meant]) -> bool:
    """Whether an outline's name speaks of a feature and of no cover besides: "mill pond", not "creek bottom"."""
    word = _feature(text)[0]
    return bool(word) and understood(word_in(text, covers), covers).covers in ((), understood(word, covers).covers)


def is_covered(text: str, covers: Mapping[str, Meant]) -> bool:
    """Whether an outline's name says which one cover it has."""
    return understood(word_in(text, covers), covers).sure and not is_feature(text, covers)


def is_home(text: str) -> bool:
    """Whether a point is called the house."""
    return any(f" {word} " in f" {plain_words(text)} " for word in _HOME)
