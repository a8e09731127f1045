"""``--help`` is quick, and every verb shows an example."""

import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

from woodlot.cli import VERBS, main

HEAVY = (
    "geopandas",
    "pandas",
    "folium",
    "sklearn",
    "rasterio",
    "matplotlib",
    "numpy",
    "pyogrio",
    "shapely",
    "scipy",
    "pydantic",
)


def loaded(*arguments: str) -> set[str]:
    """Top-level names of every module that a run of woodlot loads."""
    run = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "woodlot", *arguments], capture_output=True, text=True, check=True
    )
    lines = [line.rsplit("|", 1)[-1].strip() for line in run.stderr.splitlines() if line.startswith("import time:")]
    return {name.split(".")[0] for name in lines}


def test_help_loads_no_heavy_library():
    """`woodlot --help` loads click and little else."""
    names = loaded("--help")
    assert "click" in names and "woodlot" in names
    assert names.isdisjoint(HEAVY), sorted(names & set(HEAVY))


@pytest.mark.parametrize("verb", ["start", "walk", "note", "book"])
def test_help_of_a_verb_loads_no_heavy_library(verb):
    """The help of a verb does not open what the verb needs."""
    assert loaded(verb, "--help").isdisjoint(HEAVY)


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_has_an_example(verb):
    """Help of each verb that is there ends in a line to type, and says what its options do."""
    command = main.get_command(None, verb)
    if command is None:
        pytest.skip(f"woodlot {verb} is not built yet")
    told = CliRunner().invoke(main, [verb, "--help"])
    assert told.exit_code == 0
    lines = [line.strip() for line in told.output.splitlines()]
    assert any(line.startswith(f"Example:  woodlot {verb}") for line in lines)
    options = [option for option in command.params if isinstance(option, click.Option)]
    assert options and all(option.help for option in options)


def test_a_verb_that_is_none_is_refused():
    """`woodlot wlak` names the word, exit code 2, no traceback."""
    told = CliRunner().invoke(main, ["wlak"])
    assert told.exit_code == 2
    assert "wlak" in told.output and "Traceback" not in told.output


def test_a_mistyped_verb_is_answered_with_the_one_meant():
    """Exit code 2, as click has it for a wrong call, and the nearest verb."""
    done = CliRunner().invoke(main, ["crusie"])
    assert done.exit_code == 2
    assert "Did you mean 'cruise'?" in done.output


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["scale", "--level", "2"], "not in the range"),
        (["scal"], "Did you mean 'scale'?"),
        (["zzz"], "'zzz'"),
        (["--bogus"], "'--bogus'"),
        (["note", "--at", "1"], "2 arguments"),
        (["note", "--kind", "deer", "--sex-age", "hen"], "antlerless or deer."),
    ],
)
def test_what_cannot_be_understood_is_said_in_our_words(typed, said):
    """Exit code 2, within 80 columns, what stood in the way, and never the word of the library for it."""
    told = CliRunner().invoke(main, typed)
    assert told.exit_code == 2 and told.stdout == ""
    assert "Stopped: " in told.stderr and said in " ".join(told.stderr.split()) and "Error" not in told.stderr
    assert max(map(len, told.stderr.splitlines())) <= 80


def test_woodlot_alone_shows_its_help():
    """Without a verb the help is shown, each verb on a line of its own."""
    told = CliRunner().invoke(main, [])
    assert "\n  start    Lay out" in told.output and "Stopped" not in told.output
