"""Food: the worked example, energy, the quality floor, cuts, and how little the figures are good for."""

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import food
from woodlot.errors import InputError
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


def test_intake_and_need_as_printed(as_printed):
    """A 60-kg doe and a 35-kg fawn, 158 kcal, 2.2 kcal/g, 63 % met (reference page 3.1, derived)."""
    for name, kg in (("doe", 60), ("fawn", 35)):
        lb = kg * LB_PER_KG
        as_printed(f"intake_{name}_eats", food.intake_lb(lb) / LB_PER_KG)
        as_printed(f"intake_{name}_needs", food.intake_lb(lb, share_met=1.0) / LB_PER_KG)
    as_printed("intake_maintenance_153", food.need_kcal(60 * LB_PER_KG, 153))
    as_printed("intake_maintenance_131", food.need_kcal(60 * LB_PER_KG, 131))


def test_the_quality_floor_by_hand():
    """100 lb at 2.4 and 100 at 1.8 with a floor of 2.2: all of the first, 20/.4 = 50 of the second."""
    assert food.quality_limited([100, 100], [1.8, 2.4], 2.2) == pytest.approx(150.0)
    assert food.quality_limited([100, 100], [1.8, 2.4], 1.5) == pytest.approx(200.0)
    assert food.quality_limited([100, 100], [1.8, 2.0], 2.2) == pytest.approx(0.0)
    mixed = food.quality_limited([30, 50, 80], [2.4, 2.3, 1.9], 2.2)
    assert mixed == pytest.approx(80 + (30 * 0.2 + 50 * 0.1) / 0.3)


def stands():
    """An oak stand, an aspen stand, a pine stand and one whose cover has no row."""
    return pd.DataFrame(
        {"stand_id": ["1", "2", "3", "4"], "cover": ["oak", "aspen and birch", "pine", "hawthorn"], "acres": 10.0}
    )


def test_browse_by_stand_and_years_since_cutting():
    """Uncut oak 20 kg/ha; aspen 200 three years after a clearcut, 50 after ten, 20 after thirty; no row, no food."""
    uncut = food.browse_by_stand(stands())
    assert uncut["lb_per_ac"].tolist() == pytest.approx([20 * KG_PER_HA, 20 * KG_PER_HA, 5 * KG_PER_HA, 0.0])
    assert uncut["no_row"].tolist() == [False, False, False, True]
    for years, kg in ((3, 200), (10, 50), (30, 20), (0, 20)):
        cut = food.browse_by_stand(stands(), {"2": (years, "clearcut")})
        assert cut["lb_per_ac"].iloc[1] == pytest.approx(kg * KG_PER_HA)
    assert set(uncut["seen"].dropna()) == {"memory"}


def test_deer_fed_by_stands_is_a_wide_range_of_assumptions():
    """A factor of three either way at the least, in words; a severe winter feeds fewer than a mild one."""
    e = food.fed_by_stands(stands(), {"2": (3, "clearcut")})
    assert e.kind == "assumptions" and e.high / e.value >= 3 and e.value / e.low >= 3
    assert "may not set a take" in e.why
    mild, severe = (food.fed_by_stands(stands(), winter=w).value for w in ("mild", "severe"))
    assert severe < food.fed_by_stands(stands()).value < mild
    with pytest.raises(InputError):
        food.fed_by_stands(stands(), winter="hard")


def test_what_a_cut_adds_by_hand():
    """10 acres of aspen, 200 x .35 beside 20 x .30 kg/ha (64 kg/ha more), reachable .85, 1.1 kg, 120 days: 1.668 deer.

    64 kg/ha x 4.04686 ha x .85 / 132 = 1.66779.
    """
    out = food.cuts_add(stands(), {"2": (3, "clearcut")})
    assert out["stand_id"].tolist() == ["2"]
    assert out["adds"].iloc[0] == pytest.approx(1.66779, abs=1e-4)


def test_cover_and_habitat():
    """Cover is full from a tenth in conifers; the index is the lesser of food and the root of food times cover."""
    assert food.cover_score(np.array([0.0, 0.05, 0.1, 0.4])) == pytest.approx([0, 0.5, 1, 1])
    assert food.habitat(5.0, 1.0) == pytest.approx(0.5)
    assert food.habitat(5.0, 0.02) == pytest.approx(0.1)
    assert food.habitat(20.0, 0.0) == 0.0


@pytest.mark.parametrize(
    "bad", [(-1, 20, 0.3, 2.4, 120), (1, 20, 1.3, 2.4, 120), (1, 20, 0.3, 0, 120), (1, 20, 0.3, 2.4, 0)]
)
def test_impossible_food_is_refused(bad):
    """Negative acres, shares over 1, no intake, no days: a clear stop."""
    with pytest.raises(InputError):
        food.deer_fed(*bad)


def test_an_unknown_cut_is_refused():
    """Only none, selection and clearcut have rows."""
    with pytest.raises(InputError, match="Must be none, selection or clearcut"):
        food.browse_by_stand(stands(), {"1": (3, "shelterwood")})
