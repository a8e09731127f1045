"""The herd forward: against the matrix, in whole numbers, with the same winters for every take."""

import numpy as np
import pytest

from woodlot.deer import forward, herd
from woodlot.errors import InputError
from woodlot.region import shipped

START = forward.Start(bucks=10.0, does=20.0, fawns=12.0, doubt=0.4)
CERTAIN = forward.Start(bucks=10.0, does=20.0, fawns=12.0, doubt=0.0)


def run(draws, does, bucks, deaths_per_deer=0.0):
    """Deer before the hunt, by year and draw: (years + 1, n), with so many taken every fall."""
    years = range(draws.survive.shape[0] + 1)
    without, recruits = forward.antlerless(draws, does * (1 + deaths_per_deer), years)
    return without + forward.antlered(draws, recruits, bucks * (1 + deaths_per_deer), years)[0]


def plain(monkeypatch, **more):
    """Draws without any doubt: known rates, average winters, no year effect."""
    monkeypatch.setattr(forward, "_winters", lambda rng, shape, winters, region: np.full(shape, 67.0))
    real = forward.default
    monkeypatch.setattr(forward, "default", lambda name, region: 0.0 if name == "year_effect" else real(name, region))
    return forward.draw(CERTAIN, n=3, years=30, known_rates=True, **more, region=shipped("base"))


def test_the_does_follow_the_matrix(monkeypatch):
    """Without doubt the does grow as the matrix says: 1.0649 a year once the make-up is stable."""
    d = plain(monkeypatch)
    without, recruits = forward.antlerless(d, 0.0, range(31))
    growth = herd.growth_rate(herd.female_matrix(**herd.herd_rates(0, region=shipped("base"))))
    assert without[30, 0] / without[29, 0] == pytest.approx(growth, rel=1e-6)
    assert np.ptp(without[30]) == 0 and recruits.shape == (30, 3)


def test_one_year_by_hand(monkeypatch):
    """Start 6 fawns a sex, does 20, bucks 10; yearling shares by the table; 2 does and 3 bucks, a third lost on top.

    Doe loss 2.6667 of 20 leaves .866667; buck loss 4 of 10 leaves .6. Yearling does y = 20 s, grown 20 (1 - s).
    Next fall: grown does .866667 (20 s .85 + 20 (1 - s) .87); yearlings 6 x .70 = 4.2 of each sex; fawns of each sex
    .205 (.07 x 4.2 + 1.4 x .866667 x 20 s x .85 + 1.75 x .866667 x 20 (1 - s) .87); bucks .6 x 10 x .85 + 4.2.
    """
    d = plain(monkeypatch)
    _, y, a = herd.stable_shares(herd.female_matrix(**herd.herd_rates(0, region=shipped("base"))))
    s = y / (y + a)
    left = 1 - 2 * (4 / 3) / 20
    young, grown = 20 * s * left, 20 * (1 - s) * left
    fawns = 0.205 * (0.07 * 4.2 + 1.4 * young * 0.85 + 1.75 * grown * 0.87)
    does = young * 0.85 + grown * 0.87 + 4.2
    bucks = 10 * 0.6 * 0.85 + 4.2
    assert run(d, 2, 3, 1 / 3)[1, 0] == pytest.approx(does + bucks + 2 * fawns, rel=1e-9)


def test_a_take_larger_than_the_herd_leaves_none():
    """50 does and 50 bucks a year: nothing negative, no deer in the end."""
    left = run(forward.draw(START, n=200, years=10, region=shipped("base")), 50, 50)
    assert np.all(left >= 0) and np.all(np.isfinite(left))
    assert left[10].max() < 1.0


def test_every_take_meets_the_same_winters():
    """Same draws, one more doe: never more deer in any draw, and no noise between takes."""
    d = forward.draw(START, n=500, years=10, region=shipped("base"))
    none, one = run(d, 0, 0), run(d, 1, 0)
    assert np.all(one[1:] < none[1:])
    assert np.array_equal(run(d, 1, 0), one)
    assert np.array_equal(d.start, forward.draw(START, n=500, years=10, region=shipped("base")).start)


def test_an_unhunted_herd_changes_as_stated():
    """SD of a year's change .12, share that falls near the .31 of the reference page 4.6, both in deep forest."""
    d = forward.draw(CERTAIN, n=20_000, years=1, region=shipped("base"))
    change = run(d, 0, 0)[1] / d.start[[0, 0, 1, 2, 3, 4]].sum(axis=0)
    assert change.std() == pytest.approx(0.12, abs=0.01)
    assert (change < 1).mean() == pytest.approx(0.31, abs=0.03)


def test_farmland_herds_grow_faster_and_fewer_fawns_slow_them():
    """30 % farmland grows more than deep forest; three fawns in ten fewer, less than either."""
    middle = {
        k: np.median(run(forward.draw(START, n=2000, years=10, **m, region=shipped("base")), 0, 0)[10])
        for k, m in {"forest": {}, "farm": {"farmland_pct": 30}, "fewer": {"fawn_factor": 0.7}}.items()
    }
    assert middle["farm"] > middle["forest"] > middle["fewer"]


def test_neighbors_take_a_share_of_what_there_is():
    """Five of the twenty does a year: survival of grown does times .75 in a draw at the middle herd."""
    with_them = forward.draw(CERTAIN, n=50, years=2, neighbors=(0.0, 5.0), region=shipped("base"))
    alone = forward.draw(CERTAIN, n=50, years=2, region=shipped("base"))
    assert with_them.survive[:, 2] / alone.survive[:, 2] == pytest.approx(0.75)
    assert with_them.survive[:, 3] == pytest.approx(alone.survive[:, 3])


def test_a_crowded_herd_stops_growing(monkeypatch):
    """Full herd of 60 does and fawns: that is where the herd settles, without doubt."""
    d = plain(monkeypatch, full_herd=60.0)
    d = forward.Draws(d.start, np.tile(d.survive, (20, 1, 1)), np.tile(d.births, (20, 1, 1)), d.crowding)
    without, _ = forward.antlerless(d, 0.0, [600])
    assert without[0, 0] == pytest.approx(60.0, rel=1e-3)


def test_winters_of_record_are_drawn_from():
    """Five mild winters on record give more deer than five hard ones; four are too few and are not used."""

    def end(winters):
        return np.median(run(forward.draw(START, n=1000, years=10, winters=winters, region=shipped("base")), 0, 0)[10])

    assert end([20] * 5) > end([150] * 5)
    assert end([20] * 4) == end(None)


def test_growth_below_one_falls_without_a_hunt():
    """Severe winters every year: the middle herd is smaller after ten years with no hunting."""
    left = run(forward.draw(START, n=1000, years=10, winters=[170] * 6, region=shipped("base")), 0, 0)
    assert np.median(left[10]) < np.median(left[0])


def test_the_draws_hold_rates_in_range():
    """Survival between 0 and 1, births not negative, in 5,000 draws."""
    d = forward.draw(START, n=5000, years=5, region=shipped("base"))
    assert d.survive.min() > 0 and d.survive.max() <= 1
    assert d.births.min() >= 0
    assert len(shipped("base").table("deer_herd_ranges")) == 7
    with pytest.raises(InputError):
        forward.draw(START, n=0, region=shipped("base"))
