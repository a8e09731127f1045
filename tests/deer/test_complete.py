"""Complete counts of deer teach the groups a deer drops in a day; nothing else does."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
from shapely.geometry import box

from woodlot.deer.complete import taught_rate
from woodlot.deer.herd_answer import herd_answer
from woodlot.deer.options import DeerSettings
from woodlot.deer.record import record
from woodlot.estimate import interval
from woodlot.region import shipped
from woodlot.say.reasons import said

REGION = shipped("lake_states")
#: 18 deer a square mile by the pellets of spring 2026, plots good to 15 percent.
SPRINGS = {2026: interval(18.0, "deer a square mile", se=2.7, df=9, n=10, shared={"pellet rate": 0.45})}


def drive(**more):
    """A drive of a square mile in January that met 14 deer."""
    row = {"date": pd.Timestamp("2026-01-10"), "method": "drive", "bucks": 4.0, "does": 6.0, "fawns": 3.0}
    return row | {"unknown": 1.0, "acres": 640.0, "complete": True} | more


def taught(*rows, acres=600.0):
    """The rate after some counts."""
    return taught_rate(pd.DataFrame(list(rows)), SPRINGS, 25.0, acres, region=REGION)


def test_a_drive_by_hand():
    """14 driven for 18 by pellets: 25 groups a day become 30.185, the error .2172."""
    rate = taught(drive())
    assert rate.learned
    assert (rate.groups_per_deer_per_day, rate.cv) == pytest.approx((30.185, 0.2172), abs=5e-4)
    assert said(rate.counts[0].words) == (
        "14 a square mile where the pellets said 18: a deer drops 30.2 groups a day here, not 25.0, to 22% (before 45%)"
    )


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"complete": False}, "nobody wrote yes"),
        ({"acres": np.nan}, "its acres or its day"),
        ({"date": pd.NaT}, "its acres or its day"),
        ({"acres": 290.0}, "not that of the pellet lines"),
        ({"acres": 1300.0}, "not that of the pellet lines"),
        ({"date": pd.Timestamp("2025-01-10")}, "no pellet count with a range"),
        ({"date": pd.Timestamp("2025-08-10")}, "no pellet count with a range"),
        ({"bucks": 0.0, "does": 0.0, "fawns": 0.0, "unknown": 0.0}, "no deer was found"),
        ({"bucks": 60.0}, "further apart than both errors allow"),
    ],
)
def test_a_count_that_teaches_nothing_says_why(more, why):
    """Not complete, without acres, of other ground or another winter, none found, or too far off."""
    rate = taught(drive(**more))
    assert not rate.learned and rate.groups_per_deer_per_day == 25.0 and why in said(rate.counts[0].words)


def test_cameras_and_sightings_never_teach():
    """However complete somebody calls them."""
    rate = taught(drive(method="camera"), drive(method="sighting"))
    assert rate.counts == () and rate.groups_per_deer_per_day == 25.0


def test_two_drives_teach_more_than_one():
    """The second moves less, and what stays unknown is less."""
    one, two = taught(drive()), taught(drive(), drive(date=pd.Timestamp("2026-02-01"), method="snow walk"))
    assert two.cv < one.cv and 30.2 < two.groups_per_deer_per_day < 25 * 18 / 14


def test_the_herd_is_told_by_what_a_drive_found():
    """Pellets and a drive of the same winter: the number moves toward the drive and its range narrows."""
    rng = np.random.default_rng(3)
    plots = pd.DataFrame({"groups": rng.poisson(0.17, 300), "radius_ft": 4.0, "line": np.repeat(range(15), 20)})
    plots = plots.assign(date=pd.Timestamp("2026-04-20"), days=180.0, parcel_id="home")
    ground = gpd.GeoDataFrame({"parcel_id": ["home"]}, geometry=[box(-90, 46, -89.981, 46.0145)], crs=4326)
    how = {"year": 2026, "pellets": plots, "options": DeerSettings(), "region": REGION}
    before = record(ground, **how)
    acres = before.ground.own_ac
    met = 0.6 * before.springs[0].per_sqmi.value * acres / 640
    there = drive(bucks=met, does=0.0, fawns=0.0, unknown=0.0, acres=acres, hours=3.0)
    after = record(ground, counts=pd.DataFrame([there]), **how)
    assert 1.05 < after.rate.groups_per_deer_per_day / 25.0 < 1.6
    assert after.springs[0].per_sqmi.value == pytest.approx(
        before.springs[0].per_sqmi.value * 25.0 / after.rate.groups_per_deer_per_day
    )
    assert after.falls[0].complete[0] == pytest.approx(met / acres * 640)
    alone, both = (herd_answer(one, seed=1, region=REGION).fall for one in (before, after))
    assert both.value < 0.95 * alone.value and both.high / both.low < 0.8 * alone.high / alone.low
