"""What to measure next of the deer, and the season's meat, in words."""

import pytest

from woodlot.estimate import reason
from woodlot.say.reasons import said


@pytest.mark.parametrize(
    ("what", "words"),
    [
        (reason("measure lines", more=0, plots=100), "Next spring's pellets on 100 plots as last time, a day,"),
        (reason("measure lines", more=1, plots=120), "Next spring's pellets with one line more, 120 plots, a day,"),
        (reason("measure lines", more=3, plots=160), "Next spring's pellets with 3 lines more, 160 plots, a day,"),
        (reason("measure first pellets", plots=100), "Pellets on 100 plots next spring (pellets.csv), a day,"),
        (
            reason("measure camera weeks", weeks=4.0),
            "4 camera weeks from August to October (counts.csv), a day,",
        ),
        (reason("measure ages", bucks=5.0), "The ages of 5 bucks killed (bag.csv, age_yr), a day,"),
        (
            reason("measure kill"),
            "What neighbors or the unit take a square mile (place.toml, neighbor_bucks_per_sqmi and "
            "neighbor_does_per_sqmi), a day,",
        ),
        (reason("measure state"), "The state's own figure for the unit (place.toml, state_per_sqmi), a day,"),
        (
            reason("measure complete"),
            "A drive or snow walk in winter that misses no deer of your ground (counts.csv, acres and complete), a "
            "day,",
        ),
        (reason("measure winter", winter=2025), "The points of the winter that began in 2025 (winters.csv), a day,"),
        (reason("measure stand", hours=40.0), "40 hours in a stand with the deer seen (counts.csv), a day,"),
    ],
)
def test_each_way_names_where_it_is_written(what, words):
    """What it is, in which file, and the hours, before what it would do."""
    rates = {"now": (0.0, 0.556), "then": (0.021, 0.47), "hours": 8, "level": 0.9}
    assert said(reason("worth measuring", what=what, first=False, **rates)) == (
        f"{words} would make that about 0.2 to 4.7."
    )
    assert said(reason("worth measuring", what=what, first=True, **rates)) == (
        f"This ground can give none to 5.6 does in ten years (90%). {words} would make that about 0.2 to 4.7."
    )


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0.5, "half an hour"), (1, "an hour"), (4, "about 4 hours"), (9.6, "a day"), (12.8, "about 13 hours")],
)
def test_hours_in_words(hours, words):
    """What leaves the range as it is, once it is told in words, hardly moves it."""
    facts = {"what": reason("measure state"), "now": (0.102, 1.21), "hours": hours, "level": 0.6, "first": False}
    told = said(reason("worth measuring", then=(0.104, 1.19), **facts))
    assert told.endswith(f"state_per_sqmi), {words}, would hardly move that.")
    told = said(reason("worth measuring", then=(0.106, 1.14), **facts))
    assert told.endswith(f"{words}, would make that about 1.1 to 11.")
