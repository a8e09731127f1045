"""Every table that a verb prints, declared once: screen and ``--csv`` are drawn from it, and its keys are the JSON's.

One constant a table, in the order of the verbs; ``why`` makes those of ``woodlot why`` from their rows.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from woodlot.say import cruise, wants, words, years_told
from woodlot.say.column import Column, Table, for_csv, is_missing, number, plain, rows_of, span

SQFT = "sq ft an acre"

# --- walk

WALK_PARCELS = Table(
    "parcels",
    "",
    rows_of("parcels"),
    (
        plain("parcel_id", "parcel"),
        plain("name", "name"),
        plain("acres", "acres", "acres"),
        plain("deed_acres", "by deed", "acres"),
        plain("difference_pct", "differs %", "percent", narrow=False),
        plain("miles_from_home", "miles from home", "miles", narrow=False),
        *for_csv("legal", "parts", "block", "is_home", "wish", "wish_until", "wish_since"),
    ),
)

WALK_STANDS = Table(
    "stands",
    "",
    rows_of("stands"),
    (
        plain("stand_id", "stand"),
        plain("parcel_id", "parcel", narrow=False),
        plain("cover", "cover", narrow=False),
        plain("acres", "acres", "acres"),
        plain("gross_ac", "on the map", "acres", narrow=False),
        plain("plots", "plots"),
    ),
)

# --- mend

MEND_OUTLINES = Table(
    "outlines",
    "",
    rows_of("outlines"),
    (
        plain("what", "outline"),
        plain("id", "id"),
        plain("acres_before", "acres before", "acres"),
        plain("acres", "acres now", "acres"),
        plain("moved_ft", "moved, feet", "feet"),
    ),
)

# --- cruise

CRUISE_STANDS = Table(
    "stands",
    "",
    rows_of("stands"),
    (
        plain("stand_id", "stand"),
        plain("cover", "cover", narrow=False),
        plain("acres", "acres", "acres", narrow=False),
        plain("plots", "plots"),
        number("basal_sqft_per_ac", "sq ft"),
        span("basal_sqft_per_ac", "{level:.0%}"),
        number("trees_per_ac", "trees"),
        plain("qmd_in", "inches", "inches", narrow=False),
        Column("plots_still", "more", lambda row: cruise.plots_still(row["plots_still"])),
    ),
)

CRUISE_TREES = Table(
    "stand_table",
    "",
    rows_of("stand_table"),
    (
        *for_csv("stand_id"),
        plain("species", "species"),
        plain("class_in", "class, in", "feet"),
        plain("trees_per_ac", "trees an acre", "miles"),
        plain("basal_sqft_per_ac", "sq ft an acre", "miles"),
    ),
)

# --- scale

SCALE_STANDS = Table(
    "stands",
    "",
    rows_of("stands"),
    (
        plain("stand_id", "stand"),
        plain("cover", "cover", narrow=False),
        plain("acres", "acres", "acres"),
        number("cords", "cords"),
        span("cords", "{level:.0%}"),
        number("cords_per_ac", "an acre", narrow=False),
        number("sawlog_cords", "logs", narrow=False),
        number("firewood_cords", "rest", narrow=False),
        *for_csv("parcel_id", "plots", "how", "measured_on", "dead_cords_per_ac", "bdft", "basal_sqft_per_ac"),
        *for_csv("unseen_kind_per_ac"),
    ),
)

SCALE_PARCELS = Table(
    "parcels",
    "",
    rows_of("parcels"),
    (
        plain("parcel_id", "parcel"),
        plain("name", "name", narrow=False),
        plain("acres", "acres", "acres", narrow=False),
        number("cords", "cords"),
        span("cords", "{level:.0%}"),
    ),
)

SCALE_SPECIES = Table(
    "species",
    "",
    lambda answer: [row for row in answer["species"] if row["cords"]["value"] != 0],
    (
        plain("species", "species"),
        number("cords", "cords"),
        span("cords", "{level:.0%}"),
        Column("", " ", lambda row: row["cords"]["why"], narrow=False),
    ),
)

# --- grow

GROW_STANDS = Table(
    "stands",
    "",
    rows_of("stands"),
    (
        plain("stand_id", "stand"),
        plain("cover", "cover", narrow=False),
        plain("seasons", "seasons", narrow=False),
        plain("cores", "cores", narrow=False),
        plain("basal_sqft_per_ac", "sq ft/ac", "sq ft an acre", narrow=False),
        plain("cords", "cords", "cords"),
        plain("growth_low", "low", "cords"),
        plain("growth_mid", "growth", "cords"),
        plain("growth_high", "high", "cords"),
        *for_csv("parcel_id", "way", "acres", "cut_cords", "words", "cords_then", "later_sqft_per_ac", "years_words"),
    ),
)


def _in_year(way: str, year: int, head: str) -> Column:
    return Column("", head, lambda row: years_told.in_year(row["years_told"], way, year), SQFT, narrow=way == "uncut")


#: All stands in the years told, at middle growth.
GROW_YEARS = Table(
    "stands",
    "What each stand will be, sq ft an acre",
    lambda answer: [row for row in answer["stands"] if row["years_told"]],
    (
        plain("stand_id", "stand"),
        _in_year("uncut", 0, "today"),
        _in_year("uncut", 10, "in 10"),
        _in_year("uncut", 25, "in 25"),
        _in_year("uncut", 50, "in 50 years"),
        _in_year("cut", 10, "cut: in 10"),
        _in_year("cut", 25, "in 25"),
        _in_year("cut", 50, "in 50 years"),
    ),
)


def _ends(key: str, head: str, unit: str) -> Column:
    """A number of a year told with its two ends."""
    return Column("", head, lambda row: words.bound(years_told.with_ends(row, key, unit)))


#: One stand in the years told, with its ranges.
GROW_YEARS_OF_STAND = Table(
    "years_told",
    "",
    lambda answer: [row for row in answer["years_told"] if row["year"] or row["way"] == "uncut"],
    (
        Column("year", "in years", lambda row: f"{row['year']}, {row['way']}" if row["year"] else "today"),
        _ends("basal_sqft_per_ac", "sq ft/ac", SQFT),
        _ends("cords_per_ac", "cords/ac", "cords"),
        plain("trees_per_ac", "trees", "trees an acre", narrow=False),
        plain("qmd_in", "inches", "inches", narrow=False),
        plain("main", "mostly", narrow=False),
    ),
)

GROW_PATH = Table(
    "path",
    "All stands together, uncut, cords",
    rows_of("path"),
    (
        plain("year", "year"),
        plain("low", "low", "cords"),
        plain("mid", "middle", "cords"),
        plain("high", "high", "cords"),
    ),
)

# --- cut

CUT_STANDS = Table(
    "stands",
    "",
    rows_of("stands"),
    (
        plain("stand_id", "stand"),
        plain("cover", "cover", narrow=False),
        plain("basal_sqft_per_ac", "sq ft/ac", "sq ft an acre"),
        plain("keeps", "keep"),
        plain("growth_mid", "growth", "cords", narrow=False),
        plain("area_mid", "area", "cords", narrow=False),
        plain("meyer_mid", "Meyer", "cords", narrow=False),
        plain("ceiling_cords_per_yr", "at most", "cords"),
        plain("next_winter", "next"),
        *for_csv("parcel_id", "way", "cut_ac", "leave_sqft_per_ac", "leave_seen", "words"),
        *for_csv("this_winter", "this_winter_cords", "this_winter_ac", "done_cords", "entry_cords", "over"),
        *for_csv("growth_low", "growth_high", "area_low", "area_high", "meyer_low", "meyer_high"),
        *for_csv("smallest_low", "smallest_mid", "smallest_high"),
    ),
)

CUT_WORKS = Table(
    "works",
    "Jobs",
    rows_of("works"),
    (
        plain("stand_id", "stand"),
        plain("first_winter", "from winter"),
        plain("winters", "winters"),
        plain("acres", "acres in all", "acres"),
        plain("stove_cords_a_winter", "cords a winter", "cords"),
        plain("days_a_winter", "days a winter", "days", narrow=False),
    ),
)

# --- what-if

WHAT_IFS = Table(
    "scenarios",
    "",
    rows_of("scenarios"),
    (
        plain("name", "what if"),
        number("stock_cords", "cords"),
        plain("than_planned", "than planned"),
        number("growth_cords_per_yr", "growth"),
        number("cut_cords_per_yr", "cut"),
        number("board_feet", "board feet", narrow=False),
        number("deer", "deer", narrow=False),
        number("days_per_yr", "days"),
        *for_csv(
            "scenario",
            "more_cords",
            "cut_cords",
            "young_trees_per_ac",
            "short_cords_per_yr",
            "lost_cords",
            "saved_cords",
        ),
        *for_csv("soon_cords", "moved_share", "changes", "words", "unknown"),
    ),
)

#: The same rows, each measure from low to high growth.
WHAT_IF_RANGES = Table(
    "scenarios",
    "The same from low to high growth",
    rows_of("scenarios"),
    (
        plain("name", "what if"),
        span("stock_cords", "cords"),
        span("growth_cords_per_yr", "growth"),
        span("cut_cords_per_yr", "cut"),
        span("days_per_yr", "days"),
        span("board_feet", "board feet")._replace(narrow=False),
        span("deer", "deer")._replace(narrow=False),
    ),
)

#: Of one job.
CUT_CLASSES = Table(
    "classes",
    "",
    rows_of("classes"),
    (
        plain("class_in", "inches"),
        plain("now", "trees now", "trees an acre"),
        plain("cut", "take", "trees an acre"),
        plain("species", "of these kinds", narrow=False),
    ),
)

# --- fell, cut, and the report


def _of_unit(key: str, head: str) -> Column:
    """An amount of a want in the rounding of its unit."""

    def cell(row: Any) -> str:
        return f"{row[key]:,.0f}" if row["unit"] == "pieces" else words.two_figures(row[key])

    return Column(key, head, cell)


WANTS = Table(
    "wants",
    "What the house wants",
    rows_of("wants"),
    (
        plain("line", "what"),
        _of_unit("asked", "asked"),
        _of_unit("made", "made"),
        _of_unit("left", "left"),
        plain("unit", " ", narrow=False),
        Column("often", "when", lambda row: wants.by_day(row["often"], row["by"], row["late"])),
        plain("purpose", "for", narrow=False),
        *for_csv("product", "mmbtu", "by", "late", "asked_on", "build", "words"),
    ),
)

# --- fell


def _parts(answer: Any) -> list[Any]:
    return [row for row in answer["parts"] if row["dry_lb"] > 0]


def _part_range(row: Any) -> str:
    if is_missing(row["cuft"]) or row["cuft"] <= 0:
        return ""
    mark = "" if row["kind"] == "interval" else " a"
    return words.bound(f"{words.two_figures(row['cuft_low'])} to {words.two_figures(row['cuft_high'])}{mark}")


def _trees(answer: Any) -> Any:
    """The trees of the tally with their parts and whether each is to be felled."""
    import pandas as pd

    trees = pd.DataFrame(answer["trees"]).merge(pd.DataFrame(answer["per_tree"]), on="position")
    return trees.assign(fell=trees["position"].isin(answer["fell"]))


FELL_TREES = Table(
    "trees",
    "",
    _trees,
    (
        *for_csv("tree", "parcel_id", "stand_id", "species", "dbh_in", "height_ft", "height_from", "alive", "position"),
        *for_csv("*_cuft", "dry_lb", "green_lb", "air_dry_lb", "fell"),
    ),
)

FELL_PARTS = Table(
    "parts",
    "",
    _parts,
    (
        plain("part", "part"),
        plain("cuft", "cu ft", "cu ft"),
        Column("", "range", _part_range),
        plain("cords", "cords", "cords", narrow=False),
        plain("green_lb", "lb green", "lb", narrow=False),
        plain("air_dry_lb", "lb at 20%", "lb", narrow=False),
        plain("dry_lb", "lb dry", "lb", narrow=False),
    ),
)


def _heat_got(row: Any) -> str:
    """Heat a line of firewood gets, and what it asked for where it is met in heat."""
    if row["mmbtu_got"] is None:
        return ""
    asked = "" if row["mmbtu_wanted"] is None else f" of {words.two_figures(row['mmbtu_wanted'])}"
    return words.two_figures(row["mmbtu_got"]) + asked


def _short(row: Any) -> str:
    """What is missing: pieces whole, all else in two figures."""
    if not row["short"]:
        return ""
    return f"{row['short']:,.0f}" if row["unit"] == "pieces" else words.two_figures(row["short"])


FELL_NEEDS = Table(
    "needs",
    "",
    rows_of("needs"),
    (
        plain("line", "for the house"),
        Column("wanted", "asked", lambda row: f"{row['wanted']:g}"),
        Column("got", "gets", lambda row: f"{row['got']:.{0 if row['unit'] == 'pieces' else 1}f}"),
        Column("short", "short", _short),
        plain("unit", " ", narrow=False),
        Column("mmbtu_got", "million Btu", _heat_got, narrow=False),
        plain("purpose", "for", narrow=False),
    ),
)

# --- herd and hunt


def _density(row: Any) -> str:
    """Deer a square mile of one spring, or that there was too little sign to say how many."""
    one = row["per_sqmi"]
    return "too few" if one["low"] is None else words.rounded(one["value"], "deer")


HERD_SPRINGS = Table(
    "years",
    "",
    rows_of("years"),
    (
        plain("year", "spring"),
        plain("plots", "plots"),
        plain("groups", "groups", "deer"),
        Column("per_sqmi", "deer a square mile", _density),
        span("per_sqmi", "range, {level:.0%}"),
        Column("", " ", lambda row: row.get("note") or "", narrow=False),
    ),
)


def _herd_of(row: Any) -> str:
    """Deer a square mile with their range, one cell."""
    one = row["per_sqmi"]
    low, high = (words.rounded(one[end], "deer") if one[end] is not None else "" for end in ("low", "high"))
    return "" if one["value"] is None else f"{words.rounded(one['value'], 'deer')} ({low} to {high})"


HERD_FALLS = Table(
    "falls",
    "",
    rows_of("falls"),
    (
        plain("year", "fall"),
        Column("per_sqmi", "deer a square mile", _herd_of),
        plain("groups", "groups", "deer", narrow=False),
        plain("winter", "winter after it", narrow=False),
        Column("lost_pct", "lost", lambda row: "" if row["lost_pct"] is None else f"{row['lost_pct']:.0f}%"),
    ),
)

HUNT_TAKE = Table(
    "take",
    "",
    lambda answer: [{key: answer["take"][key] for key in ("does", "bucks", "meat_lb")}],
    for_csv("does", "bucks", "meat_lb"),
)


def _chance(key: str, head: str) -> Column:
    """A chance in 100 with its range, on one line."""

    def per_100(row: Any) -> str:
        one = row[key]
        if not isinstance(one, Mapping):
            return str(round(100 * one))
        low, value, high = (round(100 * one[k]) for k in ("low", "value", "high"))
        return words.bound(f"{value} ({low} to {high})")

    return Column(key, head, per_100)


def _takes(risk: Any) -> list[Any]:
    """Takes, then the family's share taken each fall, then none taken by the family."""
    last = (("your share", risk["you_too"]), ("not you", risk["no_hunting"]))
    return [*risk["takes"], *({"does": name, **of} for name, of in last if of)]


