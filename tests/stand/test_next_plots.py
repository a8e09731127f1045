"""Where the next plots tell most: worked cases by hand and from print, wrong objectives, and stopping that covers."""

import sys
from math import asinh, exp, log, sinh, sqrt
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from woodlot.estimate import interval, t_quantile, z_quantile
from woodlot.region import shipped
from woodlot.stand import next_plots as following

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
import until_narrow

REGION = shipped("base")


def rows(ac, s, hours, n, mean=20.0, df=6.0, shared=0.0, first=0):
    """Stands a, b, c ...: acres, spread of a plot (cords an acre), hours of one, plots there are."""
    out = pd.DataFrame({"ac": ac, "hours": hours, "n": n, "mean": mean, "df": df, "shared": shared, "first": first})
    out["c2"] = (np.asarray(s, dtype=float) / out["mean"]) ** 2
    return out.set_axis(list("abcdefgh"[: len(out)])).astype(dict.fromkeys(("ac", "hours", "c2", "df"), float))


def three(n=(3, 3, 3), **more):
    """The worked example: 40, 15 and 25 acres, 12, 8 and 15 cords, a quarter and half an hour."""
    return rows([40, 15, 25], [12, 8, 15], [0.25, 0.25, 0.5], list(n), **more)


def se(of, n):
    """Standard error of the total."""
    return sqrt(((of["ac"] * of["mean"]) ** 2 * of["c2"] / np.asarray(n)).sum())


def lack(of, answer="total", more=99):
    """A wish that asks for many plots everywhere."""
    return following.Wish(answer, 0.01, None, 0.0, True, dict.fromkeys(of.index, more))


def test_two_hours_by_hand():
    """G = (A S)^2/(n(n+1)c): 480^2/(12 x .25) = 76,800, 120^2/3 = 4,800, 375^2/(12 x .5) = 23,437.5.

    Stand a thrice (76,800, 46,080, 30,720), c once, a twice; then c tells most (14,063) and no longer fits.
    """
    of = three()
    assert following.worth(of, of["n"].to_numpy()) == pytest.approx([76800, 4800, 23437.5])
    order = [one for one, n in following.in_order(of, lack(of), 2.0, 0.9) if n == 1]
    assert order == ["a", "a", "a", "c", "a", "a"]
    then = of["n"] + pd.Series(order).value_counts().reindex(of.index).fillna(0)
    assert (se(of, of["n"]), se(of, then)) == (pytest.approx(358.4, abs=0.05), pytest.approx(262.2, abs=0.05))


def test_six_hours_from_nothing_by_hand():
    """A S/sqrt(c) is 960, 240, 530.3, and 240 + 60 + 265.2 hours for these: of 6 hours 10.19, 2.55 and 5.63 plots."""
    of = three()
    share = following.shares(of)
    n = 6.0 * share / (share * of["hours"]).sum()
    assert n.tolist() == pytest.approx([10.19, 2.55, 5.63], abs=0.005) and se(of, n) == pytest.approx(230.7, abs=0.05)


def test_one_after_the_other_comes_to_the_best_sharing_out():
    """Of 60 hours plot after plot leaves no more error than any swap of two plots for as many hours."""
    of = three((1, 1, 1))
    told = following.in_order(of, lack(of, more=999), 60.0, 0.9)
    n = of["n"] + pd.Series([one for one, _ in told]).value_counts()
    share = following.shares(of)
    limit = (60.0 + of["hours"].sum()) * share / (share * of["hours"]).sum()
    assert np.allclose(n, limit, atol=1.0)
    for swap in ([-1, 1, 0], [1, -1, 0], [2, 0, -1], [-2, 0, 1], [0, 2, -1]):
        assert se(of, n + np.array(swap)) >= se(of, n)


def test_wrong_objectives_are_seen():
    """A big even stand of many plots beside this winter's stand of ten acres that has none.

    For the total and the widest range the bare one gets its first look before anything; for this winter nothing at all
    goes to the big one. The most acres, or the largest A S an hour alone, would send every plot there.
    """
    of = rows([200, 10], [6, 10], [0.7, 0.5], [12, 0], first=[0, 3])
    for answer in ("total", "worst range"):
        steps = following.in_order(of, lack(of, answer), 6.0, 0.9)
        assert steps[0] == ("b", 3) and {one for one, _ in steps[1:]} == {"a"}
    assert following.shares(of).idxmax() == "a"
    winter = of.loc[["b"]]
    assert following.in_order(winter, lack(winter, "this winter"), 6.0, 0.9) == [("b", 3)]
    measured = rows([200, 10], [6, 12], [0.7, 0.5], [6, 3])
    assert [one for one, _ in following.in_order(measured, lack(measured, "total"), 1.0, 0.9)] == ["a"]
    assert [one for one, _ in following.in_order(measured, lack(measured, "worst range"), 1.0, 0.9)] == ["b", "b"]


