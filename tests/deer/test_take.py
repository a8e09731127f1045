"""What the herd can bear, the family's part, whole deer from fractions."""

import math

import pytest

from woodlot.deer import take
from woodlot.errors import InputError
from woodlot.say.hunt import every
from woodlot.say.reasons import said


def test_two_hundred_acres_as_printed(as_printed):
    """20 a square mile on 200 acres, fall make-up 1 : 1.6 : .912; hold rates 6, 16 and 25 %, bucks .40 (page 4.6)."""
    deer = 20 * 200 / 640
    buck = deer / (1 + 1.6 + 1.6 * 0.57)
    as_printed("acres200_equivalents", deer)
    as_printed("acres200_bucks", buck)
    as_printed("acres200_does", 1.6 * buck)
    as_printed("acres200_fawns", 1.6 * 0.57 * buck)
    does_per_sqmi = 1.6 * buck / 200 * 640
    common = {"deaths_per_deer": 0.0, "acres": 200.0, "effective_ac": 1529.0, "neighbors_per_sqmi": 0.0}
    as_printed("acres200_hold_doe", take.allowance(does_per_sqmi, 0.06, **common).own)
    as_printed("acres200_mixed_doe", take.allowance(does_per_sqmi, 0.16, **common).own)
    as_printed("acres200_antlerless_rule", take.allowance((1.6 + 0.912) * buck / 200 * 640, 0.25, **common).own)
    as_printed("acres200_buck_take", take.allowance(buck / 200 * 640, 0.40, **common).own)


def test_a_maine_district_as_printed(as_printed):
    """1.5 bucks from 20 to 30 deer a square mile: 5 to 7.5 percent of the herd (reference page 4.6, derived)."""
    as_printed("farmland_district17_low_pct", 100 * 1.5 / 30)
    as_printed("farmland_district17_high_pct", 100 * 1.5 / 20)


def test_both_ends_and_the_part_by_hand():
    """8 does a square mile, 10 %, .15 lost on top, 200 of 1,500 acres, neighbors .3 a square mile.

    Bear .8/1.15 = .695652 a square mile; none: x 1500/640 = 1.630435; local: - .3 x 1300/640 = .609375 leaves 1.021060;
    share: x 200/640 = .217391, which is the lesser.
    """
    a = take.allowance(8, 0.10, deaths_per_deer=0.15, acres=200, effective_ac=1500, neighbors_per_sqmi=0.3)
    assert (a.if_none, a.if_local, a.share, a.own) == pytest.approx((1.630435, 1.021060, 0.217391, 0.217391), abs=1e-6)


def test_ground_that_nobody_shares_loses_nothing_to_neighbors_by_hand():
    """All the ground the deer use is the family's: both ends and the share are .8 / 1.15 x 200 / 640."""
    a = take.allowance(8, 0.10, deaths_per_deer=0.15, acres=200, effective_ac=200, neighbors_per_sqmi=0.9)
    assert a.if_none == a.if_local == a.share == a.own == pytest.approx(0.8 / 1.15 * 200 / 640)


@pytest.mark.parametrize(("deer", "rate"), [(100.0, 0.1), (120.0, 0.1 + 20 / 240), (1000.0, 0.40), (50.0, 0.0)])
def test_a_herd_is_thinned_by_half_its_gap_by_hand(deer, rate):
    """Hold rate .1 and a target of 100: half the gap over the herd is added, and .40 is the most."""
    assert take.thinning_rate(0.1, deer, 100.0) == pytest.approx(rate)


def test_neighbors_can_take_all_of_it():
    """At .9 a square mile the neighbors take more than the ground can give: nothing is left."""
    a = take.allowance(8, 0.10, deaths_per_deer=0.15, acres=200, effective_ac=1500, neighbors_per_sqmi=0.9)
    assert a.if_local == a.own == 0.0
    assert a.if_none > 0


def test_bad_allowances_are_refused():
    """Negative deer, or less ground used than owned: a clear stop."""
    common = {"deaths_per_deer": 0.15, "neighbors_per_sqmi": 0.3}
    with pytest.raises(InputError):
        take.allowance(-1, 0.1, acres=200, effective_ac=1500, **common)
    with pytest.raises(InputError):
        take.allowance(1, 0.1, acres=200, effective_ac=100, **common)


def test_045_of_a_doe_is_one_every_second_year():
    """.45 a year from nothing: .45, .90, 1.35 (one, .35 left), .80, 1.25 (one), .70, 1.15 (one), .60."""
    taken, whole = [], []
    for year in range(1, 9):
        n, left = take.carry([0.45] * year, [*taken, 0], [False] * year, 50)
        assert 0 <= left < 1
        taken.append(n)
        whole.append(n)
    assert whole == [0, 0, 1, 0, 1, 0, 1, 0]
    assert every(0.45, "doe") == "one doe every second year"


def offered(share, seasons=30, filled=True, years=5):
    """Whole deer offered each season at a steady share, all of them taken or none."""
    out = []
    for n in range(1, seasons + 1):
        killed = [x if filled else 0 for x in out]
        out.append(take.carry([share] * n, [*killed, 0], [False] * n, years)[0])
    return out


