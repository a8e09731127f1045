"""What stands over the columns of a layer -> columns of a table, and the unit that the heading names."""

import re
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass

from woodlot import columns
from woodlot.column_kinds import metric_names, unit_of
from woodlot.region import Region
from woodlot.species import unaccented
from woodlot.trade import closest

__all__ = ["Headings", "Match", "heading_row", "plain_words"]

#: Words for a unit in a heading -> the unit; longer ones first, since "ft" ends "sq ft".
_UNITS = {
    "square meters per hectare": "m2/ha",
    "m2 ha": "m2/ha",
    "m2 per ha": "m2/ha",
    "sq ft ac": "sq ft/ac",
    "sq ft per ac": "sq ft/ac",
    "sq ft acre": "sq ft/ac",
    "sq ft per acre": "sq ft/ac",
    "ft2 ac": "sq ft/ac",
    "square feet per acre": "sq ft/ac",
    "sqft ac": "sq ft/ac",
    "sqft per ac": "sq ft/ac",
    "centimeters": "cm",
    "centimetres": "cm",
    "centimeter": "cm",
    "cm": "cm",
    "millimeters": "mm",
    "mm": "mm",
    "meters": "m",
    "metres": "m",
    "meter": "m",
    "metre": "m",
    "m": "m",
    "po": "in",
    "pi": "ft",
    "inches": "in",
    "inch": "in",
    "ins": "in",
    "in": "in",
    "feet": "ft",
    "foot": "ft",
    "ft": "ft",
    "hectares": "ha",
    "hectare": "ha",
    "ha": "ha",
    "acres": "ac",
    "acre": "ac",
    "ac": "ac",
    "kilograms": "kg",
    "kilos": "kg",
    "kg": "kg",
    "pounds": "lb",
    "lbs": "lb",
    "lb": "lb",
    "percent": "%",
    "pct": "%",
    "degrees c": "C",
    "deg c": "C",
    "c": "C",
    "degrees f": "F",
    "deg f": "F",
    "f": "F",
    "years": "yr",
    "yrs": "yr",
    "yr": "yr",
    "hours": "h",
    "hrs": "h",
}
_LIKE = 0.8


def plain_words(text: str) -> str:
    """A heading in lower case, words apart: "D.B.H. (in)" is "dbh in", "# logs" is "no logs", "Ht'" is "ht ft"."""
    out = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", unaccented(text.strip())).lower()
    out = re.sub(r"(?<=[a-z)])\s*''|\"", " in ", out)
    out = re.sub(r"(?<=[a-z)(])\s*'(?![a-z])", " ft ", out)
    out = re.sub(r"\b(?:[a-z]\.){2,}", lambda found: found.group().replace(".", "") + " ", out)
    out = out.replace("#", " no ").replace("%", " pct ")
    return " ".join(re.sub(r"[^a-z0-9]+", " ", out).split())


@dataclass(frozen=True)
class Match:
    """A heading that is understood: its column (a metric twin where the unit says so), the column in the units of the
    table, and the unit that the heading names ("" for none).
    """

    column: str
    own: str
    unit: str = ""


class Headings:
    """The words that stand over columns, of a region and of the family's own."""

    def __init__(self, region: Region, own: Mapping[str, str]):
        """Words of a region's table, and the family's own (plain words -> column, "" for a column to leave)."""
        rows = region.table("heading_words")
        self.own = {plain_words(word): column for word, column in own.items()}
        self.words: dict[str, list[str]] = {}
        for heading, column in zip(rows["heading"], rows["column"], strict=True):
            self.words.setdefault(plain_words(heading), []).append(column)

    def with_own(self, own: Mapping[str, str]) -> "Headings":
        """The same and more of the family's own."""
        more = copy(self)
        more.own = {**self.own, **{plain_words(word): column for word, column in own.items()}}
        return more

    def candidates(self, heading: str, table: str, cut: int = 0) -> list[Match]:
        """Columns of a table that a heading may mean, the likeliest first. cut: letters after which names are cut."""
        fields = columns.TABLES[table].model_fields
        plain = plain_words(heading)
        if plain in self.own:
            return [found for found in [self._of(self.own[plain], "", fields)] if found]
        exact = {plain_words(name): name for name in fields}
        exact |= {plain_words(twin): twin for one in fields.values() for twin in metric_names(one)}
        if cut:
            exact = {plain_words(name[:cut]): name for name in reversed(exact.values())} | exact
        if plain in exact:
            return [found for found in [self._of(exact[plain], "", fields)] if found]
        out: list[Match] = []
        for words, unit in _splits(plain):
            # a bare number beside a tree is the tree's
            named = sorted(self.words.get(words, ()), key=lambda column: column != "tree")
            named += [exact[words]] if words in exact else []
            out += [found for column in named if (found := self._of(column, unit, fields)) and found not in out]
        return out

    def _of(self, column: str, unit: str, fields: Mapping) -> Match | None:
        twins = {twin: (own, metric) for own, one in fields.items() for twin, metric in metric_names(one).items()}
        own, metric = twins.get(column, (column, ""))
        if own not in fields:
            return None
        unit = unit or metric
        its = unit_of(fields[own])
        if unit in ("", its):
            return Match(own, own, unit)
        twin = next((name for name, metric in metric_names(fields[own]).items() if metric == unit), "")
        return Match(twin, own, unit) if twin else Match(own, own, "") if not its else None

    def near(self, heading: str, table: str, free: Iterable[str]) -> str:
        """The free column of a table whose words are written most like a heading, "" for none."""
        fields, left = columns.TABLES[table].model_fields, set(free)
        ways = {word: [c for c in named if c in left and c in fields] for word, named in self.words.items()}
        ways |= {plain_words(name): [name] for name in left}
        words = plain_words(heading)
        found = (
            closest(words, [w for w, named in ways.items() if named and len(w) > 3], _LIKE) if len(words) > 3 else ""
        )
        return ways[found][0] if found else ""

    def is_heading(self, text: str) -> bool:
        """Whether a cell could stand over a column of any table."""
        return bool(text) and any(self.candidates(text, table) for table in columns.TABLES if table not in columns.OWN)


def _splits(plain: str) -> list[tuple[str, str]]:
    """A heading whole, and without a unit at its end: [("dbh in", ""), ("dbh", "in")]."""
    out = [(plain, "")]
    out += [(plain.removesuffix(" " + words), unit) for words, unit in _UNITS.items() if plain.endswith(" " + words)]
    out += [(words.removesuffix(" in"), unit) for words, unit in out[1:] if words.endswith(" in")]
    return out


def heading_row(rows: Sequence[Sequence[str]], known: Headings) -> int:
    """The row that is the heading: most cells that stand over columns among the first 15, else the first row with more
    than one cell.
    """
    scores = [sum(known.is_heading(cell) for cell in row if not _number(cell)) for row in rows[:15]]
    if max(scores, default=0) >= 2:
        return scores.index(max(scores))
    return next((at for at, row in enumerate(rows[:15]) if sum(bool(cell) for cell in row) > 1), 0)


def _number(cell: str) -> bool:
    return bool(re.fullmatch(r"[-+]?[\d.,/ ]+", cell))
