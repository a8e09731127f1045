"""Each way of changing a hand-in, along axes: left out, empty, at its limits, alike, noted; and the whole matrix.

cases      every change to every place; read from the columns and keys that are declared, not from a list of them
Case       one of them
"""

import copy
import random
from collections.abc import Callable, Iterator
from datetime import timedelta
from functools import cache
from typing import Any, NamedTuple

from hand_in_shapes import Change, Do, both, cells, rows, rows_out_of_place, shapes, without
from hand_in_wishes import counting, wants, wishes, words_on_trees
from hand_ins import BASES, DAY, SEED, HandIn

from woodlot import columns, trade
from woodlot.column_kinds import FIRST_DAY
from woodlot.place.settings import SETTINGS

#: The empty mark with which some editors begin a file.
BOM = b"\xef\xbb\xbf"
#: The name of a hand-in in which nothing is changed.
SAME = "as it is"
TOMORROW = DAY + timedelta(days=1)
LAST_WEEK = DAY - timedelta(days=3)


class Case(NamedTuple):
    """One hand-in: the axis it lies on, what was done, to which place."""

    axis: str
    name: str
    base: str
    change: Do

    def make(self) -> HandIn:
        """The changed hand-in."""
        out = copy.deepcopy(BASES[self.base]())
        self.change(out)
        return out

    def __str__(self) -> str:
        return f"{self.axis}: {self.name} ({self.base})"


def column_out(table: str, *names: str) -> Do:
    """Columns that are not there, heading and all."""

    def change(hand_in: HandIn) -> None:
        hand_in.headings[table] = [one for one in hand_in.heading(table) if one not in names]
        for row in hand_in.rows(table):
            for name in names:
                row.pop(name, None)

    return change


def optional(table: str) -> list[str]:
    """Columns that need not be there."""
    return [row["column"] for row in columns.listing() if row["table"] == table and not row["filled"]]


def columns_out() -> Iterator[Change]:
    """Each column of each table, and all that may be left out of a table at once; each in its metric twin."""
    for table in columns.TABLES:
        for name in columns.header(table):
            yield f"{table} without {name}", column_out(table, name)
        yield f"{table} without all that may be left out", column_out(table, *optional(table))
    for row in columns.listing():
        for twin in filter(None, row["metric"].split(", ")):
            yield f"{row['table']} with {twin}", _renamed(row["table"], row["column"], twin)


def _renamed(table: str, name: str, twin: str) -> Do:
    """Another heading over cells that nobody converted."""

    def change(hand_in: HandIn) -> None:
        hand_in.headings[table] = [twin if one == name else one for one in hand_in.heading(table)]
        for row in hand_in.rows(table):
            row[twin] = row.pop(name, None)

    return change


def files_out() -> Iterator[Change]:
    """Each file, and pairs of files that speak of one thing."""
    pairs = (("stands", "plots"), ("plots", "trees"), ("pellets", "browse"), ("features", "stands"), ("bag", "ledger"))
    for tables in (*((table,) for table in columns.TABLES), *pairs):
        yield ", ".join(f"no {table}" for table in tables), without(*tables)


def only(*tables: str, toml: bool = True) -> Do:
    """Nothing but these tables, and place.toml with its name and region."""

    def change(hand_in: HandIn) -> None:
        hand_in.without(*(one for one in columns.TABLES if one not in tables))
        hand_in.raw.clear()
        hand_in.toml = {key: hand_in.toml[key] for key in ("name", "region")} if toml and hand_in.toml else None

    return change


