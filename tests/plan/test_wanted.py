"""What is wanted over the periods of a plan: each year in every one, once by its day, else as soon as may be."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from woodlot.plan.schedule import Limits, Prescriptions, solve
from woodlot.plan.wanted import HEAT, ahead, by_period, called, named
from woodlot.region import shipped
from woodlot.wood.wants import wanted

DAY, REGION = date(2026, 11, 25), shipped("base")
BOOK = pd.DataFrame(
    {"kind": ["firewood"], "date": [pd.Timestamp("2026-10-01")], "amount": [3.0], "unit": ["cord"], "text": [None]}
)


def told(*wants, needs=None, ledger=None):
    """What is wanted on the day."""
    return wanted(needs or {}, list(wants), [], pd.DataFrame() if ledger is None else ledger, DAY, REGION)


def post(number, **more):
    """A want of posts."""
    return {"product": "post", "number": number, **more}


def test_each_year_is_due_in_every_period_and_this_winter_what_is_left():
    """The heat of 7 cords a year of which 3 are noted: of 4, then 7; in steps of five 32 and 35."""
    wants = told(needs={"firewood_cord": 7.0}, ledger=BOOK)
    (fire,) = wants
    assert fire.mmbtu_each > 20.0 and fire.left * fire.mmbtu_each == pytest.approx(fire.line.mmbtu)
    assert by_period(wants, 2026, 4, 1)[HEAT] / fire.mmbtu_each == pytest.approx([4.0, 7.0, 7.0, 7.0])
    assert by_period(wants, 2026, 2, 5)[HEAT] / fire.mmbtu_each == pytest.approx([32.0, 35.0])
    assert not ahead(wants, 2026, 4, 1)[HEAT].any()


@pytest.mark.parametrize(
    ("by", "period"),
    [
        (date(2026, 3, 1), 0),  # gone by
        (date(2026, 12, 1), 0),
        (date(2027, 4, 1), 0),  # this winter's wood is there in April
        (date(2027, 9, 1), 0),  # and so it is in September, before next winter's
        (date(2028, 3, 1), 1),  # the second winter is nearly over
        (date(2029, 6, 1), 2),
        (None, 4),
    ],
)
def test_once_is_due_once_by_its_day_by_hand(by, period):
    """In one period, the last winter before the day; until then it may be made ahead."""
    wants = told(post(200, by=by))
    due, early = by_period(wants, 2026, 5, 1)["lasting posts"], ahead(wants, 2026, 5, 1)["lasting posts"]
    assert due.tolist() == [200.0 * (t == period) for t in range(5)]
    assert early.tolist() == [200.0 * (t < period) for t in range(5)]


def test_steps_of_years_and_days_after_the_plan():
    """A day in 2033 lies in the second period of five years; one in 2050 is not due in ten."""
    assert by_period(told(post(10, by=date(2033, 6, 1))), 2026, 2, 5)["lasting posts"].tolist() == [0.0, 10.0]
    assert by_period(told(post(10, by=date(2050, 6, 1))), 2026, 2, 5)["lasting posts"].tolist() == [0.0, 0.0]


def test_wants_of_one_size_are_one_name_and_sizes_are_told_apart():
    """12 each year and 200 once of one size are summed; a thicker post has its own name; what is made has none."""
    each = told(post(12, often="each year"), post(200), post(5, top_in=6.0))
    assert set(named(each)) == {"posts 7 ft by 4 in top, lasting wood", "posts 7 ft by 6 in top, lasting wood"}
    assert by_period(each, 2026, 2, 1)["posts 7 ft by 4 in top, lasting wood"].tolist() == [12.0, 212.0]
    assert named(told({"product": "chips", "number": 3.0}, {"product": "firewood", "number": 2.0})) == {}
    made = BOOK.assign(kind="post", unit="piece")
    assert named(told(post(3), ledger=made)) == {} and set(named(told(post(4), ledger=made))) == {"lasting posts"}


def test_lines_of_one_name_are_one_sum():
    """2 posts and 3 of the same size are two lines of one name: 5 are due, none twice."""
    same = told(post(2), post(3))
    assert called(same) == ["lasting posts", "lasting posts"] and list(named(same)) == ["lasting posts"]
    assert by_period(same, 2026, 2, 1)["lasting posts"].tolist() == [0.0, 5.0]
    assert ahead(same, 2026, 2, 1)["lasting posts"].tolist() == [5.0, 0.0]


def test_lines_of_one_name_hold_to_the_tightest_limit():
    """Two posts alike but for their butts: the plan counts what suits both."""
    line = named(told(post(3, butt_in=9.0), post(4, butt_in=12.0)))["lasting posts"]
    assert line.butt_in == 9.0 and line.number == 0.0 and line.purpose == ""


def _two_stands(posts_wanted, early):
    """Two stands that give 30 posts each when they are cut, at half the worth of leaving them; four periods."""
    stand = np.repeat([0, 1], 5)
    cut = np.tile(np.vstack([np.zeros(4), np.eye(4)]), (2, 1))
    worth = np.where(cut.any(axis=1), -0.01, 0.0)
    given = Prescriptions(stand, np.ones(2), cut, worth=worth, pieces={"posts": 30.0 * cut})
    limits = Limits(wanted={"posts": np.array(posts_wanted)}, ahead=early, carry_share=0.0, cut_most=1.0)
    return solve(given, limits)


def test_a_schedule_makes_once_what_is_wanted_once_and_as_soon_as_it_can():
    """50 posts by the last of four winters, one stand a winter: the first two winters, and never again."""
    early = {"posts": np.array([50.0, 50.0, 50.0, 0.0])}
    plan = _two_stands([0.0, 0.0, 0.0, 50.0], early)
    assert plan.made["posts"][:2].sum() == pytest.approx(50.0) and plan.made["posts"][2:].sum() == pytest.approx(0.0)
    assert plan.lacks["posts"].sum() == pytest.approx(0.0)


def test_what_may_not_be_made_ahead_is_short():
    """Without it all 50 have to come from the last winter's one stand: 20 are missing."""
    assert _two_stands([0.0, 0.0, 0.0, 50.0], {}).lacks["posts"].sum() == pytest.approx(20.0)
