"""Posts, poles and logs by species and size: one cut list a stem, straight share off, thin trees give no logs."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from woodlot.plan import pieces, wanted
from woodlot.plan.woods import chosen
from woodlot.region import shipped
from woodlot.stand.grow import classes
from woodlot.wood import wants

SPECIES = ["sugar maple", "northern white-cedar"]
TALLIED = pd.DataFrame(
    {"species": SPECIES * 3, "dbh_in": [8.0, 10.0, 12.0, 9.0, 16.0, 11.0], "height_ft": [60.0] * 6, "alive": True}
)
ANY = {"pieces": [{"product": "post", "number": 12, "wood": "any"}]}


def told(needs):
    """What is wanted by some needs, on a day without a ledger."""
    return wants.wanted(needs, [], [], pd.DataFrame(), date(2026, 11, 25), shipped("base"))


def numbers(needs):
    """Name -> number due in a plan of one year."""
    return {name: due[0] for name, due in wanted.by_period(told(needs), 2026, 1, 1).items() if name != wanted.HEAT}


def given(needs):
    """Pieces by class for some needs."""
    named = wanted.named(told(needs))
    return pieces.pieces_by_class(SPECIES, TALLIED, named, "210", 79.0, "international_quarter", region=shipped("base"))


def test_one_line_alone_is_cut_from_every_stem_by_hand():
    """Posts of 7 ft with 4-in tops: half (the straight share) of a whole number a tree; more in thicker trees until
    their butts are too thick to set, none in the thickest.
    """
    told = given({"posts": 12}).per_tree["lasting posts"]
    whole = told / chosen("straight_share", region=shipped("base"))
    assert np.allclose(whole, np.round(whole)) and told[1, 1] > 0
    most = int(told[1].argmax())
    assert (np.diff(told[1][: most + 1]) >= 0).all() and (np.diff(told[1][most:]) <= 0.5).all() and told[1, -1] == 0


def test_a_stem_is_not_counted_twice():
    """Posts and logs together hold no more wood than the stem: fewer posts than when posts alone are cut."""
    alone, both = given(ANY), given(ANY | {"sawlogs": 8})
    sizes = classes(region=shipped("base"))
    thin, thick = sizes <= 8, sizes >= 16
    assert (both.per_tree["posts"][:, thin] == alone.per_tree["posts"][:, thin]).all()
    less = alone.per_tree["posts"][:, thick] - both.per_tree["posts"][:, thick]
    assert (less >= 0).all() and (less > 0).any()
    assert (both.per_tree["sawlogs"][:, thin] == 0).all() and (both.per_tree["sawlogs"][:, thick] > 0).all()


def test_wood_in_a_post_is_about_a_cylinder_by_hand():
    """7 ft long, 4 in at its top and up to some 12 at the butt: .6 to 3.5 cubic feet, .008 to .045 cord of 79."""
    assert 0.008 < given({"posts": 12}).cords_each["lasting posts"] < 0.045


def test_a_wood_that_is_asked_for_is_the_only_one_that_gives():
    """Posts are of lasting wood, said or not: white-cedar gives them, sugar maple none unless any wood will do."""
    for needs in ({"pieces": [{"product": "post", "number": 10, "lasting": True}]}, {"posts": 10}):
        told = given(needs)
        assert told.per_tree["lasting posts"][0].sum() == 0 and told.per_tree["lasting posts"][1].sum() > 0
    assert (given(ANY).per_tree["posts"].sum(axis=1) > 0).all()


def test_lines_of_one_product_are_told_apart_and_firewood_is_not_among_them():
    """Two sizes of posts have their words for names, two woods their own; firewood and chips are left to the cords."""
    needs = {"firewood_cord": 7, "posts": 5, "pieces": [{"product": "post", "number": 3, "length_ft": 8, "top_in": 6}]}
    assert set(numbers(needs).values()) == {5.0, 3.0} and len(numbers(needs)) == 2
    assert numbers(ANY | {"posts": 5}) == {"posts": 12.0, "lasting posts": 5.0}
    assert numbers({"firewood_cord": 7, "chips_cuyd": 20}) == {}
    assert given({"firewood_cord": 7}).per_tree == {}


def test_names_are_those_of_the_list():
    """Poles and board feet."""
    assert numbers({"poles": 4, "sawlogs_bdft": 300}) == {"poles": 4.0, "sawn board feet": pytest.approx(300.0)}
