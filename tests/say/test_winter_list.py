"""What is said of this winter's work, word for word: headline, tasks, sum, how tally and plan share what is wanted."""

from dataclasses import replace

import pytest

from woodlot.plan.winter_list import Task, Want, WinterList
from woodlot.say import winter_list as say

UNITS = {"lasting posts": "pieces", "firewood": "full cords", "chips": "cubic yards"}


def task(kind, stand="1", **more):
    """One thing to do: ten trees of the tally, or a stand of the plan."""
    tally = kind in say.TALLY
    return Task(
        **{
            "kind": kind,
            "stand_id": stand,
            "parcel_id": "home",
            "trees": 10.0,
            "tree_names": ("1", "2") if tally else (),
            "not_by_hand": 0,
            "cords": 3.04,
            "firewood_cords": 2.0,
            "heat_mmbtu": 40.0,
            "bdft": 0.0,
            "days": 3.04,
            "gives": {"firewood": 2.0},
            "acres": None if tally else 0.52,
            "way": "" if tally else "thin",
            "leave_sqft_per_ac": None if tally else 80.0,
            "ft_from_road": 120.0,
            "miles_from_home": None,
            "months": "November to March",
            "cautions": (),
        }
        | more
    )


def listed(*tasks, wants=(), have=None, tallied=0, marked=0):
    """A list of tasks."""
    return WinterList(tasks, wants, have, tallied, marked)


@pytest.mark.parametrize(
    ("tasks", "stands", "plots_ac", "put", "said"),
    [
        ((), 3, 0.0, "", "No plots yet. Put three in the largest stand for a first figure."),
        ((), 3, 0.0, "6 plots", "You have not measured enough to say. This weekend: 6 plots."),
        ((), 3, 9.0, "6 plots", "Cut nothing this winter."),
        ((task("cut"),), 1, 9.0, "", "Cut in one stand this winter."),
        ((task("cut"),), 2, 9.0, "", "Cut in one stand this winter. Leave the other stand."),
        (
            (task("cut", "1"), task("cut", "2")),
            4,
            9.0,
            "",
            "Cut in two stands this winter. Leave the other two stands.",
        ),
        ((task("salvage"),), 15, 9.0, "", "Cut in one stand this winter. Leave the other 14 stands."),
        (
            (task("fell"), task("cut", "8")),
            19,
            9.0,
            "",
            "Fell 10 trees of the tally in stand 1 and cut in one stand this winter. Leave the other 17 stands.",
        ),
        (
            (task("clear"), task("fell"), task("fell", "2")),
            3,
            9.0,
            "",
            "Fell 30 trees of the tally in two stands this winter. Leave the other stand.",
        ),
        ((task("fell", ""),), 2, 9.0, "", "Fell 10 trees of the tally this winter. Leave the other two stands."),
        (
            (task("fell", trees=1.0),),
            2,
            0.0,
            "6 plots",
            "Fell 1 tree of the tally in stand 1 this winter. Beyond them you have not measured enough to say. "
            "This weekend: 6 plots.",
        ),
    ],
)
def test_the_decision_in_one_line_by_hand(tasks, stands, plots_ac, put, said):
    """So many stands, acres with plots, plots for the weekend."""
    assert say.headline(listed(*tasks), stands, plots_ac, put) == said


@pytest.mark.parametrize(
    ("of", "said"),
    [
        (
            task("fell", gives={"lasting posts": 12.0, "firewood": 2.04, "chips": 0.01}, bdft=180.0),
            "Fell 10 trees of the tally in stand 1, Home: 3.0 cords of wood, 180 board feet in logs, 3.0 days of work. "
            "For 12 lasting posts and 2.0 cords of firewood. 120 feet from the road, November to March.",
        ),
        (
            task("clear", gives={}, not_by_hand=1, ft_from_road=0.0),
            "Fell 10 trees on ground to be cleared, stand 1, Home: 3.0 cords of wood, 3.0 days of work. Along the "
            "road, November to March. 1 more there is not for hand felling.",
        ),
        (
            task("cut", "8", trees=61.4, gives={"lasting posts": 1.2}, ft_from_road=None),
            "Thin 1/2 acre of stand 8, Home, leave 80 sq ft an acre, about 61 trees: up to 3.0 cords of wood, 3.0 "
            "days of work. For 1 lasting post. November to March.",
        ),
        (
            task("salvage", way="patches", leave_sqft_per_ac=None, any_cover=True, ft_from_road=1.0),
            "Salvage: cut a patch of 1/2 acre of stand 1, Home, about 10 trees: up to 3.0 cords of wood, 3.0 days of "
            "work. Its cover is not known, so the rule for any other cover is used: write its cover first. For 2.0 "
            "cords of firewood. 1 foot from the road, November to March.",
        ),
    ],
)
def test_a_task_whole_by_hand(of, said):
    """What, what for, how much, how long, how far and when."""
    assert say.task(of, "Home", UNITS) == said
    assert said.startswith(say.title(of)) and say.why_here(of).endswith(".")