def only_some() -> Iterator[Change]:
    """Outlines alone, and with one other thing; one thing without outlines."""
    yield "only outlines", only("parcels")
    for table in columns.TABLES:
        if table != "parcels":
            yield f"only outlines and {table}", only("parcels", table)
            yield f"only outlines, stands and {table}", only("parcels", "stands", table)
            yield f"only {table}", only(table)
    yield "only outlines, plots and trees", only("parcels", "plots", "trees")
    yield "only outlines, and plots that name a parcel", _plots_of_parcels
    yield "no place.toml", lambda hand_in: setattr(hand_in, "toml", None)
    yield "place.toml only", only()
    yield "an empty folder", only(toml=False)
    yield "only outlines, no place.toml", only("parcels", toml=False)
    for kind in trade.LEDGER_KINDS:
        yield f"only outlines and a note of {kind}", both(only("parcels"), _one_note(kind))
        yield (
            f"only outlines and a note of {kind} in a parcel last week",
            both(only("parcels"), _one_note(kind, "parcels")),
        )
        yield f"only a note of {kind}", both(only(), _one_note(kind))
        here = both(only("parcels", "stands"), _one_note(kind, "stands"))
        yield f"only outlines, stands and a note of {kind} in a stand last week", here
    lost = noted("firewood", stand_id="1", date=LAST_WEEK)
    yield "only outlines and a note in a stand that is not drawn", both(only("parcels"), lost)
    for table in columns.MAPS:
        yield f"{table} as KML", as_kml(table)
    yield "only outlines, as KML", both(only("parcels"), as_kml("parcels"))
    yield "only outlines and stands, as KML", both(only("parcels", "stands"), as_kml("parcels"), as_kml("stands"))
    yield "an heir: outlines and nine years of notes", both(only("parcels"), _nine_years)


def _plots_of_parcels(hand_in: HandIn) -> None:
    """Plots in whose column of the stand a parcel stands."""
    only("parcels", "plots", "trees")(hand_in)
    cells("plots", True, stand_id=hand_in.rows("parcels")[0]["parcel_id"])(hand_in)


def note(hand_in: HandIn, kind: str, **told: Any) -> None:
    """One more line of the ledger."""
    word, there = trade.LEDGER_KINDS.get(kind), hand_in.tables.setdefault("ledger", [])
    hand_in.headings.pop("ledger", None)
    row = {"line": str(len(there) + 1), "date": "2025-12-01", "kind": kind}
    if word and word.unit:
        row |= {"amount": "2", "unit": "bdft_scribner" if word.unit == "bdft" else word.unit}
    if kind == "deer":
        row["sex_age"] = "doe"
    there.append(row | {key: str(value) for key, value in told.items()})


def noted(kind: str, **told: Any) -> Do:
    """The change that is one more line of the ledger."""
    return lambda hand_in: note(hand_in, kind, **told)


def _one_note(kind: str, where: str = "") -> Do:
    """A note of a kind, in the first parcel or stand; void takes out one of firewood."""

    def change(hand_in: HandIn) -> None:
        key = columns.header(where)[0] if where else ""
        told = {key: hand_in.rows(where)[0][key], "date": LAST_WEEK} if where else {}
        note(hand_in, "firewood" if kind == "void" else kind, **told)
        if kind == "void":
            note(hand_in, kind, corrects=1)

    return change


def _nine_years(hand_in: HandIn) -> None:
    for year in range(2017, 2026):
        for kind in trade.LEDGER_KINDS:
            if kind != "void":
                note(hand_in, kind, date=f"{year}-11-0{1 + year % 8}")


def as_kml(table: str) -> Do:
    """Shapes with names only, as a phone writes them."""

    def change(hand_in: HandIn) -> None:
        marks = []
        for row, shape in hand_in.maps.pop(table, []):
            spots = {"Polygon": lambda c: c[0], "Point": lambda c: [c]}.get(shape["type"], list)(shape["coordinates"])
            drawn = f"<coordinates>{' '.join(f'{x},{y},0' for x, y in spots)}</coordinates>"
            if shape["type"] == "Polygon":
                drawn = f"<outerBoundaryIs><LinearRing>{drawn}</LinearRing></outerBoundaryIs>"
            name = f"<name>{row.get(columns.header(table)[0])}</name>"
            marks.append(f"<Placemark>{name}<{shape['type']}>{drawn}</{shape['type']}></Placemark>")
        head = '<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        hand_in.raw[f"{table}.kml"] = f"{head}{''.join(marks)}</Document></kml>".encode()

    return change


def settings() -> Iterator[Change]:
    """Each part of place.toml left out; each key of each part left out, and at its least and largest."""
    for part in SETTINGS:
        yield f"place.toml without [{part}]", lambda hand_in, part=part: hand_in.toml.pop(part, None)
    for row in columns.listing(SETTINGS):
        part, key = row["table"], row["column"]
        yield f"place.toml without {part}.{key}", lambda hand_in, p=part, k=key: hand_in.toml.get(p, {}).pop(k, None)
        ends = (FIRST_DAY, TOMORROW) if row["type"] == "date" else (row["low"], row["high"])
        for value in ends:
            if value is not None:
                yield f"place.toml, {part}.{key} = {value}", _set(part, key, value)


