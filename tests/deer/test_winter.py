"""Winter: the loss curve, its split, births after it, weeks of deep snow."""

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import winter
from woodlot.errors import InputError


@pytest.mark.parametrize("points", [65, 90, 120])
def test_herd_loss_as_printed(as_printed, points):
    """Loss at three winters of Wisconsin's scale (reference page 3.5, chosen curve)."""
    as_printed(f"winter_loss_{points}", winter.herd_loss_wisconsin(points))


def test_the_split_adds_to_the_loss_by_hand():
    """35 % fawns: .35 x 2.0 m + .65 x .46 m = .999 m."""
    fawns, grown = winter.losses_by_age(0.10)
    assert 0.35 * fawns + 0.65 * grown == pytest.approx(0.0999)
    assert winter.losses_by_age(0.6)[0] == 0.75


def test_the_winter_of_2014_as_printed(as_printed):
    """43 % of fawns and 10 % of grown deer in a herd with 35 % fawns (reference page 3.5, measured shares read)."""
    as_printed("winter_2014_herd_pct", 100 * (0.35 * 0.43 + 0.65 * 0.10))


def test_births_fall_after_a_hard_winter():
    """1 up to 50 points, .8 from 100 points."""
    assert winter.birth_share(np.array([20, 50, 75, 100, 170])) == pytest.approx([1, 1, 0.9, 0.8, 0.8])


def test_negative_points_are_refused():
    """Points cannot be below zero."""
    with pytest.raises(InputError):
        winter.herd_loss_wisconsin(-1)


def test_weeks_of_deep_snow():
    """Fourteen days with 15 inches or more in January belong to the winter that began the year before: 2 weeks."""
    days = pd.date_range("2026-01-01", periods=20)
    daily = pd.DataFrame({"date": days, "snow_in": [15.0] * 14 + [14.9] * 6})
    assert winter.deep_snow_weeks(daily).to_dict() == {2025: 2.0}
    assert winter.deep_snow_weeks(pd.DataFrame({"winter": [2025], "points": [60]})).empty
