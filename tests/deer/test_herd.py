"""The herd's matrix, the rate that holds it, and the winter count run forward to fall."""

import numpy as np
import pytest

from woodlot.deer import herd
from woodlot.errors import InputError
from woodlot.region import shipped

CASES = {
    "severe": "deep forest, severe winter",
    "average": "deep forest, average winter",
    "mild": "deep forest, mild winter",
    "farm30": "30 percent farmland",
    "farm70": "70 percent farmland",
}


def rates(case):
    """Rates of a case of the table."""
    rows = shipped("base").table("deer_herd_cases").set_index("case")
    return {name: float(rows.loc[CASES[case], name]) for name in herd.RATES}


@pytest.mark.parametrize("case", CASES)
def test_growth_and_hold_rate_as_printed(as_printed, case):
    """Growth, hold rate and fawns a doe of every row of the table (reference page 4.4, derived)."""
    m = herd.female_matrix(**rates(case))
    as_printed(f"own_{case}_lambda", herd.growth_rate(m))
    if case == "severe":
        assert herd.hold_rate(m) == 0.0
    else:
        as_printed(f"own_{case}_hold_pct", 100 * herd.hold_rate(m))
    f, y, a = herd.stable_shares(m)
    as_printed(f"own_{case}_fawns_per_doe", 2 * f / (y + a))


@pytest.mark.parametrize("case", ["severe", "average", "mild", "farm30"])
def test_growth_with_new_hampshire_births_as_printed(as_printed, case):
    """1.72 and 1.89 fetuses instead (reference page 4.4, derived from births that were read)."""
    m = herd.female_matrix(**rates(case) | {"births_yearling": 1.72, "births_adult": 1.89})
    as_printed(f"own_nh_{case}", herd.growth_rate(m))
    if case != "severe":
        as_printed(f"own_nh_hold_{case}", 100 * herd.hold_rate(m))


@pytest.mark.parametrize(("to_fall", "name"), [(0.37, "own_fawn37"), (0.61, "own_fawn61")])
def test_growth_with_other_fawn_survival_as_printed(as_printed, to_fall, name):
    """Summer fawn survival .37 and .61, New Hampshire births, doe fawns .08 (reference page 4.4, derived)."""
    births = {"births_fawn": 0.08, "births_yearling": 1.72, "births_adult": 1.89}
    as_printed(name, herd.growth_rate(herd.female_matrix(**rates("average") | births | {"fawn_to_fall": to_fall})))


def test_a_known_matrix_by_hand():
    """Two classes [[0, 2], [.5, 0]]: growth 1, shares 2/3 and 1/3; hold rate 0."""
    m = np.array([[0.0, 2.0], [0.5, 0.0]])
    assert herd.growth_rate(np.array([[0.5, 0.75], [0.5, 0.75]])) == pytest.approx(1.25)
    assert herd.hold_rate(np.array([[0.5, 0.75], [0.5, 0.75]])) == pytest.approx(0.2)
    assert herd.growth_rate(m) == pytest.approx(1.0)
    assert herd.hold_rate(m) == pytest.approx(0.0, abs=1e-12)


def test_the_held_herd_neither_grows_nor_falls():
    """Taking the hold rate of every class, year after year, leaves the stable herd as it was."""
    m = herd.female_matrix(**rates("farm30"))
    n = herd.stable_shares(m)
    after = m @ ((1 - herd.hold_rate(m)) * n)
    assert after == pytest.approx(n)


def test_many_matrices_at_once():
    """Arrays of rates give a stack of matrices and an array of growth, equal to one at a time."""
    both = {k: np.array([rates("average")[k], rates("mild")[k]]) for k in herd.RATES}
    m = herd.female_matrix(**both)
    assert m.shape == (2, 3, 3)
    assert herd.growth_rate(m)[1] == pytest.approx(herd.growth_rate(herd.female_matrix(**rates("mild"))))


def test_rates_between_the_cases():
    """15 % farmland lies halfway between 0 and 30; beyond 70 the last row holds; 101 is refused."""
    assert herd.herd_rates(15, region=shipped("base"))["fawn_to_fall"] == pytest.approx((0.41 + 0.56) / 2)
    assert herd.herd_rates(90, region=shipped("base")) == herd.herd_rates(70, region=shipped("base"))
    with pytest.raises(InputError):
        herd.herd_rates(101, region=shipped("base"))


def test_winter_count_to_fall_by_hand():
    """One buck, 1.6 does, .912 fawns in fall; the hunt takes .4 of bucks, 1 - 1/1.06494 of the rest; average winter.

    After the hunt .6, 1.50243, .856386. Loss m = .05 + 17/30 x .05 = .0783333; grown .0360333, fawns .156667. Counted
    (.6 + 1.50243)(1 - .0180167) + .856386 (1 - .0783333) = 2.064552 + .789302 = 2.853854. Recruits .856386/2 x .7 =
    .299735 of each sex. Bucks .299735 + .6 x .85 = .809735, for each deer counted .28373.
    """
    out = herd.fall_from_winter(region=shipped("base"))
    assert out.bucks == pytest.approx(0.28373, abs=2e-5)
    assert out.total == pytest.approx(out.bucks + out.does + out.fawns)
    assert 0.02 < out.cv < 0.15


def test_a_hard_winter_leaves_fewer_deer_for_fall():
    """More points, fewer deer in fall; births and fawns suffer most."""
    mild, hard = (
        herd.fall_from_winter(winter_points=20, region=shipped("base")),
        herd.fall_from_winter(winter_points=170, region=shipped("base")),
    )
    assert hard.total < mild.total
    assert hard.fawns / mild.fawns < hard.does / mild.does
    assert herd.fall_from_winter(winter_points=67, region=shipped("base")).total == pytest.approx(
        herd.fall_from_winter(region=shipped("base")).total
    )


def test_growth_with_minnesota_survival_as_printed(as_printed):
    """Nelson and Mech: fawn .31 counted from birth, yearling .80, grown .79; 1.4 and 1.8 fetuses (page 4.4)."""
    as_printed("own_nelson_mech", herd.growth_rate(herd.female_matrix(1.0, 0.0, 1.4, 1.8, 0.31, 0.80, 0.79)))


@pytest.mark.parametrize("u", [0.2, 0.3, 0.4, 0.5, 0.6, 0.8])
def test_yearlings_among_bucks_as_printed(as_printed, u):
    """Yearlings among grown bucks at six shares taken, survival .90 (reference page 4.5, derived)."""
    as_printed(f"bucks_{u}_yearling", herd.yearling_buck_share(u, 0.90))
