"""The record fall by fall: each winter and spring that was written down stands there with what was made of it."""

from dataclasses import replace

import pytest

from woodlot.deer.answer import Spring
from woodlot.deer.complete import Rate
from woodlot.deer.falls import falls_told, hard_winter, springs_told
from woodlot.deer.herd_answer import herd_answer
from woodlot.deer.herd_evidence import PelletCount
from woodlot.deer.herd_fit import Fall, Ground, ends, middle
from woodlot.deer.record import Record
from woodlot.deer.winter import Loss, herd_loss
from woodlot.estimate import Estimate
from woodlot.region import shipped
from woodlot.say.reasons import said

REGION = shipped("base")


def winter(value, scale="wisconsin", weather=False):
    """A winter of this value."""
    measure = "points" if scale == "wisconsin" else "days of snow 12 in. or more"
    return Loss(herd_loss(value, scale, REGION), scale, measure, value, weather)


def spring(year, groups):
    """A spring on 100 plots; under 10 groups it has no range."""
    low = None if groups < 10 else groups / 2
    return Spring(year, 100, groups, Estimate(float(groups), "deer a square mile", low, low and groups * 2.0))


def ask(groups, winters):
    """The herd of springs of so many groups from 2024 on, in a season after as many winters."""
    falls = [
        Fall(2023 + k, pellets=PelletCount(g, 100, g / 100, 0.20771, 0.3), winter_loss=w.share)
        for k, (g, w) in enumerate(zip(groups, winters, strict=True))
    ]
    season = 2023 + len(falls)
    springs = tuple(spring(2024 + k, g) for k, g in enumerate(groups))
    told = {2023 + k: w for k, w in enumerate(winters)}
    record = Record(season, (*falls, Fall(season)), Ground(230, 1614, 0.15), springs, (), None, Rate(25, 0.45), told)
    return herd_answer(record, seed=3, region=REGION)


@pytest.fixture(scope="module")
def herd():
    """Three springs; a usual winter, one of a snow stake, a hard one."""
    return ask([20, 21, 14], [winter(60), winter(75, "michigan", True), winter(190)])


def test_a_row_a_fall_with_its_herd_its_plots_and_its_winter(herd):
    """The herd is the draws' of that fall; the winter is told in its own scale and by what it took of the herd."""
    rows = falls_told(herd, 0.5)
    assert [row.year for row in rows] == [2023, 2024, 2025, 2026] and [row.groups for row in rows] == [20, 21, 14, None]
    draws = herd.fit.cloud.numbers[1]
    assert (rows[1].per_sqmi.low, rows[1].per_sqmi.high) == ends(draws, herd.fit.weights, 0.5)
    assert rows[1].per_sqmi.value == middle(draws, herd.fit.weights) and rows[3].per_sqmi == herd.fall
    assert [said(row.winter) for row in rows[:3]] == [
        "60 points, Wisconsin's",
        "75 days of snow 12 in. or more, Michigan's, from the stake",
        "190 points, Wisconsin's",
    ]
    assert [row.lost_pct for row in rows[1:]] == pytest.approx([14.5, 33, None])
    assert rows[3].winter == ""


def test_a_hard_last_winter_is_told_and_a_usual_one_is_not(herd):
    """33 in 100 after 190 points; 15 in 100 at 100 points are the least told; a hard one further back is not."""
    assert hard_winter(herd, REGION) == (2025, pytest.approx(0.33))
    by = {points: replace(herd.record, winters={2024: winter(190), 2025: winter(points)}) for points in (99, 100)}
    assert hard_winter(replace(herd, record=by[99]), REGION) is None
    assert hard_winter(replace(herd, record=by[100]), REGION) == (2025, 0.15)
    assert hard_winter(replace(herd, record=replace(herd.record, winters={})), REGION) is None


def test_a_spring_that_moves_nothing_is_marked():
    """180 groups beside two of 18 and 6: set aside; 6 groups alone give no number; the other has no mark."""
    herd = ask([18, 6, 180], [winter(60)] * 3)
    assert [one.note for one in springs_told(herd)] == [None, None, "set aside"]
    alone = ask([390], [winter(60)])
    assert not alone.measured and [one.note for one in springs_told(alone)] == ["set aside"]
    few = ask([3], [winter(60)])
    assert [one.note for one in springs_told(few)] == [None]


def test_winters_written_while_nothing_was_counted_stand_there_too():
    """Each that was written down, without a number of deer."""
    herd = ask([390], [winter(60)])
    herd = replace(herd, record=replace(herd.record, winters={2019: winter(110), 2023: winter(60)}))
    rows = falls_told(herd, 0.9)
    assert [(row.year, row.per_sqmi.value) for row in rows] == [(2019, None), (2023, None), (2024, None)]
    assert rows[0].lost_pct == pytest.approx(17)
