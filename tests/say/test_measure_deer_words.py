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
    told = said(reason("worth measuring", what=what, narrower_pct=12.6, now=(0.0, 0.556), hours=8, level=0.9))
    assert (
        told == f"{words} would narrow the range of does that your ground can give (0.00 to 0.56 a year, 90%) by 13%."
    )


@pytest.mark.parametrize(
    ("hours", "words"),
    [(0.5, "half an hour"), (1, "an hour"), (4, "about 4 hours"), (9.6, "a day"), (12.8, "about 13 hours")],
)
def test_hours_in_words(hours, words):
    """What narrows by less than three of a hundred hardly narrows."""
    what = reason("measure state")
    told = said(reason("worth measuring", what=what, narrower_pct=2.4, now=(0.1, 0.4), hours=hours, level=0.6))
    start = f"state_per_sqmi), {words}, would hardly narrow the range of does that your ground can give"
    assert told.endswith(f"{start} (0.10 to 0.40 a year, 60%).")
