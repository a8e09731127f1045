"""Stands in many futures beside the full account of their trees: invented woods, a hundred years, uncut and cut."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from woodlot.plan.future_stands import Pines, Tables
from woodlot.plan.woods import Woods, is_fitted
from woodlot.region import shipped
from woodlot.stand import even_aged, grow
from woodlot.stand.ageing import breakup, lost_in_year, usual_largest_in
from woodlot.tree.growth import equations

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
from invented_woods import KINDS, STANDS, woods

BASE = shipped("base")
YEARS = 100


def lost_of(of):
    """Share of the aspen that breaks up in each year, in the stand with an age."""
    ages = breakup(KINDS, "mid", region=BASE)
    years = of.stands["age_yr"].to_numpy() + np.arange(YEARS)[:, None, None]
    lost = lost_in_year(years, ages.onset_yr[:, None], ages.half_yr[:, None])
    return np.where(np.isfinite(years), np.nan_to_num(lost), 0.0)


def full(of, lost, leave):
    """Basal area and cords by year of the full account, and cords of all but the aspen (years + 1, stand)."""
    lasting = of.values["cords"] * np.array([kind != "quaking aspen" for kind in KINDS])[:, None]
    out = np.empty((3, YEARS + 1, len(of.stands)))
    fitted = is_fitted(of.stands, region=BASE)
    for which in (False, True):
        at = np.flatnonzero(fitted == which)
        path = grow.project(
            of.trees[:, :, at],
            equations(KINDS, fitted=which, region=BASE)[0],
            YEARS,
            wood_sg=of.sg,
            factor=of.factor["mid"][:, at],
            saplings_per_ac=of.saplings[at],
            deaths=of.deaths[:, at],
            largest_in=usual_largest_in(KINDS, region=BASE),
            lost=lost[:, :, at],
            leave_sqft=leave[:, at],
            worth={"cords": of.values["cords"], "lasting": lasting},
            as_measured=which,
            region=BASE,
        )
        out[:, :, at] = path.basal, 1.1 * path.worth["cords"], 1.1 * path.worth["lasting"]
    return out


def few(of, lost, leave, futures=1):
    """Basal area and lasting cords by year of the same stands as two kinds each."""
    every = np.arange(len(of.stands))
    here = Tables(of, every, every, np.ones((len(every), futures)), lost, region=BASE)
    out = [here.look()]
    for year in range(YEARS):
        share = np.clip(1.0 - leave[year][:, None] / here.look()[0], 0.0, 1.0)
        here.thin(np.nan_to_num(share))
        here.step(np.ones((len(every), futures)))
        out.append(here.look())
    return np.array(out)[:, :, :, 0].transpose(1, 0, 2)


@pytest.fixture(scope="module", params=["uncut", "cut to 80 every tenth year"])
def both(request):
    """The two accounts of the same woods."""
    of = woods()
    leave = np.full((YEARS, len(STANDS)), np.nan)
    if request.param != "uncut":
        leave[5::10] = 80.0
    return full(of, lost_of(of), leave), few(of, lost_of(of), leave)


def test_both_begin_with_the_same_wood(both):
    """Basal area and cords of today to six digits; the aspen, which breaks up, is in neither's lasting cords."""
    (basal, cords, lasting), (basal_2, lasting_2) = both
    np.testing.assert_allclose(basal_2[0], basal[0], rtol=1e-6)
    aspen = 3
    others = np.arange(5) != aspen
    np.testing.assert_allclose(lasting_2[0, others], cords[0, others], rtol=1e-5)
    assert lasting_2[0, aspen] == pytest.approx(lasting[0, aspen], rel=0.08)
    assert lasting[0, aspen] < 0.7 * cords[0, aspen]


@pytest.mark.parametrize("year", [10, 50, 100])
def test_the_cords_of_a_place_keep_to_the_full_account(both, year):
    """Of all stands together within three hundredths, of one stand within a tenth."""
    (_, _, lasting), (_, lasting_2) = both
    assert lasting_2[year].sum() == pytest.approx(lasting[year].sum(), rel=0.03)
    np.testing.assert_allclose(lasting_2[year], lasting[year], rtol=0.10)
    assert lasting[year].min() > 5.0


