"""Meat: the printed examples, ranges, meals."""

import pytest

from woodlot.deer import meat
from woodlot.errors import InputError
from woodlot.estimate import reason
from woodlot.region import shipped
from woodlot.say.reasons import said


def test_boneless_pounds_as_printed(as_printed):
    """120 lb dressed at .48 and .43 (reference page 5, derived)."""
    as_printed("meat_120_at_48", meat.boneless_lb(120, 0.48, region=shipped("base")))
    as_printed("meat_120_at_43", meat.boneless_lb(120, 0.43, region=shipped("base")))


def test_two_deer_as_printed(as_printed):
    """One yearling buck and one grown doe at .43: 97.6 lb, 395 meals, 79 to 109 lb at .35 and .48 (page 5)."""
    pair = {"yearling buck": 1, "doe": 1}
    dressed = sum(meat.dressed_lb(k, region=shipped("base"))[0] for k in pair)
    assert dressed == 115 + 112
    as_printed("meat_two_deer_lb", meat.boneless_lb(dressed, 0.43, region=shipped("base")))
    as_printed("meat_two_deer_low", meat.boneless_lb(dressed, 0.35, region=shipped("base")))
    as_printed("meat_two_deer_high", meat.boneless_lb(dressed, 0.48, region=shipped("base")))
    as_printed("meat_servings_per_lb", meat.servings(1.0, region=shipped("base")))
    as_printed("meat_two_deer_servings", 4.05 * meat.boneless_lb(dressed, 0.43, region=shipped("base")))


def test_a_take_is_a_range_of_assumptions_by_hand():
    """Yearling buck 95-135 and doe 95-125 dressed: 190 x .35 = 66.5 to 260 x .48 = 124.8; middle 227 x .40 = 90.8."""
    e = meat.meat({"yearling buck": 1, "doe": 1}, region=shipped("base"))
    assert (e.value, e.low, e.high) == pytest.approx((90.8, 66.5, 124.8))
    assert e.kind == "assumptions" and e.unit == "pounds"


def test_no_deer_no_meat():
    """Nothing taken: zero pounds, no range, words."""
    e = meat.meat_of_take(0, 0, region=shipped("base"))
    assert (e.value, e.low, e.kind, said(e.why)) == (0.0, None, "none", "no deer, no meat")


def test_unknown_age_runs_from_yearlings_to_grown_deer():
    """One buck of unknown age: 95 x .35 to 190 x .48."""
    e = meat.meat_of_take(1, 0, region=shipped("base"))
    assert (e.low, e.high) == pytest.approx((33.25, 91.2))
    assert e.low < e.value < e.high


def test_an_unknown_class_is_refused():
    """A "stag" is not a class; a yield of 2 and negative pounds are refused."""
    with pytest.raises(InputError, match="stag"):
        meat.meat({"stag": 1}, region=shipped("base"))
    with pytest.raises(InputError):
        meat.boneless_lb(100, 2.0, region=shipped("base"))
    with pytest.raises(InputError):
        meat.boneless_lb(-1, region=shipped("base"))


def test_the_household_wish_by_hand():
    """.5 doe and 1 buck a year: yearlings (.5 x 75 + 95) x .35 = 46.4 low; grown (.5 x 125 + 190) x .48 = 121.2 high.

    Middle: ((45 + 115) x .40 + (56 + 155) x .40) / 2 = 74.2.
    """
    share, none = (meat.meat_of_take(*take, region=shipped("base")) for take in ((1.0, 0.5), (0.0, 0.0)))
    assert (share.value, share.low, share.high) == pytest.approx((74.2, 46.375, 121.2))
    said_of = {wanted: said(reason("wish", wanted=wanted, meat=share)) for wanted in (200, 100, 60, 40)}
    assert said_of[200] == (
        "Over the years the land gives about 74 pounds of venison a year (46 to 121, assumptions); the household "
        "wishes for 200 and is short by about 126."
    )
    assert "probably short by about 26" in said_of[100]
    assert "probably covers the 60" in said_of[60]
    assert "that covers the 40" in said_of[40]
    words = said(reason("wish", wanted=40, meat=none))
    assert words == "The land gives no venison in most years; the household wishes for 40 pounds."
