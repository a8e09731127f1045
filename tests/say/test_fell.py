"""Sentences on trees to fell, each by hand from its figures."""

import pytest

from woodlot.say import fell
from woodlot.wood.account import Left
from woodlot.wood.products import PostYears


@pytest.mark.parametrize(
    ("gap_pct", "proven", "stopped", "less", "end"),
    [
        (0.0, True, False, ", but for a percent given for fewer trees: ", ""),
        (0.0, True, True, ", but for a percent given for fewer trees: ", ""),
        (0.264, False, False, " by more than 0.3%: ", ""),
        (0.01, False, True, " by more than 0.1%: ", " The search ended at its node limit."),
    ],
)
def test_how_good_a_choice_of_trees_is(gap_pct, proven, stopped, less, end):
    """Proven; within a gap, never told as less than a tenth; stopped, which a proven one never was."""
    told = fell.to_fell(32, 120, 755.4, gap_pct=gap_pct, proven=proven, stopped=stopped)
    first = (
        "For the house, fell 32 of the 120. They hold 760 cubic feet of standing wood; no choice that gets this much "
    )
    first += f"gives up less{less}worth left standing first, then worth in cutting."
    assert told == first + end


def test_years_of_posts_with_the_mark_of_memory():
    """Two ends, one number, none known; only figures from memory carry the mark; no posts, no sentence."""
    posts = (
        PostYears("northern white-cedar", "resistant", 8.0, 15.0, "memory", 3),
        PostYears("balsam fir", "slightly or nonresistant", 4.0, 4.0, "read", 2),
        PostYears("red maple", None, None, None, None, 1),
    )
    first = "Years a post stands untreated in the ground, some far less: "
    assert fell.posts(posts) == f"{first}northern white-cedar 8 to 15 †, balsam fir 4, red maple not known."
    assert fell.posts(()) == ""


def test_what_is_left_by_hand():
    """Every figure of it to two places, each where it belongs."""
    left = Left(191.4, 497.6, 2583.9, 23.36, 40.92, 6.223, 1.562, 55521.7)
    assert fell.left(left) == (
        "From the trees on the sheet: 6.2 cords of firewood from stems and about 1.6 from limbs over 3 inches (half to "
        "one and a half of that, assumptions). Left over: brush that piles up to 500 to 2,600 cubic feet; chips, 23 to "
        "41 cubic yards, if brush and stems marked for it are chipped (assumptions). Green the trees weigh about "
        "56,000 pounds."
    )


def test_what_all_trees_become():
    """The list first where all are felled; the rule and the cord by name; rot that nobody judged is counted."""
    assert fell.becomes(False) == "Cut up for the best use of each, all of them would become:"
    assert fell.becomes(True).startswith("Cut up for what the house needs first, then for the best use of each, all ")
    told = fell.measured(1608.1, 1666.3, 3134.2, "doyle", 79.0)
    for part in ("hold 1,600 cubic feet", "equation 1,700:", "scale 3,100 board feet, Doyle rule.", "79 cubic feet of"):
        assert part in told
    assert fell.not_judged(4) == "Rot was not judged on 4 trees: gross there, no defect taken off."
    assert fell.not_judged(0) == ""


def test_trees_for_others_by_name():
    """Name, species and why; nothing where there are none."""
    trees = [("6", "white ash", "dead ash"), ("8", "red oak", "leaning")]
    assert fell.not_by_hand(trees) == "6 (white ash, dead ash), 8 (red oak, leaning)."
    assert fell.not_by_hand([]) == ""


def test_a_crook_with_its_place_limits_nothing_else():
    """Nothing is cut across it, and no more is said; with poor form beside it the limits of that stand."""
    free = {"longest_log_ft": 16, "best_grade": 1, "longest_post_ft": 9, "poles": True}
    here = {"fork": False, "from_ft": 18, "to_ft": 22, "first_ft_to_stove": 0, "scale_left_share": 1}
    assert fell.cut_short("crook", **here, **free) == "crook noted from 18 to 22 ft: nothing is cut across it"
    poor = free | {"longest_log_ft": 10, "best_grade": 2, "longest_post_ft": 7, "poles": False}
    assert fell.cut_short("crook; poor form", **here, **poor).endswith(
        "nothing is cut across it: logs to 10 ft, at best grade 2, posts to 7 ft, no poles"
    )