def test_first_looks_are_whole_or_none_and_the_most_telling_first():
    """Of three bare stands the one that would put most into the total an hour; no plot beyond the look."""
    of = rows([10, 40, 20], [10, 10, 10], [0.5, 0.5, 0.5], [0, 0, 2], first=[3, 3, 0])
    steps = following.in_order(of, lack(of), 4.0, 0.9)
    assert steps == [("b", 3), ("a", 3), ("c", 1), ("c", 1)]


def test_nothing_is_asked_for_beyond_what_is_wanted():
    """Where the range is as near as is wanted no plot is put, however many hours there are."""
    of = three((9, 3, 5))
    wanted = following.of_total(of, 0.25, 0.9)
    many = following.in_order(of, following.wish(of, "total", 0.25, 0.9), 500.0, 0.9)
    assert (of["n"] + pd.Series([one for one, _ in many]).value_counts()).fillna(of["n"]).tolist() == wanted.tolist()
    near = following.wish(of, "total", 0.6, 0.9)
    assert near.more == {} and following.in_order(of, near, 500.0, 0.9) == []


def told_range(of, n, level=0.9):
    """Half-width of each stand's range over its number, by the rule of an interval."""
    out = []
    for one, many in zip(of.itertuples(), n, strict=True):
        error = one.mean * sqrt(one.c2 / many)
        e = interval(one.mean, "x", se=error, df=one.df + many - one.n, n=many, shared={"t": one.shared}, level=level)
        out.append(sinh(log(e.high / e.low) / 2.0))
    return np.array(out)


def test_plots_for_each_stand_are_the_fewest_that_do():
    """With so many the range is within what is wanted, with one less it is not; a stand near enough keeps its own."""
    of = rows([1] * 4, [8, 12, 16, 3], [1] * 4, [3, 5, 2, 6], df=[6.0, 8.0, 5.0, 9.0], shared=0.06)
    wanted = following.of_each(of, 0.25, 0.9)
    assert (told_range(of, wanted) <= 0.25).all() and wanted["d"] == 6
    short = wanted - (wanted > of["n"])
    assert (told_range(of, short)[:3] > 0.25).all()
    assert following.can_come(of, 0.25, 0.9).all()


def test_one_stand_by_hand():
    """Spread .4174, 3 plots with 6 degrees of freedom, no shared error, 25 %: asinh .25 = .24747.

    9 plots: 12 df, t 1.78229 x sqrt(ln(1 + .17424/9)) = .13848 -> .24682, enough; 8: t 1.79588 x .14678 = .26359.
    """
    of = rows([1], [0.41742 * 20], [1], [3])
    assert asinh(0.25) == pytest.approx(0.24747, abs=1e-5) and t_quantile(0.9, 12) == pytest.approx(1.78229, abs=1e-5)
    assert following.of_each(of, 0.25, 0.9)["a"] == 9


def test_plots_for_the_total_are_the_fewest_that_do():
    """The total's range with so many is near enough, with any one plot less it is not; shared errors add straight."""

    def half(of, n):
        v = (of["ac"] * of["mean"]) ** 2 * of["c2"] / n
        df = v.sum() ** 2 / (v**2 / (of["df"] + n - of["n"])).sum()
        amount = of["ac"] * of["mean"]
        error, shared = sqrt(v.sum()), (amount * of["shared"]).sum() / amount.sum()
        e = interval(amount.sum(), "x", se=error, df=df, n=9, shared={"t": shared})
        return sinh(log(e.high / e.low) / 2.0)

    of = three(shared=[0.08, 0.12, 0.1])
    n = following.of_total(of, 0.25, 0.9)
    assert half(of, n) <= 0.25 and half(of, of["n"]) == pytest.approx(following.wish(of, "total", 0.25, 0.9).now)
    for one in of.index[n > of["n"]]:
        assert half(of, n - (of.index == one)) > 0.25


