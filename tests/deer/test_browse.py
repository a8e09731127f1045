"""Browse: limits as printed, stems that are alike on a plot, classes, one code."""

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import browse
from woodlot.errors import InputError
from woodlot.estimate import Estimate


@pytest.mark.parametrize(("x", "n"), [(34, 120), (6, 90)])
def test_wilson_limits_as_printed(as_printed, x, n):
    """Share and Wilson limits at 95 % (reference page 2.1, derived)."""
    low, high = browse.wilson(x, n, 0.95)
    as_printed(f"wilson_{x}_of_{n}", x / n)
    as_printed(f"wilson_{x}_of_{n}_low", low)
    as_printed(f"wilson_{x}_of_{n}_high", high)


def test_wilson_of_nothing_browsed_by_hand():
    """0 of 20 at 90 %: low 0, high q^2/(n + q^2), q 1.644854: 2.705543/22.705543 = .119158."""
    low, high = browse.wilson(0, 20, 0.90)
    assert low == 0.0
    assert high == pytest.approx(0.119158, abs=1e-6)
    assert browse.wilson(20, 20, 0.90) == pytest.approx((1 - 0.119158, 1.0), abs=1e-6)


def test_a_design_effect_is_fewer_stems():
    """120 stems with a design effect of 4 give the limits of 30 stems at the same share."""
    assert browse.wilson(34, 120, 0.9, design_effect=4) == pytest.approx(browse.wilson(8.5, 30, 0.9))


def test_arrays_agree_with_numbers():
    """Arrays in, arrays out."""
    low, high = browse.wilson(np.array([34, 6]), np.array([120, 90]), 0.95)
    assert (low[1], high[1]) == browse.wilson(6, 90, 0.95)


@pytest.mark.parametrize("bad", [(5, 4, 0.9), (-1, 4, 0.9), (1, 0, 0.9), (1, 4, 1.0)])
def test_impossible_stems_are_refused(bad):
    """More browsed than there are, none at all, a level of 1: a clear stop."""
    with pytest.raises(InputError):
        browse.wilson(*bad)


def test_the_design_effect_by_hand():
    """Four plots of 5 stems, all or nothing browsed on each (0, 0, 5, 5): p .5, each plot is one stem in effect.

    Between: 4/3 x 4 x 2.5^2 / 20^2 = .083333; independent: .25/20 = .0125; ratio 6.6667.
    """
    assert browse.design_effect([0, 0, 5, 5], [5, 5, 5, 5], 0.15) == pytest.approx(20 / 3)
    assert browse.design_effect([0, 0, 0, 0], [5, 5, 5, 5], 0.15) == pytest.approx(1 + 4 * 0.15)
    assert browse.design_effect([2, 3, 2, 3], [5, 5, 5, 5], 0.15) == 1.0


def survey(share, rho, plots, rng, species="red maple"):
    """Stems by plot (1 to 12, geometric-like), browsed alike within a plot with correlation rho."""
    stems = rng.integers(1, 13, plots)
    a, b = share * (1 - rho) / rho, (1 - share) * (1 - rho) / rho
    bitten = rng.binomial(stems, rng.beta(a, b, plots))
    return pd.DataFrame(
        {"plot_id": [str(i) for i in range(plots)], "species": species, "stems": stems, "browsed": bitten}
    )


@pytest.mark.parametrize("rho", [0.15, 0.35])
def test_the_range_of_alike_stems_holds_the_truth(rho):
    """40 plots, 30 % browsed: 85 to 95 in 100 with the plots as sample; stems as independent hold far fewer."""
    rng = np.random.default_rng(21)
    held, naive = [], []
    for _ in range(220):
        rows = survey(0.30, rho, 40, rng)
        e = browse.shares(rows)[0]["browsed_pct"]
        held.append(e.low <= 30 <= e.high)
        low, high = browse.wilson(rows["browsed"].sum(), rows["stems"].sum(), 0.90)
        naive.append(low <= 0.30 <= high)
    assert 0.85 <= np.mean(held) <= 0.95
    assert np.mean(naive) < np.mean(held) - 0.08


def test_shares_are_sum_over_sum():
    """A plot with 1 of 1 and a plot with 0 of 49: 2 percent, not the 50 percent of a mean of plots."""
    rows = pd.DataFrame({"plot_id": ["a", "b"], "species": "red maple", "stems": [1, 49], "browsed": [1, 0]})
    told = browse.shares(rows)[0]
    assert told["browsed_pct"].value == pytest.approx(2.0)
    assert told["browsed_pct"].kind == "none"
    assert told["browsed_pct"].why == "seen on 2 of 2 plots, about 2%; no range"


