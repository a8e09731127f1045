"""Diameter growth of trees: published rates, fitted equations, and the owner's own cores."""

import numpy as np
import pandas as pd
import pytest

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.tree import growth


def test_sugar_maple_anchors_are_those_of_the_published_rates_as_printed():
    """Godman and Mendel 1978, NC-155, table 3: 1.4, 1.8, 2.2 in in ten years."""
    assert growth.anchors(["sugar maple"], region=shipped("base")).tolist() == [[0.14, 0.18, 0.22]]


def grows(species, dbh_in, bal_sqft_per_ac, fitted=False):
    """Yearly growth of one tree by the equation of its species."""
    figures, _ = growth.equations([species], fitted=fitted, region=shipped("base"))
    return growth.dbh_growth_in(figures, np.asarray(dbh_in, dtype=float), np.asarray(bal_sqft_per_ac))[0]


def test_fitted_equations_as_printed():
    """forest_growth.md section 2: red maple 14 in at BAL 60 .2019; red oak 18 in at BAL 20 .148."""
    assert grows("red maple", 14, 60, fitted=True) == pytest.approx(0.2019, abs=5e-5)
    assert grows("northern red oak", 18, 20, fitted=True) == pytest.approx(0.148, abs=5e-4)


def test_an_anchor_tree_grows_its_anchor_by_hand():
    """At 10 in and BAL 45 both factors are 1; at 14 in and BAL 60 .18 x 1.4^-.12 x exp(-.0705) = .1611."""
    assert grows("sugar maple", 10, 45) == pytest.approx(0.18, abs=1e-15)
    assert grows("sugar maple", 14, 60) == pytest.approx(0.1611, abs=5e-5)


def test_growth_falls_with_larger_trees_round_a_tree_and_is_never_negative():
    """Section 7: all equations, BAL 0 to 300."""
    bal = np.linspace(0.0, 300.0, 31)
    for species in ("sugar maple", "black cherry", "white oak", "red maple"):
        for fitted in (False, True):
            told = growth.dbh_growth_in(
                growth.equations([species], fitted=fitted, region=shipped("base"))[0], 12.0, bal
            )
            assert (np.diff(told) < 0).all() and (told > 0).all()


def test_a_species_without_a_fitted_equation_keeps_its_anchor():
    """Sugar maple stood nowhere in numbers, so its own anchor serves beside the fitted red maple."""
    figures, words = growth.equations(["sugar maple", "red maple", "boxelder"], fitted=True, region=shipped("base"))
    assert words == ["anchor", "fitted to remeasured trees", "anchor of its kind"]
    assert np.array_equal(figures[0], growth.equations(["sugar maple"], region=shipped("base"))[0][0])


def test_a_case_is_one_of_three():
    """Low, mid or high."""
    with pytest.raises(InputError, match="low, mid or high"):
        growth.equations(["sugar maple"], "middle", region=shipped("base"))


def cores(*rows):
    """Cores as (stand, species, growth in ten years)."""
    frame = pd.DataFrame(rows, columns=["stand_id", "species", "growth_in"])
    return frame.assign(dbh_in=12.0, years=10.0)


def test_three_cores_weigh_as_much_as_the_figure_they_replace_by_hand():
    """Three maples grew 2.88 in each where 1.44 was expected, twice as much. The place leans on 1: ln 2 x 3/6 = .3466;
    the species on the place: (.6931 + .3466) / 2 = .5199; the stand on the species: .6065; e^.6065 = 1.834.
    """
    told, n = growth.own_factors(
        cores(*[("1", "sugar maple", 2.88)] * 3), [0.144] * 3, ["1", "2"], ["sugar maple"], region=shipped("base")
    )
    assert told[0, 0] == pytest.approx(np.exp(0.875 * np.log(2.0)), rel=1e-12)
    assert told[0, 1] == pytest.approx(np.exp(0.75 * np.log(2.0)), rel=1e-12), "another stand leans on the species"
    assert n.tolist() == [[3.0, 3.0]]


def test_many_cores_win_and_none_change_nothing():
    """500 cores at three quarters of what was expected: .75 within one percent; without cores 1 everywhere."""
    rows = cores(*[("1", "red maple", 1.5)] * 500)
    told, _ = growth.own_factors(rows, [0.2] * 500, ["1"], ["red maple", "sugar maple"], region=shipped("base"))
    assert told[0, 0] == pytest.approx(0.75, rel=0.01)
    none, n = growth.own_factors(rows[:0], [], ["1"], ["red maple"], region=shipped("base"))
    assert none.tolist() == [[1.0]] and n.tolist() == [[0.0]]


def test_a_factor_stays_between_two_fifths_and_two():
    """Cores of ten times the expected growth are held to 2, of a hundredth to .4."""
    for grown, held in ((20.0, 2.0), (0.02, 0.4)):
        told, _ = growth.own_factors(
            cores(*[("1", "red maple", grown)] * 60), [0.2] * 60, ["1"], ["red maple"], region=shipped("base")
        )
        assert told[0, 0] == held


def test_trees_measured_twice_become_cores():
    """A tree that grew counts, and one that shrank by less than a tenth of an inch a year; one that died, shrank by as
    much, or bears another name now does not.
    """
    first = pd.DataFrame({"plot_id": "a", "tree": list("12345"), "species": "red maple", "dbh_in": [10.0] * 5})
    second = first.assign(dbh_in=[11.0, 10.5, 9.5, 11.0, 9.75], alive=[True, False, True, True, True])
    second["species"] = ["red maple", "red maple", "red maple", "sugar maple", "red maple"]
    told = growth.remeasured(first, second, 5)
    assert told[["tree", "dbh_in", "years", "growth_in"]].values.tolist() == [
        ["1", 11.0, 5.0, 1.0],
        ["5", 9.75, 5.0, -0.25],
    ]
    assert set(told["species"]) == {"red maple"}
