"""What to do for the next forest: steps of each verdict, what is left out of them, and the permit of a state."""

import pandas as pd
import pytest

from tests.deer.forest_example import BASE, FEW, ask, bitten, cruise, pairs, placed, sky, stands, young
from woodlot.deer.forest_answer import CANT_SAY, COMING_UP, FILLERS, HELD, NOT_SHOWN, TOO_DARK
from woodlot.deer.forest_floor import Overhead
from woodlot.say.next_forest import STEPS
from woodlot.say.reasons import said


def test_an_oak_place_with_many_deer_has_steps():
    """Oak that does not come up under 90 square feet, everything bitten: first what the family can do on its ground."""
    at, trees = cruise(40)
    browse = pd.concat([bitten(0.8, species="northern red oak"), bitten(0.9)])
    told = ask(placed(40, (20, 0, 0, 0), "northern red oak"), browse, Overhead(stands("1"), at, trees, {"1": 90.0}))
    assert told.verdict == HELD
    assert [step.step for step in told.steps] == ["tops", "cages", "fence", "wall", "neighbors", "permit", "no_light"]
    words = [said(step.words) for step in told.steps]
    assert words[0].endswith("2 to 6 hours of work and no money an acre.")
    assert words[2].endswith("30 to 80 hours of work and 1,650 to 4,910 dollars an acre.")


@pytest.mark.parametrize("key", [HELD, TOO_DARK, FILLERS, NOT_SHOWN, CANT_SAY])
def test_every_verdict_but_the_good_one_has_a_step(key):
    """At least one row of the table for each, and words for every row."""
    table = BASE.table("deer_forest_steps")
    assert table["when"].map(lambda when: key in when.split("; ")).any()
    assert not table["when"].map(lambda when: COMING_UP in when).any()
    assert set(table["step"]) == set(STEPS)


def test_high_browsing_brings_steps_before_the_cause_is_known():
    """Not enough plots, but bites everywhere: count on, and cages, tops, neighbors and a permit beside it."""
    told = ask(None, bitten(0.9))
    assert [step.step for step in told.steps] == ["plots", "tops", "cages", "neighbors", "permit"]
    assert [step.step for step in ask(None, bitten(0.1)).steps] == ["plots"]


@pytest.mark.parametrize(
    ("state", "words"),
    [
        ("michigan", "Michigan gives deer management assistance permits"),
        ("New Hampshire", "to towns alone"),
        (None, "Some states give tags"),
        ("eastern states", "(Wisconsin, Michigan, New York, Pennsylvania, New Hampshire): ask yours"),
    ],
)
def test_a_permit_of_the_state(state, words):
    """The state's own where the table has one, else which states have one; the rules are the state's."""
    permit = next(step for step in ask(None, bitten(0.9), state=state).steps if step.step == "permit")
    assert words in said(permit.words) and said(permit.words).endswith("The season and tags are the state's.")


def test_pairs_that_stand_are_not_asked_again():
    """Two pairs stand: four more."""
    told = ask(pd.concat([pairs(2), young([FEW] * 40)]).assign(**sky(20)))
    assert told.verdict == NOT_SHOWN
    assert said(told.steps[0].words).startswith("Fence 4 plots")


def test_missing_kinds_are_caged_first():
    """Cages go over the kind that is missing."""
    told = ask(young([FEW] * 40, seed_trees="northern red oak", **sky(30)))
    cages = next(step for step in told.steps if step.step == "cages")
    assert "northern red oak first" in said(cages.words)