@pytest.mark.parametrize(
    ("species", "browsed", "word"),
    [
        ("red maple", 14, "light"),
        ("red maple", 16, "moderate"),
        ("red maple", 51, "heavy"),
        ("sugar maple", 29, "light"),
        ("sugar maple", 61, "heavy"),
        ("quaking aspen", 11, "heavy"),
        ("balsam fir", 9, "light"),
    ],
)
def test_words_by_class(species, browsed, word):
    """Preferred .15 and .50, second .30 and .60, third and hungry foods .10 (reference page 2.1, chosen)."""
    rows = pd.DataFrame({"plot_id": list("abcde"), "species": species, "stems": 20, "browsed": 0})
    rows["browsed"] = [min(20, max(0, browsed - 20 * i)) for i in range(5)]
    assert browse.shares(rows)[0]["word"] == word


def test_the_place_may_rank_a_species_itself():
    """The family's own list goes before the region's; a class that does not exist is refused."""
    rows = pd.DataFrame({"plot_id": list("abcde"), "species": "beaked hazel", "stems": 20, "browsed": 4})
    assert browse.shares(rows)[0]["preference"] == "third"
    assert browse.shares(rows, own={"beaked hazel": "preferred"})[0]["word"] == "moderate"
    with pytest.raises(InputError, match="must be one of"):
        browse.preference_table(own={"beaked hazel": "tasty"})


def test_species_without_a_rank_come_last():
    """An unknown shrub is kept, as not ranked, with no word."""
    rows = pd.DataFrame(
        {"plot_id": list("abcdef"), "species": ["leatherwood"] * 5 + ["red maple"], "stems": 4, "browsed": 1}
    )
    told = browse.shares(rows)
    assert [r["preference"] for r in told] == ["preferred", "not ranked"]
    assert told[1]["word"] == ""


def test_more_bitten_than_there_are_is_refused():
    """5 of 4 stems: a clear stop."""
    with pytest.raises(InputError):
        browse.shares(pd.DataFrame({"plot_id": ["a"], "species": ["red maple"], "stems": [4], "browsed": [5]}))


def rows_of(word, preference):
    """A class as `shares` tells it, enough measured, its whole range on the side of the word."""
    value = {"light": 5.0, "moderate": 40.0, "heavy": 70.0}[word]
    e = Estimate(value, "percent", value - 2, value + 2, kind="interval")
    return {"preference": preference, "word": word, "browsed_pct": e}


@pytest.mark.parametrize(
    ("classes", "code"),
    [
        ([("light", "preferred"), ("light", "second")], 2),
        ([("moderate", "preferred"), ("light", "second")], 3),
        ([("heavy", "preferred"), ("moderate", "second")], 4),
        ([("light", "preferred"), ("heavy", "starvation")], 4),
        ([("heavy", "preferred"), ("heavy", "starvation")], 5),
        ([], None),
    ],
)
def test_one_code_from_the_classes(classes, code):
    """2 light, 3 medium, 4 high; hungry foods bitten: 4, with the best liked 5; none when not enough is measured."""
    told = browse.impact([rows_of(*c) for c in classes])
    assert told.code == code
    assert told.words


def test_hungry_foods_count_only_when_the_whole_range_does():
    """12 % of a third choice, 6 to 20: not enough to call deer hungry."""
    rows = rows_of("heavy", "third")
    rows["browsed_pct"] = Estimate(12.0, "percent", 6.0, 20.0, kind="interval")
    assert browse.impact([rows_of("light", "preferred"), rows]).code == 2


def test_a_word_whose_range_crosses_is_probable():
    """40 stems on 10 plots, 10 browsed evenly: 25 %, 16 to 37 or so: moderate. 5 browsed: 12.5 %, probably light."""
    rows = pd.DataFrame({"plot_id": list("abcdefghij"), "species": "red maple", "stems": 40, "browsed": 10})
    assert browse.shares(rows)[0]["words"] == "25% of stems of what deer like best are browsed: moderate."
    few = rows.assign(stems=4, browsed=[1, 0] * 5)
    assert browse.shares(few)[0]["words"].endswith("are browsed: probably light.")
