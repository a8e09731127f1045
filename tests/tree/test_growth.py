"""Diameter growth of trees: published rates, fitted equations, and the owner's own cores."""

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.tree import growth


def test_the_sugar_maple_anchor_is_the_middle_of_the_published_rates_as_printed():
    """Godman and Mendel 1978, NC-155, table 3: 1.4, 1.8, 2.2 in in ten years."""
    assert growth.anchors(["sugar maple"], region=shipped("base")).tolist() == [0.18]


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


def cores(*rows):
    """Cores as (stand, species, growth in ten years)."""
    frame = pd.DataFrame(rows, columns=["stand_id", "species", "growth_in"])
    return frame.assign(dbh_in=12.0, years=10.0)


def figures(rows, expected, stands=("1", "2"), species=("sugar maple",), sd=0.45):
    """Own figures of some cores, each expected to grow alike."""
    return growth.own_figures(rows, [expected] * len(rows), stands, species, sd, shipped("base"))


@pytest.mark.parametrize(
    ("n", "factor", "left"),
    [(1, 0.805, 0.373), (3, 0.670, 0.293), (5, 0.618, 0.249), (10, 0.567, 0.191), (20, 0.536, 0.142)],
)
def test_cores_at_half_of_what_was_expected_as_printed(n, factor, left):
    """Forest ageing, section 8: factor in the rest of the place, and what stays unknown of it."""
    told = figures(cores(*[("1", "sugar maple", 1.0)] * n), 0.2)
    assert told.factor[0, 1] == pytest.approx(factor, abs=5e-4)
    assert told.place_log_sd[1] == pytest.approx(left, abs=5e-4)
    assert told.stand_log_sd[1] == 0.23


def test_twelve_cores_of_a_place_and_five_of_a_stand_as_printed():
    """Forest ageing, section 8: 12 at .70 give .740 (w .845); 5 of them at .55 in one stand .660 there (w .385).

    The other 7 grow what makes .70 of all: (12 x .14 - 5 x .11)/7. Left in the stand: ((u (1 - w))^2 + .23^2 x
    8/13)^.5 with u = .45 (2.2/14.2)^.5 = .1771.
    """
    other = (12 * 0.14 - 5 * 0.11) / 7
    rows = cores(*[("1", "sugar maple", 1.1)] * 5, *[("2", "sugar maple", 10 * other)] * 7)
    told = figures(rows, 0.2, ("1", "2", "3"))
    assert told.factor[0, 2] == pytest.approx(0.740, abs=5e-4)
    assert told.factor[0, 0] == pytest.approx(0.660, abs=5e-4)
    assert told.place_log_sd == pytest.approx([0.1771 * 8 / 13, 0.1771 * 8 / 15, 0.1771], abs=5e-5)
    assert told.stand_log_sd == pytest.approx([0.23 * (8 / 13) ** 0.5, 0.23 * (8 / 15) ** 0.5, 0.23])


def test_a_kind_that_grows_unlike_the_place_goes_its_own_way_by_hand():
    """Four sugar maples as expected, four red maples at half: the place is at .75, w 8/10.2. Each kind moves half the
    way (4/8) from the place's own ratio to its own, so red maple is (.5/.75)^.5 of the place. Kinds without a core are
    as the place. In a stand without cores only these two act.
    """
    rows = cores(*[("1", "sugar maple", 2.0)] * 4, *[("1", "red maple", 1.0)] * 4)
    told = figures(rows, 0.2, ("1", "2"), ("sugar maple", "red maple", "american beech"))
    place = 0.75 ** (8 / 10.2)
    expected = [place * (1 / 0.75) ** 0.5, place * (0.5 / 0.75) ** 0.5, place]
    assert told.factor[:, 1] == pytest.approx(expected, rel=1e-12)
    apart = np.array(expected) / place
    own = (0.2 + 0.1) / (0.2 * apart[0] + 0.2 * apart[1])  # its kinds set right; 8 cores weigh half
    assert told.factor[:, 0] == pytest.approx(apart * (own * place) ** 0.5, rel=1e-12)


def test_where_the_soil_is_written_cores_weigh_less_against_it():
    """A site known to .35 in place of .45 is worth 2.2 (.45/.35)^2 = 3.64 cores; half of .35 x ... is left of it."""
    told = figures(cores(*[("1", "sugar maple", 1.0)] * 3), 0.2, sd=np.array([0.45, 0.35]))
    half = 2.2 * (0.45 / 0.35) ** 2
    assert told.factor[0, 1] == pytest.approx(0.5 ** (3 / (3 + half)), rel=1e-12)
    assert told.place_log_sd[1] == pytest.approx(0.35 * (half / (3 + half)) ** 0.5)


def test_many_cores_win_and_none_change_nothing():
    """500 cores at three quarters of what was expected: .75 within one percent; without cores 1 everywhere."""
    rows = cores(*[("1", "red maple", 1.5)] * 500)
    told = figures(rows, 0.2, ["1"], ["red maple", "sugar maple"])
    assert told.factor[0, 0] == pytest.approx(0.75, rel=0.01)
    none = figures(rows[:0], 0.2, ["1"], ["red maple"])
    assert none.factor.tolist() == [[1.0]] and (none.place_log_sd[0], none.stand_log_sd[0]) == (0.45, 0.23)


def test_a_factor_stays_between_two_fifths_and_two():
    """Cores of ten times the expected growth are held to 2, of a hundredth to .4."""
    for grown, held in ((20.0, 2.0), (0.02, 0.4)):
        assert figures(cores(*[("1", "red maple", grown)] * 60), 0.2, ["1"], ["red maple"]).factor[0, 0] == held


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