def test_a_stand_of_one_species_is_the_full_account_itself():
    """Sugar maple alone, a place where half as many more die: thirty years to four digits."""
    of = woods()
    trees = np.zeros_like(of.trees)
    trees[0, :, 0] = of.trees[:, :, 0].sum(axis=0)
    stands = of.stands.assign(age_yr=np.nan)
    of = replace(of, trees=trees, death_factor=1.5, stands=stands)
    lost = np.zeros((YEARS, len(KINDS), 1))
    path = grow.project(
        trees[:, :, :1],
        equations(KINDS, region=BASE)[0],
        30,
        wood_sg=of.sg,
        seed_shares=np.eye(len(KINDS))[:, :1],
        death_factor=1.5,
        largest_in=usual_largest_in(KINDS, region=BASE),
        worth={"cords": of.values["cords"]},
        region=BASE,
    )
    here = Tables(of, np.arange(1), np.arange(1), np.ones((1, 1)), lost, region=BASE)
    for year in range(30):
        basal, cords = here.look()
        assert basal[0, 0] == pytest.approx(path.basal[year, 0], rel=1e-4)
        assert cords[0, 0] == pytest.approx(1.1 * path.worth["cords"][year, 0], rel=1e-4)
        here.step(np.ones((1, 1)))


def test_columns_of_futures_are_single_stands_and_more_trees_stay_more():
    """A stand in three futures with as many trees goes the same way in all; with a tenth less it begins with less."""
    of, every = woods(), np.arange(len(STANDS))
    scale = np.ones((len(every), 3))
    scale[:, 2] = 0.9
    here = Tables(of, every, every, scale, lost_of(of), region=BASE)
    basal, cords = here.look()
    np.testing.assert_allclose(cords[:, 2], 0.9 * cords[:, 0], rtol=1e-6)
    other = here.again()
    here.step(np.ones((len(every), 3)))
    after = here.look()[1]
    np.testing.assert_array_equal(after[:, 0], after[:, 1])
    np.testing.assert_array_equal(other.look()[1], cords)
    other.step(np.full((len(every), 3), 0.7))
    assert (other.look()[1][:, :2] < after[:, :2]).all() and (after[:, 2] < after[:, 0]).all()
    other.thin(np.full((len(every), 3), 0.25))
    assert other.look()[0] == pytest.approx(0.75 * np.asarray(basal), rel=0.05)


def test_a_pine_stand_goes_the_way_of_its_equation():
    """Thinned to 90 sq ft once, 40 years: basal area as ``grow_pine``, cords as its height says, to six digits."""
    of = woods()
    stands = of.stands.assign(way="pine", main="red pine", site_index_ft=60.0, age_yr=35.0)
    of = Woods(**{**vars(of), "stands": stands.assign(basal=130.0, cords=30.0)})
    here = Pines(of, np.arange(1), np.arange(1), np.ones((1, 2)), 41, region=BASE)
    leave = np.full((40, 1), np.nan)
    leave[0] = 90.0
    path = even_aged.grow_pine(130.0, 300.0, 35.0, 60.0, 40, 1.0, leave, region=BASE)["basal"][:, 0]
    here.thin(np.full((1, 2), 1.0 - 90.0 / 130.0))
    for year in range(40):
        assert here.look()[0][0] == pytest.approx(path[year], rel=1e-9)
        here.step(np.ones((1, 2)))
    basal, cords = here.look()
    at_first, at_last = (even_aged.merch_cords_per_ac("red pine", 1.0, 60, a, 79.0, region=BASE) for a in (35, 75))
    assert cords[0, 0] / basal[0, 0] == pytest.approx(30.0 / 130.0 * at_last / at_first, rel=1e-9)
    slow = here.again()
    slow.step(np.full((1, 2), 0.7))
    here.step(np.ones((1, 2)))
    assert basal[0, 0] < slow.look()[0][0, 0] < here.look()[0][0, 0]
