"""Whatever of a hand-in is left out, moved, empty or at its limits: every verb answers, or says what it needs."""

import importlib.util
import random
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot import columns
from woodlot.cli import VERBS

TRIALS = Path(__file__).parent / "trials"
#: Verbs that make or change a place; each has its own tests.
MAKING = {"start", "bring", "mend"}
#: How many hand-ins of each axis are drawn.
DRAWN = 3


def _trial(name):
    key = f"woodlot_tests_{name}"
    if key not in sys.modules:
        spec = importlib.util.spec_from_file_location(key, TRIALS / f"{name}.py")
        sys.modules[key] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[key])
    return sys.modules[key]


matrix = _trial("hand_in_matrix")
CASES = matrix.cases()


def _drawn():
    """Some hand-ins of each axis, the same each time."""
    by_axis = {}
    for case in CASES:
        by_axis.setdefault(case.axis, []).append(case)
    return [case for axis, there in by_axis.items() for case in random.Random(f"3 {axis}").sample(there, DRAWN)]


@pytest.mark.parametrize("case", _drawn(), ids=lambda case: f"{case.axis}: {case.name} ({case.base})")
def test_a_hand_in_drawn_is_answered_or_told_what_it_needs(case, tmp_path):
    """No traceback, no number that is none, no word of Python, no silence; rooms agree on what can be used."""
    assert matrix.tried(case, tmp_path / "place", few=True) == []


def test_every_column_file_setting_and_ledger_kind_is_in_the_matrix():
    """What is declared anew is tried without being named."""
    names = {case.name for case in CASES}
    for row in columns.listing():
        table, column = row["table"], row["column"]
        assert f"{table} without {column}" in names
        assert f"no {table}" in names
        assert f"{table} of no bytes" in names
        if row["high"] is not None:
            assert {f"{table}.{column} {end} in all rows" for end in ("least", "largest", "missing")} <= names
    for row in columns.listing(matrix.SETTINGS):
        assert f"place.toml without {row['table']}.{row['column']}" in names
    assert len(names) > 1400


def test_every_verb_is_asked_of_some_hand_in_drawn(tmp_path):
    """By the turns the trial gives them; those that make a place are tried elsewhere."""
    asked = {run[0] for case in _drawn() for run in matrix.runs(case, tmp_path, "1", "home", few=True)}
    assert set(VERBS) - MAKING == asked | {"book", "note"}


def test_each_hand_in_can_be_written():
    """Every change acts on the place it was made for."""
    for case in CASES:
        base = matrix.BASES[case.base]().files()
        if case.name not in matrix.SAME:
            assert case.make().files() != base, case.name


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ('{"acres": NaN}', "json"),
        ('{"acres": "None acres"}', "quotes Python"),
        ('{"acres": "nan to inf"}', "quotes Python"),
        ('{"acres": "KeyError: 3"}', "quotes Python"),
        ('{"acres": 3, "words": "None of the stands is due"}', None),
    ],
)
def test_what_a_verb_says_is_judged(monkeypatch, said, kind):
    """A number that is none and a word of Python are found, an English word is not."""
    import click

    @click.command()
    def verb():
        click.echo(said)

    found = [one[0] for one in matrix.judged(CliRunner().invoke(verb, []), True)]
    assert found == ([kind] if kind else [])


@pytest.mark.parametrize(("error", "kind"), [(KeyError("x"), "traceback"), (SystemExit(1), "no words")])
def test_how_a_verb_ends_is_judged(error, kind):
    """An error that is not ours, and an end without words."""
    import click

    @click.command()
    def verb():
        raise error

    assert [one[0] for one in matrix.judged(CliRunner().invoke(verb, []), False)] == [kind]