def test_where_the_table_is_the_limit_plots_stop_at_its_own_part():
    """A shared .12 is 1.645 x sqrt(ln 1.0144) = .19668 each way, sinh .19795: within 15 % is not to be had.

    Plots then go on until their part is no more than .19668; within 22 % leaves them .0926, less than half of that.
    """
    of = rows([40], [8], [0.5], [3], shared=0.12)
    limit = z_quantile(0.9) * sqrt(log(1.0144))
    for within in (0.15, 0.22):
        told = following.wish(of, "total", within, 0.9)
        assert not told.can_come and told.least == pytest.approx(sinh(limit))
        n = 3 + told.more["a"]
        part = [t_quantile(0.9, 6.0 + many - 3) * sqrt(log(1 + 0.16 / many)) for many in (n, n - 1)]
        assert part[0] <= limit < part[1]
    assert following.wish(of, "total", 0.25, 0.9).can_come
    assert following.of_each(of, 0.15, 0.9)["a"] == n


def test_a_weighted_spread_and_its_plots_as_printed():
    """Four stands: 48.5 % weighted by acres, 86 plots of 1,000 for 10 %, of which 21, 12, 28 and 25.

    "Calculating sample size for stratified random sample", a teaching sheet after Forest Service handbook 2409.12
    (2000); its t is rounded to 2, at 95 % it is 1.988.
    """
    acres, cv = pd.Series([30.0, 10, 20, 40]), pd.Series([40.0, 65, 80, 35])
    spread = following.weighted_cv_pct(acres, cv)
    assert spread == pytest.approx(48.5)
    assert following.plots_needed(spread, 10, 0.95, population=1000) == 86
    assert following.shared_out(86, acres * cv).tolist() == [21, 12, 28, 25]
    assert following.shared_out(86, acres).tolist() == [26, 9, 17, 34]  # 25.8, 8.6, 17.2, 34.4


def test_a_new_cruise_is_the_same_by_the_verbs_way():
    """The same four stands, all plots as long, every acre alike: within 10 % the handbook's plots, less what N saves.

    1/(10/(1.984 x 48.5))^2 = 92.6 at 92 degrees of freedom: 93, shared out 23, 12, 31 and 27.
    """
    of = rows([30, 10, 20, 40], [8, 13, 16, 7], [1.0] * 4, [3] * 4)
    told = following.new_cruise(of, 0.1, 0.95)
    assert told.weighted_cv_pct == pytest.approx(48.5) and told.plots == 93
    assert list(told.by_spread.values()) == [23, 12, 31, 27] and list(told.by_acres.values()) == [28, 9, 19, 37]
    assert following.new_cruise(of.assign(shared=0.12), 0.15, 0.9).plots is None


@pytest.mark.parametrize(("count", "weights"), [(1, [1, 1, 1]), (7, [0.2, 0.5, 0.3]), (10, [5, 5, 5])])
def test_what_is_shared_out_is_all_of_it(count, weights):
    """No plot is lost or made, and no share is off by one or more."""
    told = following.shared_out(count, pd.Series(weights, dtype=float))
    assert told.sum() == count and (abs(told - count * np.array(weights) / sum(weights)) < 1).all()


def test_change_on_the_same_points_by_hand():
    """22 x .43 x sqrt(2(1 - rho)/20)/10: .2992 anew; .0946, .0669, .0423 at rho .90, .95, .98."""
    told = [following.change_se(22, 0.43, 20, 10, rho) for rho in (0, 0.9, 0.95, 0.98)]
    assert told == pytest.approx([0.2992, 0.0946, 0.0669, 0.0423], abs=0.00005)


def stands(**acres):
    """Stands of oak by name and acres."""
    return pd.DataFrame({"stand_id": list(acres), "cover": "oak", "operable_ac": [float(a) for a in acres.values()]})


def test_plots_kept_for_good():
    """Three in each of the four largest make ten; two stands keep five each, one keeps ten; none in a hayfield."""
    assert following.kept_for_good(stands(a=5, b=40, c=9, d=20, e=7, f=0), region=REGION) == {
        "b": 3, "d": 3, "c": 3, "e": 3
    }  # fmt: skip
    assert following.kept_for_good(stands(a=5, b=40), region=REGION) == {"b": 5, "a": 5}
    assert following.kept_for_good(stands(a=5), region=REGION) == {"a": 10}
    grass = stands(a=5, b=40).assign(cover=["oak", "field and grass"])
    assert following.kept_for_good(grass, region=REGION) == {"a": 10}
    assert following.kept_for_good(stands(), region=REGION) == {}


