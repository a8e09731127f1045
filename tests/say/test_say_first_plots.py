"""Sentences on the first plots, each held whole."""

import pytest

from woodlot.say import first_plots as say


@pytest.mark.parametrize(
    ("kind", "name", "parcel", "words"),
    [
        ("home", "", "", "the house"),
        ("landing", "by the pines", "", "the landing by the pines"),
        ("landing", "", "", "the landing"),
        ("road", "Old road", "", "the end of Old road or where it meets the line"),
        ("road", "", "", "the end of the road or where it meets the line"),
        ("corner", "northwest", "Home forty", "the northwest corner of Home forty"),
        ("corner", "northwest", "", "the northwest corner"),
    ],
)
def test_a_point_that_can_be_found(kind, name, parcel, words):
    """By what it is and what the family calls it."""
    assert say.landmark(kind, name, parcel) == words


@pytest.mark.parametrize(
    ("over", "off", "end"),
    [
        (False, False, ""),
        (True, False, "; crosses water, go around"),
        (False, True, "; crosses other people's land, go around"),
        (True, True, "; crosses water and other people's land, go around"),
    ],
)
def test_the_way_to_a_plot(over, off, end):
    """Feet, whole degrees, from where, and what lies between; 359.7 degrees is 0."""
    assert say.way(1137.9, 239.7, "plot a-1", over, off) == f"1,138 feet at 240° from plot a-1{end}"
    assert say.check(12.2, 359.7, "the house") == "or 12 feet at 0° from the house"


def test_a_walk_and_its_time():
    """Two figures of feet, half hours."""
    told = say.a_round("the house", ["a-1", "a-2"], 2226.2, 112.3)
    assert told == "From the house to a-1, a-2: 2,200 feet there and back, 2 hours."
    assert [say.how_long(m) for m in (4, 60, 100)] == [
        "about half an hour without the drive",
        "about 1 hour without the drive",
        "about 1.5 hours without the drive",
    ]


def test_all_of_a_weekend():
    """What to do first, then what has no room and what waits; without plots only these."""
    told = say.weekend(["a", "b"], ["A walk."], {"c": 2}, ["d", "e"], 30.0, "chosen")
    assert told[:2] == ["Stands a, b, at 30 minutes a plot (chosen).", "A walk."]
    assert told[2].endswith("never move one to better trees.") and told[3].startswith("Carry the sheets")
    assert told[4:] == [
        "No room for plots off edge, water, roads and each other: stand c (2).",
        "Another weekend: stands d, e.",
    ]
    assert say.weekend([], [], {}, ["d"], 30.0, "chosen") == ["Another weekend: stand d."]
    assert say.number(1, 1) == "1 plot in 1 stand" and say.number(6, 2) == "6 plots in 2 stands"
