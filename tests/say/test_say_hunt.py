"""The hunt in words: the season's number and its share, neighbors, chances, meat, what to measure."""

import pytest

from woodlot.estimate import reason
from woodlot.say.hunt import every
from woodlot.say.reasons import said


def season(one, whole, left, per_yr, gone=0.0, too_small=None):
    """The words of a season whose fractions are kept five years."""
    facts = {"one": one, "whole": whole, "left": left, "per_yr": per_yr, "gone": gone, "too_small": too_small}
    return said(reason("season", years=5, **facts))


def test_the_words_of_a_season():
    """How many more, of which share; a share that never makes a deer is not told as one in eight years."""
    assert season("doe", 1, 0.2, 0.45) == (
        "1 doe at most this season. This ground's share is about one doe every second year; fractions are carried "
        "5 years."
    )
    assert season("doe", 1, 0.0, 1.0).endswith("5 years, deer that were not taken are not.")
    assert season("buck", 2, 0.2, 2.5, gone=1).startswith("2 more bucks at most this season.")
    assert season("doe", 0, 0.2, 1.0, gone=1).startswith("No more does this season: 1 taken.")
    assert season("doe", 0, -0.6, 0.4, gone=1).startswith("No doe this season: more than the share")
    small = reason("neighbors leave none", one="doe", years=5)
    assert season("doe", 0, 0.12, 0.12, too_small=small) == f"No doe this season. {said(small)}"
    kept = "1 doe at most this season, of fractions kept from better years."
    assert season("doe", 1, 0.1, 0.12, too_small=small) == f"{kept} {said(small)}"


@pytest.mark.parametrize(
    ("rate", "words"),
    [
        (0.0, "no doe"),
        (0.17, "one doe in 6 years"),
        (0.24, "one doe every fourth year"),
        (0.35, "one doe every third year"),
        (0.67, "2 does in 3 years"),
        (0.95, "one doe a year"),
        (1.4, "3 does in 2 years"),
        (2.1, "2 does a year"),
    ],
)
def test_rates_in_words(rate, words):
    """Whole deer in whole years."""
    assert every(rate, "doe") == words


NEIGHBORS = {"used_ac": 1634.4, "share_pct": 9.6, "none": (3.26, 2.05), "local": (0.0, 1.44), "around": (0.35, 1.2)}


@pytest.mark.parametrize(
    ("why", "words"),
    [
        (
            reason("neighbors", **NEIGHBORS, known=False),
            "The deer that come here use about 1,634 acres; yours are 10% of them. If no neighbor took any, that "
            "ground could give 3.3 does and 2.0 bucks a year; at 0.3 does and 1.2 bucks a square mile (assumed) 0.0 "
            "and 1.4 are left. Neighbors and state rules decide too.",
        ),
        (
            reason("thin herd", one="buck", years=5),
            "The herd is too thin for a buck: all the ground these deer use would give less than one in 5 years, "
            "hunted by nobody else. Only more deer would change that.",
        ),
        (
            reason("neighbors take all", known=False),
            "No doe this season. What the neighbors take is already as much as the herd can bear. Their does are "
            "assumed; ask for the unit's figure.",
        ),
        (
            reason("neighbors take all", known=True),
            "No doe this season. What the neighbors take is already as much as the herd can bear.",
        ),
        (reason("no tag", one="buck"), "No buck this season: there is no buck tag."),
        (
            reason("not measured", of="does", why=reason("old count", year=2020)),
            "Not measured enough to name does. The last count is of 2020: too old to set a take on.",
        ),
        (
            reason("no chance", why=reason("old count", year=2020)),
            "No chance is given. The last count is of 2020: too old to set a take on.",
        ),
        (
            reason("chances", halved=0.312, falls=0.47, halved_alone=0.2, falls_alone=0.4),
            "With this take the herd is under half of today's in ten years in 31 of 100 cases (assumptions), with no "
            "hunting by anybody in 20; it is smaller next fall in 47, with no hunting in 40.",
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
