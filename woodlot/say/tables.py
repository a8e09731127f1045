"""Every table that a verb prints, declared once: screen and ``--csv`` are drawn from it, and its keys are the JSON's.

Column   key of the value in the row (and in CSV and JSON), heading, what the screen shows, unit
Table    name of its rows in the answer, title, rows, columns
texts    a table's headings and cells as the screen words them

A heading may name a value of the answer in braces. A column without a heading is for CSV alone, one without a key for
the screen alone; a heading of one blank stays empty. A key may hold * for columns that a region names. Columns that are
not ``narrow`` go to a second line where the screen is narrow.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from fnmatch import fnmatchcase
from typing import Any, NamedTuple

from woodlot import words
from woodlot.say.layout import Texts

__all__ = ["Column", "Table", "declared", "is_missing", "texts", "why"]


class Column(NamedTuple):
    """One column: ``value`` is what the screen shows of a row; with a unit it is a number, rounded as that unit is."""

    key: str
    head: str
    value: Callable[[Any], Any]
    unit: str = ""
    narrow: bool = True


class Table(NamedTuple):
    """One table: ``rows`` finds its rows (a frame, or mappings) in the answer of a verb."""

    key: str
    title: str
    rows: Callable[[Any], Any]
    columns: tuple[Column, ...]


def is_missing(value: Any) -> bool:
    """Whether a cell holds nothing."""
    return (
        value is None or type(value).__name__ in ("NAType", "NaTType") or (isinstance(value, float) and value != value)
    )


def texts(table: Table, told: Any, **heads: Any) -> list[Texts]:
    """The columns that the screen shows, each cell in words; ``heads``: what a heading names beside the answer."""
    rows = table.rows(told)
    rows = rows.to_dict("records") if hasattr(rows, "to_dict") else list(rows)
    named = {**told, **heads}
    out = []
    for column in table.columns:
        if column.head:
            values = [column.value(row) for row in rows]
            cells = [_cell(value, column.unit) for value in values]
            right = bool(column.unit) or _all_numbers(values)
            out.append(Texts(column.head.format_map(named), cells, right, column.narrow))
    return out


def declared(table: Table, names: Sequence[str]) -> list[str]:
    """Those of ``names`` that are columns of the table in CSV; of an estimate its two ends too."""
    keys = [column.key + end for column in table.columns if column.key for end in ("", "_low", "_high")]
    return [name for name in names if any(fnmatchcase(name, key) for key in keys)]


def _cell(value: Any, unit: str) -> str:
    if is_missing(value):
        return ""
    if type(value).__name__ in ("bool", "bool_"):
        return "yes" if value else "no"
    if unit:
        return words.rounded(float(value), unit)
    return words.day(value) if isinstance(value, date) else str(value)


def _all_numbers(values: Sequence[Any]) -> bool:
    some = [v for v in values if not is_missing(v)]
    return bool(some) and all(not isinstance(v, (str, bool, date)) and hasattr(v, "__float__") for v in some)


# --- what a column shows


def _plain(key: str, head: str = "", unit: str = "", narrow: bool = True) -> Column:
    """A column that shows the value as it is."""
    return Column(key, head, lambda row: row.get(key), unit, narrow)


def _csv(*keys: str) -> tuple[Column, ...]:
    return tuple(_plain(key) for key in keys)


def _number(key: str, head: str, narrow: bool = True) -> Column:
    """The number of an estimate, to the left as words are."""

    def said(row: Any) -> str:
        one = row.get(key)
        return "" if not one or one["value"] is None else words.rounded(one["value"], one["unit"])

    return Column(key, head, said, narrow=narrow)


def _range(key: str, head: str) -> Column:
    """The two ends of an estimate, which stay on one line; nothing where there is no range."""

    def said(row: Any) -> str:
        one = row.get(key)
        return "" if not one or one["low"] is None else _bound(words.bare_range(one))

    return Column("", head, said)


def _bound(text: str) -> str:
    return text.replace(" ", "\u00a0")


def _rows(key: str) -> Callable[[Any], Any]:
    return lambda told: told[key]


# --- walk

WALK_PARCELS = Table(
    "parcels",
    "",
    _rows("parcels"),
    (
        _plain("parcel_id", "parcel"),
        _plain("name", "name"),
        _plain("acres", "acres", "acres"),
        _plain("deed_acres", "by deed", "acres"),
        _plain("difference_pct", "differs %", "percent", narrow=False),
        _plain("miles_from_home", "miles from home", "miles", narrow=False),
        *_csv("legal", "parts", "block", "is_home"),
    ),
)

WALK_STANDS = Table(
    "stands",
    "",
    _rows("stands"),
    (
        _plain("stand_id", "stand"),
        _plain("parcel_id", "parcel", narrow=False),
        _plain("cover", "cover", narrow=False),
        _plain("acres", "acres", "acres"),
        _plain("gross_ac", "on the map", "acres", narrow=False),
        _plain("plots", "plots"),
    ),
)

# --- cruise

CRUISE_STANDS = Table(
    "stands",
    "",
    _rows("stands"),
    (
        _plain("stand_id", "stand"),
        _plain("cover", "cover", narrow=False),
        _plain("acres", "acres", "acres", narrow=False),
        _plain("plots", "plots"),
        _number("basal_sqft_per_ac", "sq ft"),
        _range("basal_sqft_per_ac", "{level:.0%}"),
        _number("trees_per_ac", "trees"),
        _plain("qmd_in", "inches", "inches", narrow=False),
        Column("plots_still", "more", lambda row: "-" if is_missing(row["plots_still"]) else str(row["plots_still"])),
    ),
)

CRUISE_TREES = Table(
    "stand_table",
    "",
    _rows("stand_table"),
    (
        *_csv("stand_id"),
        _plain("species", "species"),
        _plain("class_in", "class, in", "feet"),
        _plain("trees_per_ac", "trees an acre", "miles"),
        _plain("basal_sqft_per_ac", "sq ft an acre", "miles"),
    ),
)

# --- scale

SCALE_STANDS = Table(
    "stands",
    "",
    _rows("stands"),
    (
        _plain("stand_id", "stand"),
        _plain("cover", "cover", narrow=False),
        _plain("acres", "acres", "acres"),
        _number("cords", "cords"),
        _range("cords", "{level:.0%}"),
        _number("cords_per_ac", "an acre", narrow=False),
        _number("sawlog_cords", "logs", narrow=False),
        _number("firewood_cords", "rest", narrow=False),
        *_csv("parcel_id", "plots", "how", "measured_on", "dead_cords_per_ac", "bdft"),
    ),
)

SCALE_PARCELS = Table(
    "parcels",
    "",
    _rows("parcels"),
    (
        _plain("parcel_id", "parcel"),
        _plain("name", "name", narrow=False),
        _plain("acres", "acres", "acres", narrow=False),
        _number("cords", "cords"),
        _range("cords", "{level:.0%}"),
    ),
)

SCALE_SPECIES = Table(
    "species",
    "",
    _rows("species"),
    (
        _plain("species", "species"),
        _number("cords", "cords"),
        _range("cords", "{level:.0%}"),
        Column("", " ", lambda row: row["cords"]["why"] if row["cords"]["low"] is None else "", narrow=False),
    ),
)

# --- grow

GROW_STANDS = Table(
    "stands",
    "",
    _rows("stands"),
    (
        _plain("stand_id", "stand"),
        _plain("cover", "cover", narrow=False),
        _plain("seasons", "seasons", narrow=False),
        _plain("cores", "cores", narrow=False),
        _plain("basal_sqft_per_ac", "sq ft/ac", "sq ft an acre", narrow=False),
        _plain("later_sqft_per_ac", "in {years} yr", "sq ft an acre", narrow=False),
        _plain("cords", "cords", "cords"),
        _plain("growth_low", "low", "cords"),
        _plain("growth_mid", "growth", "cords"),
        _plain("growth_high", "high", "cords"),
        *_csv("parcel_id", "way", "acres", "cut_cords", "words", "cords_then"),
    ),
)

GROW_PATH = Table(
    "path",
    "All stands together, uncut, cords",
    _rows("path"),
    (
        _plain("year", "year"),
        _plain("low", "low", "cords"),
        _plain("mid", "middle", "cords"),
        _plain("high", "high", "cords"),
    ),
)

# --- cut

CUT_STANDS = Table(
    "stands",
    "",
    _rows("stands"),
    (
        _plain("stand_id", "stand"),
        _plain("cover", "cover", narrow=False),
        _plain("basal_sqft_per_ac", "sq ft/ac", "sq ft an acre"),
        _plain("keeps", "keep"),
        _plain("growth_mid", "growth", "cords", narrow=False),
        _plain("area_mid", "area", "cords", narrow=False),
        _plain("meyer_mid", "Meyer", "cords", narrow=False),
        _plain("ceiling_cords_per_yr", "at most", "cords"),
        _plain("next_winter", "next"),
        *_csv("parcel_id", "way", "cut_ac", "leave_sqft_per_ac", "leave_seen", "words"),
        *_csv("this_winter", "this_winter_cords", "this_winter_ac", "entry_cords", "over"),
        *_csv("growth_low", "growth_high", "area_low", "area_high", "meyer_low", "meyer_high"),
        *_csv("smallest_low", "smallest_mid", "smallest_high"),
    ),
)

CUT_ENTRIES = Table(
    "entries",
    "When",
    _rows("entries"),
    (
        _plain("when", "when"),
        _plain("stand_id", "stand"),
        _plain("acres", "acres", "acres"),
        _plain("cords", "cords", "cords"),
        _plain("bdft", "board feet", "board feet", narrow=False),
        _plain("days", "days", "days", narrow=False),
    ),
)

#: Of one job.
CUT_CLASSES = Table(
    "classes",
    "",
    _rows("classes"),
    (
        _plain("class_in", "inches"),
        _plain("now", "trees now", "trees an acre"),
        _plain("cut", "take", "trees an acre"),
        _plain("species", "of these kinds", narrow=False),
    ),
)

# --- fell


def _parts(told: Any) -> list[Any]:
    return [row for row in told["parts"] if row["dry_lb"] > 0]


def _part_range(row: Any) -> str:
    if is_missing(row["cuft"]) or row["cuft"] <= 0:
        return ""
    mark = "" if row["kind"] == "interval" else " a"
    return _bound(f"{words.two_figures(row['cuft_low'])} to {words.two_figures(row['cuft_high'])}{mark}")


def _trees(told: Any) -> Any:
    """The trees of the tally with their parts and whether each is to be felled."""
    import pandas as pd

    trees = pd.DataFrame(told["trees"]).merge(pd.DataFrame(told["per_tree"]), on="position")
    return trees.assign(fell=trees["position"].isin(told["fell"]))


FELL_TREES = Table(
    "trees",
    "",
    _trees,
    (
        *_csv("tree", "parcel_id", "stand_id", "species", "dbh_in", "height_ft", "height_from", "alive", "position"),
        *_csv("*_cuft", "dry_lb", "green_lb", "air_dry_lb", "fell"),
    ),
)

FELL_PARTS = Table(
    "parts",
    "",
    _parts,
    (
        _plain("part", "part"),
        _plain("cuft", "cu ft", "cu ft"),
        Column("", "range", _part_range),
        _plain("cords", "cords", "cords", narrow=False),
        _plain("green_lb", "lb green", "lb", narrow=False),
        _plain("air_dry_lb", "lb at 20%", "lb", narrow=False),
        _plain("dry_lb", "lb dry", "lb", narrow=False),
    ),
)

FELL_NEEDS = Table(
    "needs",
    "",
    _rows("needs"),
    (
        _plain("line", "for the house"),
        Column("wanted", "asked", lambda row: f"{row['wanted']:g}"),
        Column("got", "gets", lambda row: f"{row['got']:.{0 if row['unit'] == 'pieces' else 1}f}"),
        Column("short", "short", lambda row: words.two_figures(row["short"]) if row["short"] else ""),
        _plain("unit", " ", narrow=False),
    ),
)

# --- herd and hunt


def _density(row: Any) -> str:
    """Deer a square mile of one spring; nothing where there was too little sign to say how many."""
    one = row["per_sqmi"]
    return "" if one["low"] is None else words.rounded(one["value"], "deer")


HERD_SPRINGS = Table(
    "years",
    "",
    _rows("years"),
    (
        _plain("year", "spring"),
        _plain("plots", "plots"),
        _plain("groups", "groups", "deer"),
        Column("per_sqmi", "deer a square mile", _density),
        _range("per_sqmi", "range, {level:.0%}"),
    ),
)

HUNT_TAKE = Table(
    "take",
    "",
    lambda told: [{key: told["take"][key] for key in ("does", "bucks", "meat_lb")}],
    _csv("does", "bucks", "meat_lb"),
)


def _chance(key: str, head: str) -> Column:
    """A chance in 100 with its range, on one line."""

    def said(row: Any) -> str:
        one = row[key]
        if not isinstance(one, Mapping):
            return str(round(100 * one))
        low, value, high = (round(100 * one[k]) for k in ("low", "value", "high"))
        return _bound(f"{value} ({low} to {high})")

    return Column(key, head, said)


#: Takes against their chances, and a last row without any hunting.
HUNT_CHANCES = Table(
    "takes",
    "",
    lambda risk: [*risk["takes"], {"does": "no hunt", **risk["no_hunting"]}],
    (
        Column("does", "does", lambda row: str(row["does"])),
        _chance("falls_next", "smaller next fall"),
        _chance("halved_5", "halved in 5 years")._replace(narrow=False),
        _chance("halved_10", "in 10 years"),
        _chance("under_goal_10", "18 or fewer a mile")._replace(narrow=False),
    ),
)

# --- book


def _totals(told: Any) -> Any:
    """Totals with their year in words; a winter is named by both its years."""
    sums, winters = told["totals"], told["year_begins_month"] != 1
    return sums.assign(when=[f"{y}-{(y + 1) % 100:02d}" if winters else str(y) for y in sums["year"]])


BOOK_TOTALS = Table(
    "totals",
    "",
    _totals,
    (
        Column("year", "{year_is}", lambda row: row["when"]),
        _plain("kind", "kind"),
        _plain("sex_age", "deer", narrow=False),
        Column("amount", "amount", lambda row: "" if is_missing(row["amount"]) else f"{row['amount']:,.6g}"),
        Column("unit", "unit", lambda row: row["unit"].replace("bdft_", "bd ft, ").replace("_", " ")),
        _plain("lines", "notes", narrow=False),
    ),
)

# --- why


def why(heading: str, rows: Sequence[Mapping[str, Any]]) -> Table:
    """A table of ``woodlot why``: its columns are the keys of its rows, numbers to four figures."""

    def column(key: str) -> Column:
        def said(row: Any) -> Any:
            value = row.get(key)
            return f"{value:.4g}" if isinstance(value, float) else value

        return Column(key, key.replace("_", " "), said)

    return Table(heading, heading, lambda told: told["tables"][heading], tuple(map(column, rows[0] if rows else ())))
