"""What to measure beside the count, in words and in the answer of ``cruise``."""

import pytest

from woodlot import place
from woodlot.answers.cruise import cruise_answer
from woodlot.say import measuring
from woodlot.season import season


def test_how_many_trees_are_told_in_whole_trees_and_points():
    """Two trees on every third point; one on each."""
    assert measuring.rule(2, 3) == "measure about 2 trees on every third point"
    assert measuring.rule(1, 1) == "measure about 1 tree on every point"


def test_which_trees_are_told_by_their_distance():
    """Four times the factor is half the distance; nine times a third of it."""
    assert measuring.larger(4.0) == "those within half the distance at which they are just in"
    assert "33% of the distance" in measuring.larger(9.0)


@pytest.mark.parametrize(
    ("here", "cover", "cv", "open_", "words"),
    [
        (3, 3, 0.11547, True, "3 heights measured; 10 would bring the volume table's error from 11.5 to 10.5%, then"),
        (0, 0, 0.1487, True, "no height measured; 10 would bring the volume table's error from 14.9 to 10.5%"),
        (2, 20, 0.1056, True, "2 heights measured, 20 in all of its cover: the table's error is 10.6%; a few of each"),
        (12, 12, 0.1041, False, "12 heights measured: enough. More would leave the table's error at 10.4%"),
    ],
)
def test_heights_are_told_until_they_tell_no_more(here, cover, cv, open_, words):
    """What there is, what more would bring, and that only a woodpile helps then."""
    told = measuring.heights("4", here, cover, cv, 0.10488, 10, open_)
    assert told.startswith(f"Stand 4: {words}") and (not open_ or cv < 0.106 or "woodpile" in told)


def test_kinds_wanted_in_a_few_words():
    """Kinds by name, the rest of any kind; nothing where none is wanted."""
    assert measuring.wanted([("oak", 2), ("ash", 1), ("", 4)]) == "2 of oak, 1 of ash and 4 of any kind"
    assert measuring.wanted([]) == ""


def test_cruise_tells_of_every_stand_what_to_measure(samples):
    """Each stand asked for has its heights; one of them is told as it stands in the tables; the rule is the place's."""
    asked = season(place.read(samples / "otter_lake"))
    told = cruise_answer(asked, None, "4").measuring
    (one,) = told.heights
    trees = asked.standing.trees
    measured = (trees["stand_id"] == "4") & trees["alive"] & (trees["height_from"] == "measured")
    assert one.stand_id == "4" and one.here == measured.sum() > 0
    assert told.words.startswith(f"Count the trees on every point and {told.rule}, those within half the distance")
    assert all(kind.more > 0 for kind in one.wanted)
