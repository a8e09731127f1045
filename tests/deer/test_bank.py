"""The bank of years: the page's worked rows, what it gives in thirty years, and that idle years save no whole deer."""

from itertools import pairwise
from math import floor

import pytest

from woodlot.deer.doe_share import bank, can_give, growth, share
from woodlot.region import shipped

BASE = shipped("base")


def offers(shares, taken=None):
    """Whole does offered in each fall."""
    taken = taken or [0] * len(shares)
    return [bank(shares[: k + 1], taken[: k + 1], BASE)[0] for k in range(len(shares))]


@pytest.mark.parametrize(
    ("shares", "taken", "told"),
    [
        ([0.12] * 7, None, [0, 0, 0, 0, 1, 1, 1]),
        ([1.0] * 5, None, [1, 2, 2, 2, 2]),
        ([2.0] * 5, None, [2, 3, 3, 3, 3]),
        ([0.12] * 4 + [0.05] * 8, None, [0] * 12),
        ([0.25] * 6, [0, 1, 0, 0, 0, 0], [0, 1, 0, 0, 0, 1]),
    ],
)
def test_the_worked_banks_of_the_page(shares, taken, told):
    """Page 4: unfilled tags; a share that fell; one taken in fall 2."""
    assert offers(shares, taken) == told


def taken_in(years, one, filled=lambda fall: True):
    """Does taken when every offer is filled in the falls that ``filled`` names."""
    taken = []
    for fall in range(years):
        whole, _ = bank([one] * (fall + 1), [*taken, 0], BASE)
        taken.append(whole if filled(fall) else 0)
    return taken


@pytest.mark.parametrize("one", [0.05, 0.12, 0.5, 1.0, 2.0])
def test_thirty_years_give_the_rate_that_is_told(one):
    """Every offer filled: half a deer to begin with and one share a year, whole deer; the next comes 1/share on."""
    taken = taken_in(30, one)
    assert sum(taken) == floor(0.5 + 30 * one + 1e-9)
    falls = [fall for fall, n in enumerate(taken) if n]
    apart = [b - a for a, b in pairwise(falls)]
    assert all(abs(gap - max(1.0, 1 / one)) < 1 for gap in apart) and apart


@pytest.mark.parametrize("one", [0.05, 0.12, 0.25, 0.5, 0.83, 1.0, 1.7, 2.0, 3.3])
@pytest.mark.parametrize("idle", [1, 5, 40])
def test_idle_years_save_no_deer(one, idle):
    """However long nobody hunts, at most one deer beyond this year's is offered, and the rate after is the same."""
    first = offers([one] * idle)[-1]
    assert first <= floor(1 + one + 1e-9)
    hunted = taken_in(idle + 30, one, lambda fall: fall >= idle)
    assert sum(hunted) <= 1 + 30 * one + 1


def test_worked_shares_by_hand():
    """Give 1.05 a square mile on 320 acres is .525; neighbors who take over 1.25 times that halve it."""
    assert share(1.05, 320, 1.0, BASE) == pytest.approx(0.525)
    assert share(1.05, 320, 1.25 * 1.05, BASE) == pytest.approx(0.525)
    assert share(1.05, 320, 1.32, BASE) == pytest.approx(0.2625)


def test_worked_growth_and_give_of_the_page():
    """Page 4: herds after winters of 20, 67 and 110 points; growth at .75 of 17.5, give, and 230 acres of it."""
    import numpy as np

    from woodlot.deer import herd_year as hy
    from woodlot.deer.winter import herd_loss

    rates = hy.Rates(*[np.array([x]) for x in (0.41, 0.07, 1.6, 1.83, 0.7, 0.85, 0.87, 0.85, 0.0091428)])
    herd = np.array([[3.0], [2], [5], [2], [2.5]])
    deaths = np.array([[0.1035], [0.138], [0.345], [0.92], [1.15]])
    worked = {
        20: (8.0074, 1.0526, 0.3480, 0.1251),
        67: (7.6601, 1.0504, 0.3196, 0.1149),
        110: (6.9729, 1.0460, 0.2667, 0.0959),
    }
    for points, (does, growing, give, own) in worked.items():
        cold = hy.winter(herd_loss(points, "wisconsin", BASE), BASE)
        now = hy.next_fall(herd, herd - deaths, rates, cold)
        lam = growth(now, rates, 17.5, BASE, hy.Winter(1.0, 1.0, 1.0, (0.0, 0.0)))
        gives = can_give(now, lam, 0.15)
        assert (hy.does(now)[0], lam[0], gives[0]) == pytest.approx((does, growing, give), abs=6e-5)
        assert share(gives[0], 230, 0.0, BASE) == pytest.approx(own, abs=6e-5)
