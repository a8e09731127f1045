"""What moved a number between two plans: shares add up, rows are told apart by what they speak of."""

import geopandas as gpd
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box

from woodlot.estimate import reason
from woodlot.plan.what_moved import Differ, Share, Step, keys_since, notes_since, plots_since, rows_differ, shares

DAY, PLOTS, NOTES = (reason(key) for key in ("days since", "plots moved", "notes moved"))


def test_shares_of_a_number_by_hand():
    """1,000 cords; 40 grew, three plots say 1,300 with that, 6 were cut: +40, +260, -6, in all +294 to 1,294."""
    before = {"cords": 1000.0, "does": 1.0}
    steps = [
        Step("day", DAY, {"cords": 1040.0, "does": 1.0}),
        Step("plots", PLOTS, {"cords": 1300.0, "does": 1.0}),
        Step("ledger", NOTES, {"cords": 1294.0, "does": 0.0}),
    ]
    of = shares(before, steps)
    assert of["cords"] == (Share("day", DAY, 40.0), Share("plots", PLOTS, 260.0), Share("ledger", NOTES, -6.0))
    assert of["does"] == (Share("ledger", NOTES, -1.0),)


def test_a_first_number_is_the_share_of_what_gave_it():
    """No number until the plots, 500 cords by them, 3 less by a note: +500 and -3; a number that goes is taken off."""
    steps = [
        Step("day", DAY, {"cords": None, "does": 2.0}),
        Step("plots", PLOTS, {"cords": 500.0, "does": 2.0}),
        Step("ledger", NOTES, {"cords": 497.0, "does": None}),
    ]
    of = shares({"cords": None, "does": 2.0}, steps)
    assert of["cords"] == (Share("plots", PLOTS, 500.0), Share("ledger", NOTES, -3.0))
    assert of["does"] == (Share("ledger", NOTES, -2.0),)


def test_what_another_order_of_a_sum_makes_is_no_share():
    """A billionth of a number is nobody's doing; a millionth is."""
    steps = [Step("day", DAY, {"cords": 100.0 + 1e-9}), Step("plots", PLOTS, {"cords": 100.0001})]
    assert [one.what for one in shares({"cords": 100.0}, steps)["cords"]] == ["plots"]


NUMBER = st.none() | st.floats(0.0, 1e6)


@given(st.lists(NUMBER, min_size=2, max_size=8))
def test_shares_add_up_to_the_whole_difference(states):
    """Whatever the way from the first number to the last, the steps make up what lies between them."""
    steps = [Step(str(nth), DAY, {"cords": value}) for nth, value in enumerate(states[1:])]
    told = sum(one.amount for one in shares({"cords": states[0]}, steps)["cords"])
    assert told == pytest.approx((states[-1] or 0.0) - (states[0] or 0.0), abs=0.01)


def test_rows_are_new_changed_and_gone_by_their_name():
    """Several rows of one name are one thing, in any order; an empty cell is not another than an empty cell."""
    then = pd.DataFrame({"winter": [1, 1, 2, 3], "snow_in": [4.0, None, 6.0, 7.0]})
    now = pd.DataFrame({"winter": [4, 3, 1, 1], "snow_in": [1.0, 8.0, None, 4.0]})
    assert rows_differ(then, now, "winter") == Differ(("4",), ("3",), ("2",))
    assert not rows_differ(then, then.iloc[::-1], "winter")
    assert rows_differ(then.iloc[:0], then, "winter") == Differ(("1", "2", "3"))
    assert rows_differ(then, then.iloc[:0], "winter") == Differ((), (), ("1", "2", "3"))


def test_an_outline_drawn_otherwise_is_a_changed_row():
    """The same cells around another shape."""
    then, now = (
        gpd.GeoDataFrame({"stand_id": ["1", "2"]}, geometry=[box(0, 0, 1, 1), box(1, 0, x, 1)]) for x in (2, 3)
    )
    assert rows_differ(then, now, "stand_id") == Differ((), ("2",), ())


def plots(*rows):
    """Plots of (plot, stand, day)."""
    return pd.DataFrame(rows, columns=["plot_id", "stand_id", "date"])


def trees(*rows):
    """Trees of (plot, inches)."""
    return pd.DataFrame(rows, columns=["plot_id", "dbh_in"])


def test_plots_are_told_by_what_was_done_on_them():
    """A new plot without a tree, one walked again, one whose tree was mended, one taken out, cores of a stand."""
    cores = pd.DataFrame({"stand_id": ["7"], "growth_in": [1.0]})
    then = plots(("1", "7", "2020"), ("2", "7", "2020"), ("3", "8", "2020"), ("4", "8", "2020"))
    now = plots(("1", "7", "2025"), ("2", "7", "2020"), ("4", "8", "2020"), ("5", "9", "2025"))
    old = (then, trees(("1", 9.0), ("2", 10.0), ("3", 11.0), ("4", 12.0)), cores)
    new = (now, trees(("1", 9.5), ("2", 10.1), ("4", 12.0)), cores.assign(growth_in=2.0))
    each = (("new", (("9", ("5",)),)), ("again", (("7", ("1",)),)), ("changed", (("7", ("2",)),)))
    each += (("gone", (("8", ("3",)),)),)
    assert plots_since(old, new) == reason("plots moved", plots=each, cores=("7",))
    assert plots_since(old, old) == reason("plots moved", plots=(), cores=())


LINE = ("line", "kind", "unit", "stand_id", "amount")


def test_notes_are_told_with_their_amounts():
    """2 and 3.5 cords of one stand are 5.5; what is seen has no amount; a line changed and one gone are named."""
    then = pd.DataFrame([(1, "firewood", "cord", "8", 1.0), (2, "seen", None, None, None)], columns=LINE)
    new = [(3, "firewood", "cord", "8", 2.0), (4, "firewood", "cord", "8", 3.5), (5, "seen", None, None, None)]
    now = pd.DataFrame([(1, "firewood", "cord", "8", 1.5), *new], columns=LINE)
    sums = (("firewood", "cord", "8", 5.5, 2), ("seen", "", "", None, 1))
    assert notes_since(then, now) == reason("notes moved", lines=Differ(("3", "4", "5"), ("1",), ("2",)), sums=sums)
    assert notes_since(then, then) == reason("notes moved", lines=Differ(), sums=())


def test_settings_that_differ_are_told_by_key():
    """A key changed, one taken out, one new, in the order in which they stand; what is the same is left out."""
    then = {"name": "A", "needs": {"firewood_cord": 7, "posts": 3}, "limits": {"tags_doe": 1}}
    now = {"name": "A", "needs": {"firewood_cord": 9}, "limits": {"tags_doe": 1, "tags_buck": 2}}
    assert keys_since(then, now) == (
        ("needs.firewood_cord", 7, 9),
        ("needs.posts", 3, None),
        ("limits.tags_buck", None, 2),
    )
