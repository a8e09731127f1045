"""The hunt in words: the season's number and its share, neighbors, chances, meat, what to measure."""

import pytest

from woodlot.estimate import reason
from woodlot.say.hunt import every
from woodlot.say.reasons import said


def season(one, whole, per_yr, wait=3, owed=None, gone=0.0, **more):
    """The words of a season."""
    return said(reason("season", one=one, whole=whole, per_yr=per_yr, wait=wait, owed=owed, gone=gone, **more))


def test_the_words_of_a_season():
    """How many more, of which share, when the next is due; what holds the share down, and a wish that does not act."""
    assert season("doe", 1, 0.45) == "1 doe at most; your share is about one doe every second year."
    assert season("buck", 2, 2.5, gone=1).startswith("2 more bucks at most; your share is about ")
    assert season("doe", 0, 0.11) == ("No doe; your share is one doe in about 9 years, the next due in about 3 falls.")
    assert season("doe", 0, 1.0, wait=1, gone=1) == (
        "No more does, 1 taken; your share is about one doe a year, the next due next fall."
    )
    assert season("doe", 0, 0.4, owed=(2.0, 2023, 0.84)).startswith(
        "No doe: 2 taken since 2023, the share gave 0.8; your share is "
    )
    assert season("doe", 0, 0.4, owed=(2.0, 2023, 0.0)).startswith(
        "No doe: 2 taken since 2023, the share gave none; your share is "
    )
    assert season("buck", 0, 0.4, gone=1.0, owed=(3.0, 2024, 2.0)).startswith(
        "No more bucks, 1 taken: 3 taken since 2024, the share gave 2.0; your share is "
    )
    long = season("doe", 1, 1.0, halved=True, capped=True, lower=True, refused=reason("more refused"))
    assert long == (
        "1 doe at most; your share is about one doe a year. It is held down by the lower one of counts that disagree, "
        "the risk for the herd and neighbors who take more does than it can give (halved). You wish for more deer, but "
        "the next forest is held down by deer: the take holds the herd where it is."
    )


def test_no_fall_is_named_beyond_fifteen():
    """A wait of 15 falls is told, one of 16 is not; nor a rate of one in more years. A group's is the group's."""
    assert season("doe", 0, 0.1, wait=15).endswith("one doe in about 10 years, the next due in about 15 falls.")
    assert season("doe", 0, 0.1, wait=16).endswith("one doe in about 10 years, none due within 15 falls.")
    assert season("doe", 0, 0.06, wait=20, owed=(3.0, 2021, 1.26), together=True) == (
        "No doe: 3 taken since 2021, the share gave 1.3; your group's share is under one doe in 15 years, none due "
        "within 15 falls."
    )
    assert season("doe", 1, 0.02, wait=40) == "1 doe at most; your share is under one doe in 15 years."


@pytest.mark.parametrize(
    ("rate", "words"),
    [
        (0.0, "no doe"),
        (0.17, "one doe in about 6 years"),
        (0.11, "one doe in about 9 years"),
        (0.24, "about one doe every fourth year"),
        (0.35, "about one doe every third year"),
        (0.67, "about 2 does in 3 years"),
        (0.95, "about one doe a year"),
        (1.4, "about 3 does in 2 years"),
        (2.1, "about 2 does a year"),
    ],
)
def test_rates_in_words(rate, words):
    """Whole deer in whole years."""
    assert every(rate, "doe") == words


