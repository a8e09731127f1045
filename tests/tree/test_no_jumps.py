"""Every species and division, 1 to 40 in by 20 to 110 ft: nothing falls as a tree thickens or grows, nothing jumps.

Three things are left out, each by name: stems are counted from 5 in, sawlogs from 9 or 11 (definitions); limbs are
lighter in a taller tree of one diameter (powers of height under 0 in the published rows); limbs of stems under 4 in.
"""

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.tree.frame import volumes
from woodlot.tree.mass import dry_lb_westfall_2024
from woodlot.wood.account import limb_share

SPECIES = np.array(shipped("base").species.listed)
DIVISIONS = ["210", "M210", "220", "M220", "250", "all"]
#: Steps of 1.5 percent in diameter and of 6 in height.
LN_DBH, LN_HEIGHT = 0.015, 0.06
DBH = np.exp(np.arange(0.0, np.log(40.0) + LN_DBH, LN_DBH))
HEIGHT = np.exp(np.arange(np.log(20.0), np.log(110.0) + LN_HEIGHT, LN_HEIGHT))
#: Heights by diameter of hardwoods of the region; a pair is plausible from half of it to 1.6 times it.
CURVE = 4.5 + 78.6 * (1 - np.exp(-0.1346 * DBH)) ** 1.175
LIKELY = np.abs(HEIGHT / CURVE[:, None] - 1.05) <= 0.55
#: Largest power of diameter and of height by which a weight goes, with room: a step of a tenth at one place is over it.
STEEPEST = {"total_lb": (3, 2), "wood_lb": (3, 4), "bark_lb": (4, 4), "branch_lb": (7, 3)}
#: Kinds whose total weight hardly rises with height in the published row, so that bark scaled to it falls a little:
#: by this power of height at most.
BARK_FALLS = {"american elm": 0.45, "unknown softwood": 0.15, "tamarack": 0.07, "black oak": 0.02}


@pytest.fixture(scope="module", params=DIVISIONS)
def weights(request):
    """Pounds by part (and of limbs over 3 in) of every species: arrays of species, diameter, height."""
    kinds, d, h = np.meshgrid(np.arange(len(SPECIES)), DBH, HEIGHT, indexing="ij")
    names, region = pd.Series(SPECIES[kinds.ravel()]), shipped("base")
    told = dry_lb_westfall_2024(d.ravel(), h.ravel(), names, request.param, region=region)
    told["firewood_lb"] = told["branch_lb"] * limb_share(d.ravel(), names, 3.0, region=region)
    return {name: told[name].to_numpy(dtype=float).reshape(kinds.shape) for name in told}


@pytest.fixture(scope="module", params=DIVISIONS)
def stems(request):
    """Cubic feet by part of every species, every third diameter."""
    kinds, d, h = np.meshgrid(np.arange(len(SPECIES)), DBH[::3], HEIGHT, indexing="ij")
    trees = pd.DataFrame({"species": SPECIES[kinds.ravel()], "dbh_in": d.ravel(), "height_ft": h.ravel()})
    told = volumes(trees, request.param, region=shipped("base"))
    names = ("wood_cuft", "bark_cuft", "merch_cuft", "merch_bark_cuft", "sawlog_cuft")
    return {name: told[name].to_numpy(dtype=float).reshape(kinds.shape) for name in names}


def falling(amount, axis, likely=LIKELY, room=1e-9):
    """Species of which anything falls along an axis by more than room, between two plausible trees."""
    step = np.diff(amount, axis=axis) / np.maximum(np.delete(amount, -1, axis=axis), 1e-9)
    both = (likely[1:] & likely[:-1]) if axis == 1 else (likely[:, 1:] & likely[:, :-1])
    return set(SPECIES[((step < -room) & both).any(axis=(1, 2))])


@pytest.mark.parametrize("axis", [1, 2], ids=["thicker", "taller"])
def test_no_thicker_or_taller_tree_weighs_less(weights, axis):
    """Whole tree and stem wood at every pair, plausible or not."""
    everywhere = np.ones_like(LIKELY)
    for name in ("total_lb", "wood_lb"):
        assert falling(weights[name], axis, everywhere) == set(), name
    assert (weights["branch_lb"] > 0).all()


