"""Meat: the printed examples, ranges, meals."""

import pandas as pd
import pytest

from woodlot.deer import meat
from woodlot.deer.defaults import default, default_range
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said

BASE = shipped("base")


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
    """Yearling buck 95-135 and doe 95-125 dressed: 190 x .33 = 62.7 to 260 x .53 = 137.8; middle 227 x .40 = 90.8."""
    e = meat.meat({"yearling buck": 1, "doe": 1}, region=shipped("base"))
    assert (e.value, e.low, e.high) == pytest.approx((90.8, 62.7, 137.8))
    assert e.kind == "assumptions" and e.unit == "pounds"


def test_no_deer_no_meat():
    """Nothing taken: zero pounds, no range, words."""
    e = meat.meat_of_take(0, 0, region=shipped("base"))
    assert (e.value, e.low, e.kind, said(e.why)) == (0.0, None, "none", "no deer, no meat")


def test_unknown_age_runs_from_yearlings_to_grown_deer():
    """One buck of unknown age: 95 x .33 to 190 x .53."""
    e = meat.meat_of_take(1, 0, region=shipped("base"))
    assert (e.low, e.high) == pytest.approx((31.35, 100.7))
    assert e.low < e.value < e.high


def test_an_unknown_class_is_refused():
    """A "stag" is not a class; a yield of 2 and negative pounds are refused."""
    with pytest.raises(InputError, match="stag"):
        meat.meat({"stag": 1}, region=shipped("base"))
    with pytest.raises(InputError):
        meat.boneless_lb(100, 2.0, region=shipped("base"))
    with pytest.raises(InputError):
        meat.boneless_lb(-1, region=shipped("base"))


def test_the_range_holds_what_is_published_of_dressed_live_and_carcass(as_printed):
    """Of dressed: .45 to .50 (a good butcher), .48 (Ohio). Of live weight .25 to .30 (New England) x 1.32 = .33 to
    .40. Of the carcass .55 to .70 where that is .75 of dressed: .41 to .53; mule deer .56 and .59 of .84: .47, .50.

    Sources: reference page 5 for all but the last, University of Wyoming 2003 as quoted.
    """
    low, high = default_range("boneless_per_dressed", shipped("base"))
    carcass, least = default("carcass_per_dressed", shipped("base")), default_range("carcass_per_dressed", BASE)[0]
    published = [0.45, 0.50, 0.48, 0.25 * 1.32, 0.30 * 1.32, 0.55 * least, 0.70 * least, 0.56 * carcass, 0.59 * carcass]
    assert min(published) >= low - 1e-9 and max(published) <= high
    assert pytest.approx(carcass, abs=0.01) == (114 - 18) / 114
    assert said(meat.assumed(BASE)) == (
        "weights by class are assumed; boneless meat is 40 of 100 pounds dressed (33 to 53), 48 of 100 of the carcass "
        "without skin, head and legs"
    )


def bag(*rows):
    """Rows of bag.csv: class, number, dressed pounds."""
    return pd.DataFrame(
        [{"year": 2026, "sex_age": k, "number": n, "dressed_lb": lb} for k, n, lb in rows],
        columns=["year", "sex_age", "number", "dressed_lb"],
    )


def noted(*rows):
    """Lines of the ledger: day, class, deer."""
    return pd.DataFrame([{"date": d, "kind": "deer", "sex_age": k, "amount": n} for d, k, n in rows])


def test_a_season_half_written_down_gives_a_number():
    """A doe of 120 lb by the scale and a buck nobody weighed (155, 125 to 190): (120 + 155) x .40 = 110; ends
    (120 + 125) x .33 and (120 + 190) x .53. Last year's deer are not in it.
    """
    had = bag(("doe", 1, 120.0), ("buck", 1, None))
    old = bag(("doe", 3, 100.0)).assign(year=2025)
    told = meat.meat_of_kills(pd.concat([had, old]), None, 2026, region=BASE)
    assert (told.value, told.low, told.high) == pytest.approx((110.0, 245 * 0.33, 310 * 0.53))
    assert told.n == 2 and told.kind == "assumptions"
    none = meat.meat_of_kills(old, None, 2026, region=BASE)
    assert (none.value, none.kind, said(none.why)) == (0.0, "none", "no deer, no meat")


def test_a_deer_nobody_could_tell_weighs_the_middle_of_all_classes():
    """Middles 60, 55, 115, 90, 155, 112: mean 97.83 from 42 to 190; without antlers 60, 55, 90, 112: 79.25, 42 to 125.

    A weight by the scale goes before any class.
    """
    assert meat.dressed_lb("deer", BASE) == pytest.approx((587 / 6, 42.0, 190.0))
    assert meat.dressed_lb("antlerless", BASE) == pytest.approx((79.25, 42.0, 125.0))
    told = meat.meat_of_kills(bag(("deer", 2, None), ("deer", 1, 90.0)), None, 2026, region=BASE)
    assert told.value == pytest.approx((2 * 587 / 6 + 90) * 0.4)
    assert meat.meat_of_kills(None, noted(("2026-11-20", None, 1.0)), 2026, region=BASE).value == pytest.approx(
        587 / 6 * 0.4
    )


def test_each_deer_counts_once_though_it_stands_in_both_books():
    """Bag: a doe of 120 lb. Ledger: two does, one on 3 January, and a buck: one doe more by her class (112), the buck
    by his: (120 + 112 + 155) x .40 = 154.8. With two does in the bag the ledger adds the buck alone.
    """
    lines = noted(("2026-11-20", "doe", 1.0), ("2027-01-03", "doe", None), ("2026-11-21", "buck", 1.0))
    told = meat.meat_of_kills(bag(("doe", 1, 120.0)), lines, 2026, region=BASE)
    assert told.value == pytest.approx(154.8) and told.n == 3
    two = meat.meat_of_kills(bag(("doe", 2, 120.0)), lines, 2026, region=BASE)
    assert two.value == pytest.approx((240 + 155) * 0.4)
    other = noted(("2025-11-20", "doe", 1.0), ("2026-11-20", "doe", 1.0)).assign(kind=["deer", "firewood"])
    assert meat.meat_of_kills(None, other, 2026, region=BASE).value == 0
