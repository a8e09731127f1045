"""What-ifs in words, from made-up outcomes: what is told of each, what changes now, and what nobody knows."""

import pandas as pd
import pytest

from woodlot.estimate import Number
from woodlot.plan.what_ifs import Outcome
from woodlot.region import shipped
from woodlot.say.what_ifs import headline, left_out, no_need, tally_on_top, than_planned, told
from woodlot.trade import WHAT_IFS

REGION = shipped("lake_states")


def outcome(**changes) -> Outcome:
    """1,000 cords at the end of fifty years, 60 cut in the next ten, no ash."""
    told_of = {
        "years": 50,
        "stock_cords": (800.0, 1000.0, 1200.0),
        "growth_cords": (8.0, 10.0, 12.0),
        "cut_cords": (5.0, 6.0, 7.0),
        "bdft": (8e4, 1e5, 1.2e5),
        "days": (6.0, 7.0, 8.0),
        "young_trees": (80.0, 100.0, 120.0),
        "deer": None,
        "short_cords": 0.0,
        "soon": pd.Series({"1": 60.0}),
        "ash_cords": 0.0,
        "ash_dying_cords": 0.0,
    }
    return Outcome(**{**told_of, **changes})


PLAN = outcome()
NOW = "In the next 10 years"
CASES = {
    "less-firewood": (
        outcome(stock_cords=(900.0, 1100.0, 1300.0), soon=pd.Series({"1": 30.0})),
        0.5,
        "The house asks for 3.0 cords a year instead of 6.0. In 50 years 1,100 cords would stand, 100 more than "
        f"planned. {NOW} 30 cords would be cut instead of 60.",
    ),
    "more-firewood": (
        outcome(stock_cords=(700.0, 900.0, 1100.0), soon=pd.Series({"1": 60.0, "4": 30.0}), short_cords=0.5),
        0.33,
        "The house asks for 9.0 cords a year instead of 6.0. 0.50 cords of it a year would be missing. In 50 years 900 "
        f"cords would stand, 100 fewer than planned. {NOW} 90 cords would be cut instead of 60, also in stand 4.",
    ),
    "ash-gone": (
        outcome(ash_cords=40.0, ash_dying_cords=10.0, saved=(9.0, 10.0, 11.0), lost=(29.0, 30.0, 31.0)),
        0.0,
        "40 cords of ash stand today, and nearly all of it dies within 3 to 10 years: 10 cords of it would be cut in "
        "time, 30 would die standing, 5.0 winters of firewood. 10 of them stand where ash dies already, which the plan "
        "counts on. In 50 years about as much wood would stand as planned. The next 10 years stay as planned.",
    ),
    "browse-unchecked": (
        outcome(young_trees=(0.0, 0.0, 12.0)),
        0.0,
        "No young tree reaches 5 inches in 50 years; as planned 100 an acre do. In 50 years about as much wood would "
        "stand as planned. The next 10 years stay as planned.",
    ),
    "deer-fenced": (
        outcome(young_trees=(140.0, 150.0, 160.0), stock_cords=(850.0, 1050.0, 1250.0)),
        0.0,
        "Deer get nothing behind the fence, which goes round all stands. 150 young trees an acre reach 5 inches in 50 "
        "years; as planned 100 an acre do. In 50 years 1,000 cords would stand, 50 more than planned. The next 10 "
        "years stay as planned.",
    ),
    "dry-decade": (
        outcome(stock_cords=(600.0, 900.0, 1200.0), soon=pd.Series({"1": 54.0})),
        0.1,
        "For 10 years trees grow 25% less (10 to 40) and 0.5 in 100 more die each year (0.2 to 1); then years are as "
        "usual. In 50 years 900 cords would stand, 100 fewer than planned. Made as planned, the cuts of the next 10 "
        "years give 54 cords instead of 60.",
    ),
    "windstorm": (
        outcome(lost=(100.0, 200.0, 300.0), saved=(30.0, 100.0, 210.0), stock_cords=(600.0, 800.0, 1000.0)),
        0.0,
        "200 cords (100 to 300, assumptions) would lie before the first winter. 100 cords (30 to 210, assumptions) of "
        "it may be whole and in reach; for 2 winters it can be brought home before it rots: do that before any other "
        "cut. The house burns 12 cords in that time; more than that wants a buyer or rots. That wood and its days are "
        "in no column. In 50 years 800 cords would stand, 200 fewer than planned.",
    ),
}