def _set(part: str, key: str, value: Any) -> Do:
    return lambda hand_in: hand_in.toml.setdefault(part, {}).update({key: value})


def empty() -> Iterator[Change]:
    """Each file with a heading only, with nothing, with an empty mark only, with empty rows."""
    for table in columns.TABLES:
        yield f"{table} without rows", rows(table, lambda there: [])
        for how, data in (("of no bytes", b""), ("of an empty mark", BOM), ("of line ends", b"\n\n\n")):
            yield f"{table} {how}", lambda hand_in, t=table, d=data: hand_in.raw.update({hand_in.name_of(t): d})
        if table not in columns.MAPS:
            yield f"{table} with empty rows", cells(table, True, **dict.fromkeys(columns.header(table), ""))


def limits() -> Iterator[Change]:
    """Each column with limits at its least, at its largest, missing; in one row and in all. Days first, tomorrow."""
    for row in columns.listing():
        table, name = row["table"], row["column"]
        ends = {"least": row["low"], "largest": row["high"]}
        if row["type"] == "date":
            ends = {"the first day": FIRST_DAY.isoformat(), "tomorrow": TOMORROW.isoformat(), "today": DAY.isoformat()}
        told = {how: value for how, value in ends.items() if value is not None} | {"missing": None}
        for how, value in told.items():
            cell = value if table in columns.MAPS else "" if value is None else str(value)
            yield f"{table}.{name} {how} in one row", cells(table, False, **{name: cell})
            yield f"{table}.{name} {how} in all rows", cells(table, True, **{name: cell})


#: What is counted, by table.
COUNTED = {
    "pellets": ("groups",),
    "browse": ("stems", "browsed"),
    "seedlings": ("under_1ft", "from_1_to_3ft", "from_3_to_5ft", "over_5ft"),
    "counts": ("bucks", "spikes", "does", "fawns", "unknown", "bucks_known"),
    "bag": ("number",),
}
MIXED_DAYS = ("", "1931-05-02", "10/9/2014", "2026-11-25", "2025-04-20T10:11:12Z")
SPECIES = ("sugar maple", "eastern white pine", "apple spp.", "beaked hazel", "no such tree")
COVERS = ("oak", "brush and openings", "cedar swamp", "low, wet hardwoods", "", "no such cover")


def alike() -> Iterator[Change]:
    """Tables of one row; all dead; all of one kind; nothing counted; days mixed; the same name twice."""
    for table in columns.TABLES:
        key = columns.header(table)[0]
        yield f"{table} of one row", rows(table, lambda there: there[:1])
        yield f"{table}, every row twice", rows(table, lambda there: there + copy.deepcopy(there))
        yield (
            f"{table}, one name in every row",
            lambda hand_in, t=table, k=key: cells(t, True, **{k: hand_in.rows(t)[0][k]})(hand_in),
        )
        yield f"{table} in another order", rows(table, lambda there: there[::-1])
        if "date" in columns.header(table):
            days = lambda there: [row | {"date": MIXED_DAYS[n % 5]} for n, row in enumerate(there)]  # noqa: E731
            yield f"{table}, days mixed", rows(table, days)
        if "species" in columns.header(table):
            for species in SPECIES:
                yield f"{table} all {species}", cells(table, True, species=species)
        if "parcel_id" in columns.header(table) and table != "parcels":
            yield f"{table} of a parcel that is not there", cells(table, True, parcel_id="gone")
    for table in ("trees", "tally"):
        yield f"{table} all dead", cells(table, True, alive="no")
        yield f"{table} all cull", cells(table, True, cull_pct="100")
        least = [name for name in columns.header(table) if name not in ("plot_id", "species", "dbh_in")]
        yield f"{table} of species and diameter", column_out(table, *least)
    for table, names in COUNTED.items():
        none, some = dict.fromkeys(names, "0"), dict.fromkeys(names, "3")
        yield f"{table} all zero", cells(table, True, **none)
        yield f"{table} all zero but the first", both(cells(table, True, **none), cells(table, False, **some))
    for stand in ("1", "2", "3"):
        yield f"no tree on the plots of stand {stand}", _trees_where(lambda plot, s=stand: plot["stand_id"] != s)
    for few in (1, 2, 3):
        yield (
            f"{few} plots in all",
            both(rows("plots", lambda there, n=few: there[-n:]), _trees_where(lambda plot: True)),
        )
    for cover in COVERS:
        yield f"stands all of cover {cover!r}", cells("stands", True, cover=cover)
    yield "stands not operable", cells("stands", True, operable=False)
    yield "stands of the parcel on the other side", cells("stands", True, parcel_id="bog")


