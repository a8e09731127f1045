"""Spread of a stand with some help of its like: the worked example to the digit, who may help whom, patchy stands."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.region import shipped
from woodlot.stand.spread import alike, log_sd, spread
from woodlot.trade import NO_COVER

#: Plots of four stands of one cover, cords an acre.
EXAMPLE = {"A": [18, 30, 24], "B": [12, 28], "C": [31, 22, 40, 27], "D": [16]}


def means_of(stands):
    """A table of means of stands -> amounts on their plots."""
    rows = [
        (s, len(x), np.mean(x), np.std(x, ddof=1) / len(x) ** 0.5 if len(x) > 1 else np.nan) for s, x in stands.items()
    ]
    table = pd.DataFrame(rows, columns=["stand_id", "n", "mean", "se"])
    return table.assign(df=table["n"] - 1.0, plots=table["n"])


def told(stands, like="oak"):
    """``spread`` of stands of one like, or of several given by stand."""
    return spread(
        means_of(stands), None if like is None else pd.Series(like, index=list(stands)), region=shipped("base")
    )


def test_the_example_of_four_stands_to_the_digit():
    """A by hand. Others B and C: sums of squares 128 + 174 = 302; df x mean^2 400 + 3 x 900 = 3,100: r = .0974194.

    nb = (2 x 1 + 4 x 3)/4 = 3.5; r/(1 - r/3.5) = .100209; D = 4, w 2. Own .0625 with 2 df: (2 x .100209 + 2 x .36 + 2 x
    .0625)/6 = .174236. B, C and D alike; s_m = sqrt(ln(1 + c2/n)).
    """
    of = told(EXAMPLE)
    assert of.c2 == pytest.approx([0.17424, 0.23401, 0.16916, 0.22517], abs=5e-6)
    assert of.df.tolist() == [6.0, 5.0, 7.0, 4.0]
    assert of.log_sd == pytest.approx([0.23760, 0.33264, 0.20352, 0.45064], abs=5e-6)
    assert of.helps.tolist() == [True, True, True, False] and of.helped.all() and not of.patchier.any()


def test_alone_a_stand_has_the_usual_spread_beside_its_own():
    """A alone: (2 x .36 + 2 x .0625)/4 = .21125 with 4 df; D alone .36 with 2; so also stands of covers apart."""
    of = told({"A": EXAMPLE["A"], "D": EXAMPLE["D"]}, like=None)
    assert of.c2 == pytest.approx([0.21125, 0.36]) and of.df.tolist() == [4.0, 2.0] and not of.helped.any()
    apart = told({"A": EXAMPLE["A"], "D": EXAMPLE["D"]}, like=["oak", "pine"])
    missing = told({"A": EXAMPLE["A"], "D": EXAMPLE["D"]}, like=[None, None])
    assert apart.c2.tolist() == missing.c2.tolist() == of.c2.tolist()


def test_a_stand_of_a_pool_lends_no_more_than_its_own_plots():
    """A and C rest on one variance of 9 degrees: to B they lend 2 and 3 as ever, and are not called patchier.

    A keeps its 9 degrees for itself; D, of one plot, lends none though its error is known.
    """
    plain = means_of(EXAMPLE)
    table = plain.assign(pool=["oak", None, "oak", "oak"], df=[9.0, 1.0, 9.0, 9.0])
    table.loc[3, "se"] = 5.0
    like = pd.Series("oak", index=list(EXAMPLE))
    of, was = (spread(one, like, region=shipped("base")) for one in (table, plain))
    assert of.c2[1] == pytest.approx(was.c2[1]) and of.df.tolist() == [13.0, 5.0, 13.0, 13.0]
    assert of.helps.tolist() == [True, True, True, False]
    loud = table.assign(se=[60.0, 5.0, 5.0, 5.0])
    apart = spread(loud.drop(columns="pool"), like, region=shipped("base"))
    assert apart.patchier[0] and not spread(loud, like, region=shipped("base")).patchier[0]


def test_one_patchy_stand_does_not_swamp_the_rest():
    """B, plots 0 0 60: c2_own 3; r 3, nb 3, 1 - r/nb is 0, held at .4: 7.5, held at .81.

    A: (2 x .81 + .72 + .125)/6.
    """
    of = told({"A": EXAMPLE["A"], "B": [0, 0, 60]})
    assert of.c2[0] == pytest.approx((1.62 + 0.72 + 0.125) / 6)
    assert of.c2[1] == pytest.approx((2 * 0.0625 / (1 - 0.0625 / 3) + 0.72 + 2 * 3) / 6)


def test_a_stand_where_nothing_was_found_says_nothing_of_spread():
    """Three empty plots help nobody and have no spread; one plot with wood helps nobody either."""
    of = told({"A": EXAMPLE["A"], "E": [0, 0, 0], "D": [16]})
    assert np.isnan(of.c2[1]) and of.group[1] == -1
    assert of.c2[0] == pytest.approx(0.21125) and not of.helped[0] and of.helped[2]


def test_plots_that_agree_by_luck_promise_little():
    """20, 20, 20 alone: 2 x .36/4 = .18, a spread of .42 from plot to plot."""
    assert told({"A": [20, 20, 20]}, like=None).c2[0] == pytest.approx(0.18)


def test_patchier_by_the_f_test():
    """c2_own 3.0 with 2 df over .0625 of 8 others with 2 df each: far over F .95 (2, 16) = 3.63; the others are not."""
    stands = {f"s{i}": [18, 30, 24] for i in range(8)} | {"p": [0, 0, 60]}
    assert told(stands).patchier.tolist() == [False] * 8 + [True]
    near = {f"s{i}": [18, 30, 24] for i in range(8)} | {"p": [14, 34, 24]}  # c2_own .1736, 2.78 times: under 3.63
    assert not told(near).patchier.any()
    over = {f"s{i}": [18, 30, 24] for i in range(8)} | {"p": [12, 36, 24]}  # c2_own .25 over .0638: 3.92
    assert told(over).patchier.tolist() == [False] * 8 + [True]


amounts = st.lists(st.floats(0.5, 60.0), min_size=1, max_size=6)


@settings(max_examples=40, deadline=None)
@given(st.lists(amounts, min_size=2, max_size=8), st.randoms(use_true_random=False))
def test_the_order_of_stands_does_not_matter(stands, random):
    """Each stand keeps its spread whatever row it stands in; twice asked, the same to the last bit."""
    named = {str(i): plots for i, plots in enumerate(stands)}
    mixed = list(named)
    random.shuffle(mixed)
    one, other = told(named), told({s: named[s] for s in mixed})
    back = [mixed.index(s) for s in named]
    assert one.c2 == pytest.approx(other.c2[back], rel=1e-9) and one.df == pytest.approx(other.df[back])
    assert one.c2.tolist() == told(named).c2.tolist()
    assert (one.df <= 4.0 + np.array([len(x) - 1 for x in stands])).all(), "others count for two plots at most"


def plots_of(**stands):
    """Plots by stand: (kind, size, number)."""
    rows = [(s, *of) for s, some in stands.items() for *of, n in some for _ in range(n)]
    out = pd.DataFrame(rows, columns=["stand_id", "kind", "size"])
    prism = out["kind"] == "prism"
    return out.assign(baf_sqft_per_ac=out["size"].where(prism), radius_ft=out["size"].where(~prism))


def test_who_may_help_whom():
    """One cover and kind of plot; factors 10 and 20 may, 10 and 25 not; rounds of 24 and 26.4 ft may, 37.2 not."""
    prism, rounds = {"a": 10, "b": 20, "c": 25, "g": 10, "h": 10, "j": 10}, {"d": 37.2, "e": 26.4, "f": 24.0}
    of = {s: [("prism", size, 2)] for s, size in prism.items()} | {
        s: [("fixed", size, 2)] for s, size in rounds.items()
    }
    plots = plots_of(**of, i=[("prism", 10, 1), ("fixed", 37.2, 1)])
    cover = ["oak"] * 6 + ["pine", NO_COVER, "oak", NO_COVER]
    like = alike(pd.DataFrame({"stand_id": list("abcdefghij"), "cover": cover}), plots)
    same = {(x, y) for x in like.index for y in like.index if x < y and like[x] == like[y]}
    assert same == {("a", "b"), ("e", "f")}, "of rounds the two smallest are put together; 37.2 is over twice 24"
    assert like[["h", "j"]].isna().all()


def test_help_by_rows_of_two_thousand_stands_is_quick():
    """Sums left one out: the same as stand by stand, at the size of a large place."""
    rng = np.random.default_rng(3)
    stands = {str(i): rng.gamma(4.0, 6.0, rng.integers(1, 5)) for i in range(2000)}
    of = told(stands)
    for at in (0, 777, 1999):
        others = [x for i, x in enumerate(stands.values()) if i != at]
        df = np.array([len(x) - 1 for x in others])
        square = np.array([np.mean(x) ** 2 for x in others])
        r = sum(np.var(x) * len(x) for x in others) / (df * square).sum()
        nb = sum(len(x) * (len(x) - 1) for x in others) / df.sum()
        x = list(stands.values())[at]
        own = np.var(x) * len(x) / np.mean(x) ** 2
        by_hand = (2 * min(r / max(1 - r / nb, 0.4), 0.81) + 0.72 + own) / (4 + len(x) - 1)
        assert of.c2[at] == pytest.approx(by_hand, rel=1e-9)


def test_the_error_on_logarithms():
    """Squared spread .2 over 4 plots: sqrt(ln 1.05) = .22088."""
    assert log_sd(np.array([0.2]), np.array([4])) == pytest.approx([0.22088], abs=1e-5)