def known(mean, c2, n, df, shared=0.12):
    """An estimate as a stand's range gives it."""
    return interval(mean, "cords", se=mean * sqrt(c2 / n), df=df, n=n, shared={"table": shared})


def test_what_is_known_before_the_next_plot():
    """Spread and its degrees of freedom from the range; a bare stand like its cover; nothing found; never cut."""
    land = stands(a=40, b=20, c=10, d=8, e=5, f=9)
    land["cover"] = ["oak", "oak", "oak", "pine", "oak", "field and grass"]
    nothing = interval(0.0, "cords", se=0.0, df=2, n=3, shared={"table": 0.12})
    few = interval(0.0, "cords", se=None, df=0, n=1, shared={"table": 0.12})
    per_ac = {"a": known(20, 0.2, 5, 8), "b": known(26, 0.3, 3, 6), "d": nothing, "e": few}
    told = following.table(land, per_ac, region=REGION)
    assert list(told.index) == list("abcde")  # no plot where nothing is ever cut
    assert told.loc["a", ["n", "first", "mean", "c2", "df"]].tolist() == pytest.approx([5, 0, 20, 0.2, 8])
    assert told.loc["c", ["n", "first", "mean", "c2", "df"]].tolist() == pytest.approx([0, 3, 22, 0.36, 1])
    assert told.loc["e", ["n", "first", "mean", "c2", "df"]].tolist() == pytest.approx([1, 2, 22, 0.36, 2])
    assert told.loc["d", ["n", "first", "mean", "c2"]].tolist() == [3, 0, 0, 0]
    assert told["shared"].tolist() == pytest.approx([0.12] * 5)
    assert told.loc["a", "hours"] == pytest.approx((30 + sqrt(40 * 43560 / 3) / 100) / 60)
    told = following.wish(told, "worst range", 0.3, 0.9)
    assert "d" not in told.more and told.more["e"] >= 2
    one = following.table(land, per_ac, ["b"], region=REGION)
    assert list(one.index) == ["b"]
    empty = following.table(land, {"d": nothing}, ["d"], region=REGION)
    assert following.wish(empty, "total", 0.3, 0.9).more == {}
    none = following.wish(following.table(land, {}, [], region=REGION), "total", 0.3, 0.9)
    assert (none.now, none.more) == (None, {})


def test_many_stands_are_quick_and_alike():
    """Three thousand stands at once: the same plots as those stands a third of the acres each three times."""
    draw = np.random.default_rng(8)
    n = 1000
    of = pd.DataFrame(
        {
            "ac": draw.uniform(5, 60, n), "hours": 0.6, "n": draw.integers(1, 8, n), "mean": draw.uniform(5, 40, n),
            "df": 6.0, "shared": 0.1, "first": 0, "c2": draw.uniform(0.1, 0.8, n),
        }
    )  # fmt: skip
    of.index = of.index.astype(str)
    wanted = following.wish(of, "total", 0.17, 0.9)
    assert sum(wanted.more.values()) < n  # the total of many stands is soon told
    worst = following.wish(of, "worst range", 0.3, 0.9)
    assert len(worst.more) > 900 and max(worst.more.values()) < 300
    steps = following.in_order(of, worst, 10.0, 0.9)
    assert len(steps) == 16
    reach = t_quantile(0.9, 6) * np.sqrt(np.log1p(of["c2"] / of["n"]))
    assert steps[0][0] == reach.idxmax() and exp(reach.max()) > 2


@pytest.mark.parametrize("kind", ["even", "clumped", "patchy"])
def test_stopping_when_narrow_still_covers(kind):
    """A small draw of the trial: within 25 %, own spreads from 3 plots lose more than these, for 1 to 3 plots less."""
    own, helped = (until_narrow.until_narrow(kind, 500, 0.25, helped=one) for one in (False, True))
    assert helped.covered >= {"even": 0.92, "clumped": 0.86, "patchy": 0.82}[kind]
    assert own.covered < helped.covered - 0.02 and 0.5 < helped.plots - own.plots < 3.5