#: Takes against their chances; all beside neighbors who hunt.
HUNT_CHANCES = Table(
    "takes",
    "",
    _takes,
    (
        Column("does", "does", lambda row: str(row["does"])),
        _chance("falls_next", "smaller next fall"),
        _chance("halved_5", "halved in 5 years")._replace(narrow=False),
        _chance("halved_10", "in 10 years"),
        _chance("under_goal_10", "few in winter")._replace(narrow=False),
    ),
)

# --- group

GROUP_FAMILIES = Table(
    "families",
    "",
    rows_of("families"),
    (
        plain("family", "family"),
        plain("acres", "acres", "acres"),
        Column("last_doe", "last doe", lambda row: row["last_doe"] or "none"),
        plain("waited_falls", "falls waited", "deer"),
        plain("does", "does on record", "does", narrow=False),
        plain("bucks", "bucks", "bucks", narrow=False),
        *for_csv("own"),
    ),
)

GROUP_FALLS = Table(
    "falls",
    "All together, by fall",
    rows_of("falls"),
    (plain("fall", "fall"), plain("does", "does", "does"), plain("bucks", "bucks", "bucks")),
)

# --- book


def _totals(answer: Any) -> Any:
    """Totals with their year in words; a winter is named by both its years."""
    sums, winters = answer["totals"], answer["year_begins_month"] != 1
    return sums.assign(when=[f"{y}-{(y + 1) % 100:02d}" if winters else str(y) for y in sums["year"]])


