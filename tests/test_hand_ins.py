"""Whatever of a hand-in is left out, moved, empty or at its limits: every verb answers, or says what it needs."""

import importlib.util
import random
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot import columns, place
from woodlot.cli import VERBS
from woodlot.place.lists import LISTS
from woodlot.place.settings import SETTINGS
from woodlot.season import season
from woodlot.trade import LEDGER_KINDS

TRIALS = Path(__file__).parent / "trials"
#: Verbs that make or change a place; each has its own tests.
MAKING = {"start", "bring", "mend"}
#: How many hand-ins of each axis are drawn.
DRAWN = 1


def _trial(name):
    """A trial, and what lies beside it, under the names by which they open each other."""
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, TRIALS / f"{name}.py")
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


ins, forms, _, axes, matrix = map(
    _trial, ("hand_ins", "hand_in_shapes", "hand_in_wishes", "hand_in_axes", "hand_in_matrix")
)
CASES = axes.cases()
#: Hand-ins by which a verb once broke.
ONCE_BROKE = (
    "features one on another",
    "all of features a collection",
    "all of features two points",
    "place.toml, home.lat = -90",
    "place.toml, needs.sawlogs_bdft = 1000000",
    "cores.dbh_in least in all rows",
    "plots.baf_sqft_per_ac largest in all rows",
    "trees.dbh_in largest in all rows",
    "winters.date the first day in all rows",
)


def _drawn():
    """Some hand-ins of each axis, the same each time, and those that once broke."""
    by_axis = {}
    for case in CASES:
        by_axis.setdefault(case.axis, []).append(case)
    drawn = [one for axis, there in by_axis.items() for one in random.Random(f"3 {axis}").sample(there, DRAWN)]
    return drawn + [case for case in CASES if case.name in ONCE_BROKE and case not in drawn]


@pytest.mark.parametrize("case", _drawn(), ids=str)
def test_a_hand_in_drawn_is_answered_or_told_what_it_needs(case, tmp_path):
    """No traceback, no number that is none, no word of Python, no silence; rooms agree on what can be used."""
    assert matrix.tried(case, tmp_path / "place", few=True) == []


@pytest.mark.parametrize("base", ins.BASES)
def test_each_place_of_the_matrix_can_be_read_as_it_is(base, tmp_path):
    """Else each hand-in made from it stops at the same row, and no verb is tried."""
    place.read(ins.BASES[base]().write(tmp_path / "place"), as_of=ins.DAY)


def test_the_first_place_fills_every_column_of_every_table_and_every_part():
    """A column that no row fills is a column that no change takes out."""
    brook = ins.brook()
    for table in columns.TABLES:
        filled = {name for row in brook.rows(table) for name, cell in row.items() if cell not in (None, "")}
        assert set(columns.header(table)) - filled <= {"check"}, table
    keys = ((row["table"], row["column"]) for row in columns.listing(SETTINGS))
    assert {part for part, key in keys if key not in brook.toml.get(part, {})} == {"needs"}, "several ways to heat"
    assert set(LISTS) <= set(brook.toml)


def test_every_column_file_setting_and_ledger_kind_is_in_the_matrix():
    """What is declared anew is tried without being named."""
    names = {name for changes, _ in axes.AXES.values() for name, _ in changes()}
    for row in columns.listing():
        table, column = row["table"], row["column"]
        assert f"{table} without {column}" in names
        assert f"no {table}" in names
        assert f"{table} of no bytes" in names
        if row["high"] is not None:
            assert {f"{table}.{column} {end} in all rows" for end in ("least", "largest", "missing")} <= names
    for row in columns.listing(SETTINGS):
        assert f"place.toml without {row['table']}.{row['column']}" in names
    assert all(f"only outlines and a note of {kind}" in names for kind in LEDGER_KINDS)
    assert len({case.name for case in CASES}) > 1400


def test_every_verb_is_asked_of_some_hand_in_drawn(tmp_path):
    """By the turns the trial gives them; those that make a place are tried elsewhere."""
    asked = {run[0] for case in _drawn() for run in matrix.runs(case, tmp_path, "1", "home", few=True)}
    assert set(VERBS) - MAKING == asked | {"book", "note"}


@pytest.fixture(scope="module")
def worked_out(tmp_path_factory):
    """A function from changes to the season of the Brook place, each plot of it measured once."""

    def work(*changes):
        hand_in = ins.brook()
        last = forms.rows("plots", lambda there: [row for row in there if row["date"] > "2020"])
        trees = forms.rows("trees", lambda there: [row for row in there if not row["date"].startswith("2019")])
        forms.both(last, trees, axes.column_out("trees", "date"), *changes)(hand_in)
        return season(place.read(hand_in.write(tmp_path_factory.mktemp("out") / "place"), as_of=ins.DAY))

    return work


def _width(estimate):
    return (estimate.high - estimate.low) / estimate.value


@pytest.fixture(scope="module")
def whole(worked_out):
    """The season with everything in it."""
    return worked_out()


@pytest.mark.parametrize(
    ("table", "names", "at_least"),
    [
        ("trees", ("height_ft",), 1.0),
        ("trees", ("height_ft", "merch_ft", "logs_16ft"), 1.1),  # the table is off by .097 for .066
        ("trees", ("cull_pct",), 0.99),  # rot makes plots differ: the range without it is a 400th narrower
        ("plots", ("date",), 1.0),
    ],
)
def test_what_is_left_out_makes_no_range_of_cords_narrower(worked_out, whole, table, names, at_least):
    """The width beside the number; heights, defect and days that nobody took tell nothing."""
    less = worked_out(axes.column_out(table, *names))
    full, thin = (one.standing.totals["cords by all"]["all"] for one in (whole, less))
    assert _width(thin) >= at_least * _width(full) * (1 - 1e-9)


def test_growth_without_cores_has_a_wider_range(worked_out, whole):
    """In cords: the cores of this place say that it grows less than the published rates."""
    full, less = whole.ceilings.whole["growth"], worked_out(axes.without("cores")).ceilings.whole["growth"]
    assert less.high - less.low > 1.2 * (full.high - full.low)


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ('{"acres": Infinite}', "json"),
        ('{"acres": NaN}', "json, quotes Python"),
        ('{"acres": "None acres"}', "quotes Python"),
        ('{"acres": "nan to inf"}', "quotes Python"),
        ('{"acres": "KeyError: 3"}', "quotes Python"),
        ('{"acres": 3, "words": "None of the stands is due"}', ""),
    ],
)
def test_what_a_verb_says_is_judged(said, kind):
    """A number that is none and a word of Python are found, an English word is not."""
    import click

    @click.command()
    def verb():
        click.echo(said)

    assert ", ".join(one[0] for one in matrix.judged(CliRunner().invoke(verb, []), True)) == kind


@pytest.mark.parametrize(("error", "kind"), [(KeyError("x"), "traceback"), (SystemExit(1), "no words")])
def test_how_a_verb_ends_is_judged(error, kind):
    """An error that is not ours, and an end without words."""
    import click

    @click.command()
    def verb():
        raise error

    assert [one[0] for one in matrix.judged(CliRunner().invoke(verb, []), False)] == [kind]
