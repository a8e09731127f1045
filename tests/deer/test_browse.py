"""Browse: limits as printed, stems that are alike on a plot, classes, one code."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import browse
from woodlot.errors import InputError
from woodlot.estimate import Estimate, reason
from woodlot.region import shipped
from woodlot.say.reasons import said


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
        e = browse.shares(rows, region=shipped("base"))[0].browsed_pct
        held.append(e.low <= 30 <= e.high)
        low, high = browse.wilson(rows["browsed"].sum(), rows["stems"].sum(), 0.90)
        naive.append(low <= 0.30 <= high)
    assert 0.85 <= np.mean(held) <= 0.95
    assert np.mean(naive) < np.mean(held) - 0.08


def test_shares_are_sum_over_sum():
    """A plot with 1 of 1 and a plot with 0 of 49: 2 percent, not the 50 percent of a mean of plots."""
    rows = pd.DataFrame({"plot_id": ["a", "b"], "species": "red maple", "stems": [1, 49], "browsed": [1, 0]})
    told = browse.shares(rows, region=shipped("base"))[0]
    assert told.browsed_pct.value == pytest.approx(2.0)
    assert told.browsed_pct.kind == "none"
    assert said(told.browsed_pct.why) == "seen on 2 of 2 plots, about 2%; no range"


@pytest.mark.parametrize(
    ("species", "browsed", "word"),
    [
        ("red maple", 19, "light"),
        ("red maple", 21, "moderate"),
        ("red maple", 51, "heavy"),
        ("sugar maple", 24, "light"),
        ("sugar maple", 26, "moderate"),
        ("sugar maple", 61, "heavy"),
        ("quaking aspen", 34, "light"),
        ("quaking aspen", 36, "moderate"),
        ("quaking aspen", 61, "heavy"),
        ("balsam fir", 9, ""),
        ("balsam fir", 11, "heavy"),
        ("american beech", 0, ""),
        ("american beech", 11, "heavy"),
    ],
)
def test_words_by_class(species, browsed, word):
    """Preferred .20 and .50, second .25 and .60, third .35 and .60; hungry foods and avoided kinds only over .10."""
    rows = pd.DataFrame({"plot_id": list("abcde"), "species": species, "stems": 20, "browsed": 0})
    rows["browsed"] = [min(20, max(0, browsed - 20 * i)) for i in range(5)]
    assert browse.shares(rows, region=shipped("base"))[0].word == word


def test_the_place_may_rank_a_species_itself():
    """The family's own list goes before the region's; a class that does not exist is refused."""
    rows = pd.DataFrame({"plot_id": list("abcde"), "species": "beaked hazel", "stems": 20, "browsed": 4})
    assert browse.shares(rows, region=shipped("base"))[0].preference == "third"
    assert browse.shares(rows, own={"beaked hazel": "preferred"}, region=shipped("base"))[0].word == "moderate"
    with pytest.raises(InputError, match="Must be preferred, second"):
        browse.preference_table(own={"beaked hazel": "tasty"}, region=shipped("base"))


def test_species_without_a_rank_come_last():
    """An unknown shrub is kept, as not ranked, with no word."""
    rows = pd.DataFrame(
        {"plot_id": list("abcdef"), "species": ["leatherwood"] * 5 + ["red maple"], "stems": 4, "browsed": 1}
    )
    told = browse.shares(rows, region=shipped("base"))
    assert [r.preference for r in told] == ["preferred", "not ranked"]
    assert told[1].word == ""


def test_more_bitten_than_there_are_is_refused():
    """5 of 4 stems: a clear stop."""
    with pytest.raises(InputError):
        browse.shares(
            pd.DataFrame({"plot_id": ["a"], "species": ["red maple"], "stems": [4], "browsed": [5]}),
            region=shipped("base"),
        )


def rows_of(word, preference):
    """A class as `shares` tells it, enough measured, its whole range on the side of the word; "" is unbitten."""
    value = {"": 2.0, "light": 5.0, "moderate": 40.0, "heavy": 70.0}[word]
    e = Estimate(value, "percent", value - 2, value + 2, kind="interval")
    words = reason("browsed", preference=preference, word=word, share=e, sure=True)
    return browse.Share(preference, 100, 10, e, word, word == "heavy", words)


@pytest.mark.parametrize(
    ("classes", "code"),
    [
        ([("light", "preferred"), ("light", "second")], 2),
        ([("moderate", "preferred"), ("light", "second")], 3),
        ([("heavy", "preferred"), ("moderate", "second")], 4),
        ([("light", "preferred"), ("heavy", "starvation")], 2),
        ([("moderate", "preferred"), ("heavy", "starvation")], 4),
        ([("light", "preferred"), ("moderate", "second"), ("heavy", "avoided")], 4),
        ([("light", "second"), ("heavy", "avoided")], 4),
        ([("heavy", "avoided")], 4),
        ([("heavy", "preferred"), ("heavy", "starvation")], 5),
        ([("light", "preferred"), ("heavy", "third")], 2),
        ([("heavy", "third"), ("", "avoided")], None),
        ([("moderate", "second"), ("", "avoided")], 3),
        ([("", "avoided")], None),
        ([("", "avoided"), ("", "starvation")], None),
        ([], None),
    ],
)
def test_one_code_from_the_classes(classes, code):
    """2 light, 3 medium, 4 high by what deer like; third choices set none; hunger speaks only bitten, and beside
    a liked class moderate, heavy or missing; unbitten it says nothing (reference page, chosen).
    """
    told = browse.impact([rows_of(*c) for c in classes], 40, region=shipped("base"))
    assert told.code == code
    assert said(told.words) and said(told.why)


def test_unbitten_beech_is_no_good_news():
    """40 plots of beech that nothing bit: not low, not enough of what deer like, and that may be a sign."""
    rows = pd.DataFrame({"plot_id": [str(i) for i in range(40)], "species": "american beech", "stems": 9, "browsed": 0})
    told = browse.shares(rows, region=shipped("base"))
    assert (
        said(told[0].words) == "0% of stems of what they avoid are browsed, which says nothing of how hard deer press."
    )
    pressure = browse.impact(told, 40, region=shipped("base"))
    assert pressure.code is None
    words = said(pressure.words)
    assert words.startswith("Not enough of what deer like was found") and "may be a sign" in words
    assert said(pressure.why) == "What they like best is missing on 40 of 40 plots."
    assert (
        said(browse.impact(browse.shares(rows.iloc[:4], region=shipped("base")), 4, region=shipped("base")).why)
        == "4 plots; 5 are the least."
    )
    assert said(browse.impact([], 0, region=shipped("base")).words) == "No browse plots yet."


def test_a_bare_floor_is_a_sign_too():
    """40 plots without a stem within reach: not "no plots yet"."""
    rows = pd.DataFrame({"plot_id": [str(i) for i in range(40)], "species": "red maple", "stems": 0, "browsed": 0})
    _, plots, told = browse.by_spring(
        rows.assign(date=pd.Timestamp(2026, 4, 20)), date(2026, 9, 1), None, region=shipped("base")
    )[0]
    assert (plots, told) == (40, [])
    assert "may be a sign" in said(browse.impact(told, plots, region=shipped("base")).words)


@pytest.mark.parametrize("level", [0.5, 0.9, 0.99])
def test_the_code_does_not_follow_the_level_asked_for(level):
    """20 % of fir bitten on 30 plots is hunger at every level, 13 % (8 to 20 at 90 %) at none, narrow as it may be."""
    plots = [str(i) for i in range(30)]
    for bitten, code in ((6, 5), (4, 4)):
        rows = pd.concat(
            pd.DataFrame({"plot_id": plots, "species": s, "stems": 10, "browsed": b})
            for s, b in (("red maple", 8), ("balsam fir", [bitten, 0, 0] * 10))
        )
        assert (
            browse.impact(browse.shares(rows, level=level, region=shipped("base")), 30, region=shipped("base")).code
            == code
        )


def test_a_word_whose_range_crosses_is_probable():
    """40 stems on 10 plots, 10 browsed evenly: 25 %, 16 to 37 or so: moderate. 5 browsed: 12.5 %, probably light."""
    rows = pd.DataFrame({"plot_id": list("abcdefghij"), "species": "red maple", "stems": 40, "browsed": 10})
    assert (
        said(browse.shares(rows, region=shipped("base"))[0].words)
        == "25% of stems of what deer like best are browsed (21 to 29, 90%): moderate."
    )
    few = rows.assign(stems=4, browsed=[1, 0] * 5)
    assert said(browse.shares(few, region=shipped("base"))[0].words).endswith("90%): probably light.")