BOOK_TOTALS = Table(
    "totals",
    "",
    _totals,
    (
        Column("year", "{year_is}", lambda row: row["when"]),
        plain("kind", "kind"),
        plain("sex_age", "deer", narrow=False),
        Column("amount", "amount", lambda row: "" if is_missing(row["amount"]) else f"{row['amount']:,.6g}"),
        Column("unit", "unit", lambda row: row["unit"].replace("bdft_", "bd ft, ").replace("_", " ")),
        plain("lines", "notes", narrow=False),
    ),
)

#: Where the firewood lies and when it is dry.
WOOD_ON_HAND = Table(
    "wood_on_hand",
    "Wood on hand",
    rows_of("wood_on_hand"),
    (
        plain("words", "where"),
        plain("cords", "cords", "cords"),
        plain("mmbtu", "million Btu", "million Btu"),
        Column("lines", "lines", lambda row: words.id_list([*map(str, row["lines"])], 6), narrow=False),
        *for_csv("where", "winter"),
    ),
)

# --- why


def why(heading: str, rows: Sequence[Mapping[str, Any]]) -> Table:
    """A table of ``woodlot why``: its columns are the keys of its rows, numbers to four figures."""

    def column(key: str) -> Column:
        def cell(row: Any) -> Any:
            value = row.get(key)
            return f"{value:.4g}" if isinstance(value, float) else value

        return Column(key, key.replace("_", " "), cell)

    keys = rows[0] if rows else ()
    return Table(heading, heading, lambda answer: answer["tables"][heading], tuple(map(column, keys)))