def test_bark_and_limbs_gain_weight_as_a_tree_thickens(weights):
    """Bark at every pair; limbs, and limbs for the stove, of plausible stems over 4 in."""
    assert falling(weights["bark_lb"], 1, np.ones_like(LIKELY)) == set()
    for name in ("branch_lb", "firewood_lb"):
        assert falling(weights[name], 1, LIKELY & (DBH[:, None] >= 4.0)) == set(), name


def test_bark_hardly_ever_falls_with_height(weights):
    """None but the kinds named, and these by no more than is named."""
    assert falling(weights["bark_lb"], 2) <= set(BARK_FALLS)
    for name, power in BARK_FALLS.items():
        assert name not in falling(weights["bark_lb"], 2, room=power * LN_HEIGHT)


def test_every_part_gains_along_a_height_curve(weights):
    """0.6 of the curve, the curve, and 1.4 times it, from 4 in: all four parts rise with the tree."""
    for share in (0.6, 1.0, 1.4):
        at = np.abs(HEIGHT - share * CURVE[:, None]).argmin(axis=1)
        inside = (DBH >= 4.0) & (share * CURVE >= 20.0) & (share * CURVE <= 110.0)
        keep = np.flatnonzero(inside)[::8]
        for name in ("total_lb", "wood_lb", "bark_lb", "branch_lb"):
            along = weights[name][:, keep, at[keep]]
            assert (np.diff(along, axis=1) > 0).all(), (name, share)


@pytest.mark.parametrize("axis", [1, 2], ids=["thicker", "taller"])
def test_no_weight_jumps(weights, axis):
    """No step of 1.5 percent in diameter or 6 in height moves a weight by more than the powers of its rows would.

    Limbs from 5 in; those for the stove begin at nothing, so that they are held against all limbs.
    """
    for name, powers in STEEPEST.items():
        likely = LIKELY & (DBH[:, None] >= 5.0) if name == "branch_lb" else LIKELY
        both = (likely[1:] & likely[:-1]) if axis == 1 else (likely[:, 1:] & likely[:, :-1])
        most = powers[axis - 1] * (LN_DBH if axis == 1 else LN_HEIGHT)
        assert np.abs(np.diff(np.log(weights[name]), axis=axis)[:, both]).max() < most, name
    share = weights["firewood_lb"] / weights["branch_lb"]
    assert np.abs(np.diff(share, axis=axis)).max() < 2 * LN_DBH


@pytest.mark.parametrize("axis", [1, 2], ids=["thicker", "taller"])
def test_no_thicker_or_taller_stem_holds_less(stems, axis):
    """Wood and bark of all of it, of the merchantable stem and of the sawlogs."""
    for name, amount in stems.items():
        assert falling(amount, axis, LIKELY[::3]) == set(), name


def test_no_volume_jumps_but_where_counting_begins(stems):
    """Whole stem everywhere; merchantable stem from 6 in, sawlogs from 14: what lies above a top begins at nothing."""
    sawn = np.asarray(shipped("base").species.is_sawn(pd.Series(SPECIES)), dtype=bool)
    for name, least, steepest in (
        ("wood_cuft", 1.0, 4.0),
        ("bark_cuft", 1.0, 4.0),
        ("merch_cuft", 6.0, 4.0),
        ("merch_bark_cuft", 6.0, 4.0),
        ("sawlog_cuft", 14.0, 5.0),
    ):
        keep = LIKELY[::3] & (DBH[::3, None] >= least)
        amount = stems[name][sawn] if name == "sawlog_cuft" else stems[name]
        amount = np.log(np.where(keep, amount, 1.0))
        for axis, ln in ((1, 3 * LN_DBH), (2, LN_HEIGHT)):
            both = (keep[1:] & keep[:-1]) if axis == 1 else (keep[:, 1:] & keep[:, :-1])
            assert np.abs(np.diff(amount, axis=axis)[:, both]).max() < steepest * ln, (name, axis)
