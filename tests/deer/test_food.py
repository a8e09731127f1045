"""Food: the worked example, cuts, and how little the figures are good for."""

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import food
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.units import AC_PER_HA, LB_PER_KG

KG_PER_HA = LB_PER_KG / AC_PER_HA  # lb/ac for each kg/ha
HA = np.array([40.5, 8.1, 20.2, 12.1])
BROWSE, USE = np.array([20, 200, 25, 60.0]), np.array([0.30, 0.35, 0.30, 0.30])


def test_the_worked_example_as_printed(as_printed):
    """Four covers on 200 acres, 1.1 kg a day, 120 days (reference page 3.1, derived; browse but aspen from memory)."""
    args = (1.1 * LB_PER_KG, 120)
    deer = food.deer_fed(HA * AC_PER_HA, BROWSE * KG_PER_HA, USE, *args)
    as_printed("forage_deer", deer)
    as_printed("forage_usable_kg", deer * 1.1 * 120)
    as_printed("forage_per_sqkm", deer / (HA.sum() / 100))
    as_printed("forage_per_sqmi", deer / (HA.sum() / 258.9988))
    aspen = food.deer_fed(HA[1] * AC_PER_HA, BROWSE[1] * KG_PER_HA, USE[1], *args)
    as_printed("forage_aspen_share_pct", 100 * aspen / deer)


def pieces(years=-1, kind="none"):
    """Browse of oak, of aspen cut so long ago, of pine and of a cover without a row."""
    covers = ["oak", "aspen and birch", "pine", "hawthorn"]
    cut = {"years": [-1, years, -1, -1], "kind": ["none", kind, "none", "none"]}
    return food.browse(pd.DataFrame({"cover": covers, "acres": 10.0} | cut), region=shipped("base"))


def test_browse_by_cover_and_years_since_cutting():
    """Uncut oak 20 kg/ha; aspen 200 three years after a clearcut, 50 after ten, 20 after thirty; no row, no food."""
    uncut = pieces()
    assert uncut["lb_per_ac"].tolist() == pytest.approx([20 * KG_PER_HA, 20 * KG_PER_HA, 5 * KG_PER_HA, 0.0])
    assert uncut["no_row"].tolist() == [False, False, False, True]
    for years, kg in ((3, 200), (10, 50), (30, 20), (0, 20)):
        cut = pieces(years, "clearcut")
        assert cut["lb_per_ac"].iloc[1] == pytest.approx(kg * KG_PER_HA)
    assert set(uncut["seen"].dropna()) == {"memory"}
    with pytest.raises(InputError, match="Must be none, selection"):
        pieces(3, "shelterwood")


def test_deer_fed_is_a_wide_range_of_assumptions():
    """A factor of three either way at the least, in words; a severe winter feeds fewer than a mild one."""
    e = food.fed(pieces(3, "clearcut"), region=shipped("base"))
    assert e.kind == "assumptions" and e.high / e.value >= 3 and e.value / e.low >= 3
    assert "may not set a take" in said(e.why)
    mild, severe = (food.fed(pieces(), w, region=shipped("base")).value for w in ("mild", "severe"))
    assert severe < food.fed(pieces(), region=shipped("base")).value < mild
    with pytest.raises(InputError):
        food.fed(pieces(), "hard", region=shipped("base"))


def test_cover_is_full_from_a_tenth_in_conifers():
    """None, half of it, a tenth, more."""
    assert food.cover_score(np.array([0.0, 0.05, 0.1, 0.4]), region=shipped("base")) == pytest.approx([0, 0.5, 1, 1])


@pytest.mark.parametrize(
    "bad", [(-1, 20, 0.3, 2.4, 120), (1, 20, 1.3, 2.4, 120), (1, 20, 0.3, 0, 120), (1, 20, 0.3, 2.4, 0)]
)
def test_impossible_food_is_refused(bad):
    """Negative acres, shares over 1, no intake, no days: a clear stop."""
    with pytest.raises(InputError):
        food.deer_fed(*bad)