@pytest.mark.parametrize("name", WHAT_IFS)
def test_each_scenario_in_words(name):
    """Word for word, from a made-up outcome; what is not known is never left out."""
    one, moved, words = CASES[name]
    said, unknown = told(name, one, PLAN, 6.0, moved, REGION)
    assert said == words
    assert len(unknown.split()) > 8 and unknown.endswith(".") and unknown[0].islower()


def test_what_there_is_none_of():
    """No ash, no saplings that were counted, no thrown wood, nothing cut: told, and never a number of it."""
    ash, _ = told("ash-gone", outcome(saved=(0.0,) * 3, lost=(0.0,) * 3), PLAN, 6.0, 0.0, REGION)
    assert ash.startswith("No ash stood on any plot.")
    every = outcome(ash_cords=5.0, ash_dying_cords=5.0, saved=(0.0,) * 3, lost=(5.0,) * 3)
    assert (
        "none of it is cut in time, 5.0 would die standing. All of it stands"
        in told("ash-gone", every, PLAN, 0.0, 0.0, REGION)[0]
    )
    bare = outcome(young_trees=(0.0,) * 3)
    assert told("browse-unchecked", bare, bare, 6.0, 0.0, REGION)[0].startswith("The plan already counts on no young")
    assert "In the woods nothing moves" in told("deer-fenced", PLAN, PLAN, 6.0, 0.0, REGION)[0]
    little = outcome(lost=(4.0, 8.0, 9.0), saved=(1.0, 4.0, 5.0))
    assert "so all of it may be burned" in told("windstorm", little, PLAN, 6.0, 0.0, REGION)[0]
    assert "The house" not in told("windstorm", little, PLAN, 0.0, 0.0, REGION)[0]
    none = outcome(soon=pd.Series(dtype=float))
    assert "Made as planned" not in told("dry-decade", none, none, 6.0, 0.0, REGION)[0]
    assert "give about as much as planned." in told("dry-decade", PLAN, PLAN, 6.0, 0.0, REGION)[0]


def test_the_headline_names_what_changes_the_next_ten_years():
    """None, some, all of them, and none asked for."""
    stock = Number(1000.0, 800.0, 1200.0, "cords", "assumptions")
    stands = "As planned 1,000 cords (800 to 1,200, assumptions) would stand in 50 years."
    assert headline(stock, 50, []) == stands
    none = headline(stock, 50, [("ash gone", False)])
    assert none == f"{stands} None of these changes what to do in the next ten years."
    some = headline(stock, 50, [("ash gone", True), ("dry decade", False)])
    change = "What to do in the next ten years would change with ash gone"
    assert some == f"{stands} {change}, not with the others."
    assert headline(stock, 50, [("ash gone", True)]) == f"{stands} {change}."


def test_what_is_beside_the_table():
    """Differences under half a hundredth are none; stands, needs and a tally that are in no row."""
    assert [than_planned(more, 1000.0) for more in (4.9, -4.9, 6.0, -60.0)] == [
        "as planned",
        "as planned",
        "6.0 more",
        "60 fewer",
    ]
    assert left_out(1, 3) == "1 of 3 stands has no plot and is in none of this."
    assert left_out(2, 3) == "2 of 3 stands have no plots and are in none of this."
    assert no_need(["less firewood"]).startswith("Not shown: less firewood. The house asks for no firewood")
    assert "9.2 cords, are on top in every row" in tally_on_top(9.2)


def test_as_many_cords_from_other_stands_are_told_by_stand():
    """Ten of sixty cords move from one stand to another that is cut as well: no number stands beside itself."""
    plan = outcome(soon=pd.Series({"1": 40.0, "4": 20.0, "7": 0.1}))
    other = outcome(soon=pd.Series({"1": 30.0, "4": 30.0, "7": 0.2}))
    words, _ = told("browse-unchecked", other, plan, 6.0, 0.33, REGION)
    assert words.endswith(
        f"{NOW} as many cords would be cut as planned, more of it in stand 4 and less of it in stand 1."
    )
