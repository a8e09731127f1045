"""What the herd can bear, the family's part, whole deer from fractions."""

import pytest

from woodlot.deer import take
from woodlot.errors import InputError


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
    assert take.every(0.45, "doe") == "one doe every second year"


@pytest.mark.parametrize(
    ("rate", "words"),
    [
        (0.0, "no doe"),
        (0.17, "one doe in 6 years"),
        (0.24, "one doe every fourth year"),
        (0.35, "one doe every third year"),
        (0.67, "2 does in 3 years"),
        (0.95, "one doe a year"),
        (1.4, "3 does in 2 years"),
        (2.1, "2 does a year"),
    ],
)
def test_rates_in_words(rate, words):
    """Whole deer in whole years."""
    assert take.every(rate, "doe") == words


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
