"""Five hundred futures of nineteen stands over a hundred years, against a floor of as many single futures.

Floor: one future is a state of 19 stands x 4 species x 30 classes, ``x *= a; x += y`` once a year for a hundred years;
500 of them one after another, float64. Subject: one way to go (growth as assumed, a cruise every ten years), with the
stock seen, the rule of the cut and what stands over in every year. All six ways together are told in seconds. Both run
in a process of their own on one thread, in turn, by processor time.
"""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from woodlot.plan import futures as file
from woodlot.plan.future_chances import GROWTHS
from woodlot.region import shipped

sys.path.insert(0, str(Path(__file__).parent))
sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
from invented_woods import woods
from own_process import read, seconds_of

STANDS, NUMBER, YEARS, ROUNDS = 19, 500, 100, 5
BASE = shipped("base")


def floor():
    """One multiply and one add a year, of every future."""
    shape = 4, 30, STANDS
    x, a, y = np.ones(shape), np.full(shape, 0.99), np.full(shape, 0.01)
    for _ in range(NUMBER):
        for _ in range(YEARS):
            x *= a
            x += y
    return x


def nineteen():
    """The invented stands, each as often as makes nineteen, with what is drawn of them."""
    of = woods()
    k = np.arange(STANDS) % len(of.stands)
    stands = of.stands.iloc[k].reset_index(drop=True).assign(place_log_sd=0.3, stand_log_sd=0.15)
    many = {"trees": of.trees[:, :, k], "ratio": of.ratio[k], "saplings": of.saplings[k], "deaths": of.deaths[:, k]}
    factor = {"mid": of.factor["mid"][:, k]}
    judged = of.judged.of(k)
    return replace(of, stands=stands, factor=factor, even={"mid": np.ones(STANDS)}, judged=judged, **many)


def ways(cruises):
    """One way to go, or all of them."""
    of, k, draw = nineteen(), np.arange(STANDS), np.random.default_rng(1)
    error = 0.12 * draw.standard_normal((11, STANDS, NUMBER))
    site = np.exp(0.3 * draw.standard_normal((STANDS, NUMBER)))
    drawn = file._Draws(np.exp(-error[0]), site, error[1:], np.ones(NUMBER))
    acres, keep = np.full((STANDS, 1), 20.0), np.full((STANDS, 1), 30.0)
    today = file._Woods(of, k, acres, np.ones((STANDS, 1)), BASE)
    stock = float(today.stock.sum())
    rule = file._Rule(rule_of(stock), stock, float(today.grown().sum()), BASE)

    def go():
        for growth in GROWTHS[: 1 if cruises == "one" else 2]:
            start = file._Way(file._Woods(of, k, acres, drawn.scale, BASE), rule, drawn, keep, growth, 0.9)
            if cruises == "one":
                start.to(YEARS, cruised=True)
            else:
                list(file._ways(start))

    return go


def rule_of(stock):
    """The rule without cores."""
    from woodlot.plan.level_cut import LevelCut

    figures = dict.fromkeys(LevelCut.__dataclass_fields__, 0.0)
    shares = {"growth_share": 0.55, "stock_share": 0.85, "mid_growth": 0.022 * stock, "level_cords": 0.012 * stock}
    whole = {"stock_cords": stock, "first_cords": stock, "goal_cords": stock, "area_cords": stock / 45.0}
    return LevelCut(**(figures | shares | whole | {"binds": "growth"}))


@pytest.mark.bench
def test_one_way_of_five_hundred_futures_costs_about_five_floors(reading):
    """The best of five rounds: one way about 5 floors, the goal, all six ways 1.2 seconds; their goal is 2."""
    times = {name: min(each) for name, each in read(__file__).items()}
    reading("one way of 500 futures of 19 stands", times["one"] / times["floor"], 5, "floors")
    reading("all six ways of them", times["all"], 2, "seconds")
    assert set(times) == {"floor", "one", "all"} and times["all"] > times["one"]


if __name__ == "__main__":
    seconds_of({"floor": floor, "one": ways("one"), "all": ways("all")}, ROUNDS)