NEIGHBORS = {"used_ac": 1634.4, "share_pct": 9.6, "give": (3.26, 2.05), "around": (0.34, 1.2)}
CLOSED = {"why": "under reference", "under": 0.6, "years": (2021, 2023), "odds": 0.7, "points": 1.2}


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (
            reason("neighbors", **NEIGHBORS, wrote=(None, None)),
            "The deer that come here use about 1,634 acres; yours are 10% of them. That ground can give about 3.3 does "
            "and 2.0 bucks a year, to all who hunt there. Neighbors take about 0.3 does and 1.2 bucks a square mile "
            "(as the counts have it; ask for the unit’s figures).",
        ),
        (
            reason("neighbors", **NEIGHBORS, wrote=(0.4, 2.4), together=True),
            "The deer that come here use about 1,634 acres; your group's are 10% of them. That ground can give about "
            "3.3 does and 2.0 bucks a year, to all who hunt there. You wrote that neighbors take 0.4 does and 2.4 "
            "bucks a square mile; herds that last here and show these counts bear about 0.3 does and 1.2 bucks, and "
            "the take reckons with that.",
        ),
        (
            reason("neighbors", **NEIGHBORS, wrote=(0.3, 1.2), anew=True),
            "The deer that come here use about 1,634 acres; yours are 10% of them. That ground can give about 3.3 does "
            "and 2.0 bucks a year, to all who hunt there. Neighbors take 0.3 does and 1.2 bucks a square mile from "
            "this fall on, as you wrote.",
        ),
        (
            reason("closed", **CLOSED),
            "Closed: the herd is probably under 60% of 2021-23. Your closing alone changes little; talk with the "
            "neighbors.",
        ),
        (
            reason("closed", **CLOSED | {"odds": 0.36, "points": 4.2, "years": (2021, 2021)}),
            "Closed: the herd is perhaps (36 in 100) under 60% of 2021. Your share, taken each fall all the same, adds "
            "4 in 100 to the chance that it halves; talk with the neighbors.",
        ),
        (
            reason("closed", **CLOSED | {"why": "under last fall", "under": 0.75}),
            "Closed: the herd is probably under 75% of last fall's. Your closing alone changes little; talk with the "
            "neighbors.",
        ),
        (
            reason("closed", **CLOSED | {"points": 4.2}, together=True),
            "Closed: the herd is probably under 60% of 2021-23. Your group's share, taken each fall all the same, adds "
            "4 in 100 to the chance that it halves; talk with the neighbors.",
        ),
        (
            reason("risk too high", one="buck", points=5.0),
            "No buck this season: even a small share would add more than 5 in 100 to the chance that the herd halves "
            "in ten years.",
        ),
        (
            reason("too little ground", one="buck"),
            "No buck: too little ground for a buck of its own; neighbors who count and plan together with you would "
            "have one to share.",
        ),
        (
            reason("fewer asks more", pressed=False, many=False, bears=18.0, together=False, sqmi=5.0),
            "You wish for fewer deer; still missing: browsing at 4 or 5, or a forest held down by deer, two springs "
            "running; more than 18 deer a square mile in winter; neighbors who join in (neighbors_join = true), "
            "without whom under 5 square miles nothing moves. Until then the take holds the herd.",
        ),
        (reason("no tag", one="buck"), "No buck: there is no buck tag."),
        (
            reason("not measured", of="does", why="No plots were counted."),
            "Not measured enough to name does. No plots were counted.",
        ),
        (
            reason("no chance", why="No plots were counted."),
            "No chance is given. No plots were counted.",
        ),
        (
            reason("chances", halved=0.312, falls=0.47, halved_alone=0.2, falls_alone=0.4),
            "Herd halves in ten years: neighbors hunt, you do not, 20 in 100; you too, 31. Smaller next fall: 40 in "
            "100; you too, 47.",
        ),
        (
            reason(
                "long run", top=6.5, ends=(3.0, 11.0), flat=(4.0, 9.0), slide=16.0, times=1.84, years=60, left_pct=7
            ),
            "In the long run most meat comes from 6 of 100 does a fall, taken by everybody (3 to 11, assumptions); 4 "
            "to 9 give nearly as much. At 16 of 100 the first ten years give 1.8 times as much meat, and the herd "
            "slides: after 60 years 7% of its does are left.",
        ),
    ],
)
def test_a_sentence_of_the_hunt(why, words):
    """From facts to words, whole."""
    assert said(why) == words