def _trees_where(wanted: Callable[[dict[str, str]], bool]) -> Do:
    """Trees of the plots that are wanted and there."""

    def change(hand_in: HandIn) -> None:
        kept = {plot["plot_id"] for plot in hand_in.rows("plots") if wanted(plot)}
        hand_in.tables["trees"] = [tree for tree in hand_in.rows("trees") if tree["plot_id"] in kept]

    return change


def ledgers() -> Iterator[Change]:
    """Lines taken out, replaced, of stands that are gone, of amounts and units nobody expects."""
    whole = len(trade.LEDGER_KINDS)
    yield "all notes void", both(*(noted("void", corrects=number) for number in range(1, whole + 1)))
    yield "a note replaced", noted("firewood", corrects=1, amount=9)
    yield "a note replaced twice", both(noted("firewood", corrects=1), noted("firewood", corrects=1, amount=9))
    yield "a void line void", both(noted("void", corrects=1), noted("void", corrects=whole + 1))
    yield "a line that replaces itself", noted("firewood", corrects=whole + 1)
    yield "a line that replaces none", noted("firewood", corrects=9_000)
    yield "a void line of none", noted("void")
    yield "a note on a stand that is gone", noted("firewood", stand_id="77")
    yield "a note on a parcel that is gone", noted("work", parcel_id="gone")
    yield "notes of words nobody knows", both(*(noted(word) for word in ("sap", "mushrooms", "fence")))
    for kind in trade.LEDGER_KINDS:
        for unit in (*trade.UNITS, "buckets", ""):
            yield f"{kind} in {unit or 'no unit'}", noted(kind, unit=unit, amount=3)
        for amount in ("", "0", "-4", "1000000"):
            yield f"{kind}, amount {amount or 'left out'}", noted(kind, amount=amount, stand_id="1")
    for sex_age in trade.SEX_AGE:
        yield f"a note of a {sex_age} without place", noted("deer", sex_age=sex_age)


#: Axis -> its changes, and the places that are changed so.
AXES: dict[str, tuple[Callable[[], Iterator[Change]], tuple[str, ...]]] = {
    SAME: (lambda: iter([(SAME, lambda hand_in: None)]), tuple(BASES)),
    "columns out": (columns_out, ("brook",)),
    "files out": (files_out, tuple(BASES)),
    "only some": (only_some, ("brook", "otter")),
    "settings": (settings, ("brook",)),
    "empty": (empty, ("brook",)),
    "shapes": (shapes, ("brook",)),
    "rows out of place": (rows_out_of_place, ("brook",)),
    "limits": (limits, ("brook",)),
    "alike": (alike, ("brook",)),
    "ledgers": (ledgers, ("brook",)),
    "words on trees": (words_on_trees, ("brook",)),
    "wishes": (wishes, ("brook",)),
    "wants": (wants, ("brook",)),
    "counting": (counting, ("brook",)),
}
PAIRS = "pairs"


@cache
def cases(pairs: int = 60) -> list[Case]:
    """All that changes something, in order; last as many pairs of changes as are asked for, drawn by the seed."""
    out = [
        Case(axis, name, base, change)
        for axis, (changes, bases) in AXES.items()
        for base in bases
        for name, change in changes()
    ]
    whole = {name: base().files() for name, base in BASES.items()}
    out = [case for case in out if case.axis == SAME or case.make().files() != whole[case.base]]
    draw = random.Random(SEED)
    single = [case for case in out if case.base == "brook"]
    for one, other in (draw.sample(single, 2) for _ in range(pairs)):
        out.append(Case(PAIRS, f"{one.name}; {other.name}", "brook", both(one.change, other.change)))
    return out