WOOD = Want("firewood", "full cords", 7.0, 6.1, 0.9)
POSTS = Want("lasting posts", "pieces", 12.0, 12.0, 0.0)


@pytest.mark.parametrize(
    ("wants", "stands", "said"),
    [
        ((replace(WOOD, from_tally=7.0), POSTS), (), "The tally's 30 trees give all that is wanted this winter."),
        (
            (WOOD, POSTS),
            ("8",),
            "The tally's 30 trees give 6.1 of the 7.0 cords of firewood and 12 lasting posts; stand 8 gives the rest.",
        ),
        (
            (replace(WOOD, from_jobs=0.4),),
            ("8", "9"),
            "The tally's 30 trees give 6.1 of the 7.0 cords of firewood; stands 8 and 9 give 0.40 cords of firewood; "
            "short: 0.50 cords of firewood.",
        ),
        (
            (replace(WOOD, from_jobs=0.0),),
            (),
            "The tally's 30 trees give 6.1 of the 7.0 cords of firewood; short: 0.90 cords of firewood.",
        ),
        ((replace(WOOD, from_tally=0.0),), ("8",), ""),
    ],
)
def test_how_tally_and_plan_share_what_is_wanted(wants, stands, said):
    """All from the tally, the rest from a stand, some of it, none; no sentence where the tally gives nothing."""
    assert say.fits(30, wants, stands) == said
    assert say.fits(0, wants, stands) == ""


def test_the_row_names_five_tasks_their_sum_and_what_is_short():
    """Cords of all beside the days there are; the sixth task is in the report; trees that stay are told."""
    six = listed(
        *(task("fell", str(n)) for n in range(6)), wants=(POSTS, replace(WOOD, from_jobs=0.0)), have=16.0, marked=4
    )
    words = [say.brief(one, "Home") for one in six.tasks]
    number, beside, why = say.row(replace(six, tallied=64), words)
    assert (number, beside) == ("18 cords", "18 days of work, 2.2 days more than you have")
    assert why.splitlines() == [
        *(
            f"{n}. Fell 10 trees of the tally in stand {n - 1}, Home: 3.0 cords of wood, 3.0 days of work."
            for n in range(1, 6)
        ),
        "1 more task in the report.",
        "Short: 0.90 cords of firewood.",
        "4 more trees of the tally are marked and can stay.",
    ]
    lost = say.row(replace(six, tallied=64, losing=("15",)), words)[2]
    assert lost.splitlines()[-1] == "In stand 15 trees die or break up: that wood is lost if nobody takes it."
    alone = say.row(replace(six, tasks=six.tasks[:1]), words[:1])
    assert alone[2].splitlines()[0] == words[0] and say.task(six.tasks[0], "Home", UNITS).startswith(words[0])


def test_the_row_names_two_things_short():
    """The others are counted; a name with a comma of its own is set apart; one piece is one post."""
    short = [Want(f"posts {n} ft by 4 in top, lasting wood", "pieces", float(n), 0.0, 0.0) for n in (1, 7, 8, 9)]
    of = listed(task("cut"), wants=tuple(short))
    assert say.row(of, ["Cut."])[2].splitlines()[1] == (
        "Short: 1 post 1 ft by 4 in top, lasting wood; 7 posts 7 ft by 4 in top, lasting wood; and 2 more lines."
    )
    three = say.row(listed(task("cut"), wants=tuple(short[:3])), ["Cut."])[2]
    assert three.endswith("; and 1 more line.") and "8 posts" not in three


@pytest.mark.parametrize(
    ("of", "said"),
    [
        (listed(wants=(POSTS,)), "No stand is due, or none is measured enough to plan a cut on."),
        (listed(), "Nothing that is wanted asks for wood."),
        (
            listed(tallied=9, marked=8),
            "Nothing that is wanted asks for wood. 8 trees of the tally are marked; nothing is wanted, so none need "
            "fall.",
        ),
        (
            replace(listed(wants=(POSTS,)), losing=("15", "19")),
            "No stand is due, or none is measured enough to plan a cut on. In stands 15 and 19 trees die or break up: "
            "that wood is lost if nobody takes it.",
        ),
        (
            listed(tallied=1, marked=1, wants=(POSTS,)),
            "No stand is due, or none is measured enough to plan a cut on. 1 tree of the tally is marked; what is "
            "wanted takes none of them.",
        ),
    ],
)
def test_nothing_this_winter(of, said):
    """Without tally and plan; with marked trees and no wants."""
    assert say.row(of, []) == ("Nothing", "", said)


def test_what_falls_of_the_tally_goes_before_what_the_plan_has():
    """Both kinds in one sentence; nothing for a job of the schedule."""
    said = say.fell_first([task("clear"), task("fell", trees=1.0), task("cut")])
    assert said == (
        "This winter: fell 10 trees on ground to be cleared, 3.0 cords of wood; fell 1 tree of the tally, 3.0 cords of "
        "wood."
    )
    assert say.fell_first([task("cut")]) == ""