@pytest.mark.parametrize(
    ("share", "years", "first"),
    [
        (1.0, 5, [1, 1, 1, 1]),
        (2.0, 5, [2, 2, 2, 2]),
        (1.05, 5, [1] * 19 + [2, 1]),
        (1.5, 5, [1, 2, 1, 2]),
        (2.2, 5, [2, 2, 2, 2, 3, 2]),
        (0.7, 5, [0, 1, 1, 1]),
        (0.25, 5, [0, 0, 0, 1, 1, 1, 1, 1]),
        (0.12, 50, [0] * 8 + [1] * 8),
        (0.12, 5, [0] * 16),
    ],
)
def test_deer_left_in_the_woods_are_not_saved_up(share, years, first):
    """With no kill in the book: the share, its fractions made whole; under one a year it is offered until taken."""
    assert offered(share, len(first), filled=False, years=years) == first


@pytest.mark.parametrize("share", [0.2, 0.24, 0.45, 0.7, 0.95, 1.0, 1.2, 1.5, 2.0, 2.2, 3.9])
def test_thirty_years_give_the_share(share):
    """All offers filled: within one deer of 30 shares, never more than the shares so far; none: one share at most."""
    filled, none = offered(share), offered(share, filled=False)
    assert 30 * share - 1 < sum(filled) <= 30 * share + 1e-9
    assert all(sum(filled[:n]) <= n * share + 1e-9 for n in range(1, 31))
    assert max(filled) <= math.ceil(share) and max(none) == math.ceil(share)


@pytest.mark.parametrize("share", [0.3, 0.7, 1.0, 1.2, 1.7, 2.5])
def test_a_deer_taken_never_brings_a_deer(share):
    """Whatever was taken in the third season, one more taken then offers no more in any season after."""
    for n in range(3, 12):
        whole = [take.carry([share] * n, [0, 0, killed] + [0] * (n - 3), [False] * n, 5)[0] for killed in range(5)]
        assert whole == sorted(whole, reverse=True)
        assert whole[0] <= math.ceil(share)


def test_a_falling_share_and_a_closed_season():
    """Three left in the woods are one at a share of .2; a season without a share offers none and keeps the fraction."""
    assert take.carry([3.0, 0.2], [0, 0], [False, False], 5) == (1, pytest.approx(0.0))
    assert take.carry([3.4, 0.0], [0, 0], [False, False], 5) == (0, pytest.approx(0.4))


def test_kills_use_the_oldest_fractions_and_debts_do_not_lapse():
    """.45 a year, one taken in the third: .35 is left of it (1.35 - 1), with four more 2.15: one deer and what lapses.

    Three taken on .5 in the first season: 2.5 are owed, and the sixth season is the first that owes nothing.
    """
    assert take.carry([0.45] * 5, [0, 0, 1, 0, 0], [False] * 5, 5) == (1, pytest.approx(0.25))
    assert take.carry([0.45] * 7, [0, 0, 1, 0, 1, 0, 0], [False] * 7, 5) == (1, pytest.approx(0.15))
    owing = [take.carry([0.5] * n, [3] + [0] * (n - 1), [False] * n, 5) for n in range(1, 9)]
    assert [round(left, 9) for _, left in owing[:6]] == [-2.5, -2.0, -1.5, -1.0, -0.5, 0.0]
    assert [whole for whole, _ in owing] == [0, 0, 0, 0, 0, 0, 0, 1]


def test_a_share_that_never_makes_a_deer_says_why_and_what_helps():
    """.12 of a doe a year on 200 acres: 333 acres give one in five years. A thin herd and greedy neighbors say so."""
    small = take.Allowance(if_none=3.0, if_local=2.0, share=0.12, own=0.12)
    words = said(take.scant(small, 0.12, "doe", 200.0, 5))
    assert words.startswith(
        "Too little ground for a doe of its own: about 330 acres like it would give one in 5 years."
    )
    assert "Neighbors who count and plan together with you would have one to share." in words
    thin = said(take.scant(take.Allowance(0.15, 0.1, 0.01, 0.01), 0.01, "buck", 200.0, 5))
    assert thin.startswith("The herd is too thin for a buck") and "acres like it" not in thin
    left = said(take.scant(take.Allowance(3.0, 0.1, 0.4, 0.1), 0.1, "doe", 200.0, 5))
    assert left.startswith("The neighbors take nearly all")
    assert take.scant(small, 0.2, "doe", 200.0, 5) is None
    assert not take.never_whole(0.2, 5) and take.never_whole(0.199, 5)


def test_fractions_expire():
    """.17 a year never becomes a doe when only five seasons count (.85); .21 does in the fifth (1.05)."""
    assert take.carry([0.17] * 12, [0] * 12, [False] * 12, 5)[0] == 0
    assert take.carry([0.21] * 5, [0] * 5, [False] * 5, 5)[0] == 1


def test_savings_are_void_when_the_index_falls_but_debts_stay():
    """.6, .6 and a fall: only the last .6 counts. Two taken on .6: the debt of 1.4 outlives the fall."""
    assert take.carry([0.6, 0.6, 0.6], [0, 0, 0], [False, False, True], 5) == (0, pytest.approx(0.6))
    assert take.carry([0.6, 0.6], [0, 0], [False, False], 5)[0] == 1
    n, left = take.carry([0.6, 0.6], [2, 0], [False, True], 5)
    assert n == 0 and left == pytest.approx(-0.8)


def test_uneven_lists_are_refused():
    """One entry a season in each list."""
    with pytest.raises(InputError):
        take.carry([0.5], [0, 0], [False], 5)
