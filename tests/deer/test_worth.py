"""What more measuring is worth: against measuring for real, and in the limits."""

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import sign, survey_worth
from woodlot.errors import InputError, NoAnswer
from woodlot.region import shipped
from woodlot.say.reasons import said

SPREAD = np.sqrt(np.log(1.36))


def survey(rng, lines, plots=20, density=25.0):
    """Lines of plots whose means differ by CV .6; the daily rate is 25."""
    mean = density / 640 * 25 * 183 * sign.plot_ac(4.0) * np.exp(rng.normal(-(SPREAD**2) / 2, SPREAD, lines))
    groups = rng.poisson(np.repeat(mean, plots))
    line = np.repeat([f"L{i}" for i in range(lines)], plots)
    return pd.DataFrame(
        {"plot_id": [str(i) for i in range(len(line))], "line": line, "groups": groups, "radius_ft": 4.0, "days": 183.0}
    )


def width(frame):
    """How far the high end lies above the middle, percent, the daily rate known."""
    e = sign.pellets(frame, rate_cv=0.0, region=shipped("base"))
    return 100 * (e.high / e.value - 1)


def test_the_foreseen_range_is_the_one_that_comes():
    """80 surveys of 6 lines: six more lines foreseen on paper or walked for real give the same range in the middle."""
    rng = np.random.default_rng(8)
    now, foreseen, came = [], [], []
    for _ in range(80):
        frame = survey(rng, 6, plots=30, density=50.0)
        now.append(width(frame))
        foreseen.append(survey_worth.more_lines(frame, 6, rate_cv=0.0, draws=300, region=shipped("base")).half_then_pct)
        came.append(width(survey(rng, 12, plots=30, density=50.0)))
    assert np.median(foreseen) == pytest.approx(np.median(came), rel=0.15)
    assert np.median(came) < 0.8 * np.median(now)


def test_more_lines_narrow_more_down_to_the_doubt_in_the_rate():
    """1, 3, 30 and 300 lines: ever narrower, never under what the daily rate leaves."""
    frame = survey(np.random.default_rng(4), 6)
    told = [survey_worth.more_lines(frame, k, draws=500, region=shipped("base")) for k in (1, 3, 30, 300)]
    after = [w.half_then_pct for w in told]
    assert told[0].half_now_pct > after[0] > after[1] > after[2] > after[3] > told[0].best_pct
    assert after[3] == pytest.approx(told[0].best_pct, rel=0.05)
    assert told[0].best_pct == pytest.approx(100 * (np.exp(1.644854 * np.sqrt(np.log(1 + 0.45**2))) - 1), rel=1e-5)


def test_now_is_the_range_that_is_printed():
    """The width now equals that of the count itself."""
    frame = survey(np.random.default_rng(4), 8)
    assert survey_worth.more_lines(frame, 1, rate_cv=0.0, region=shipped("base")).half_now_pct == pytest.approx(
        width(frame)
    )


def test_cameras_hardly_narrow_the_number_of_deer():
    """Four camera weeks or forty: the range shrinks by under 2 percent of the middle; endless ones give no more."""
    few, many = (survey_worth.camera_weeks(w, 0.3, 8, region=shipped("base")) for w in (4, 40))
    assert few.half_now_pct >= few.half_then_pct >= many.half_then_pct >= many.best_pct
    assert few.half_now_pct - many.half_then_pct < 2.0


def test_another_kind_of_count_by_hand():
    """Own CV .2 (df very large), rate .45, another count CV .25: 1/sqrt(1/(.0392+.1844)+1/.0606) = .2184 in logs.

    1.644854 x .2184 = .35923: 43.2 percent above the middle.
    """
    w = survey_worth.another_count(0.25, 0.2, 100_000, region=shipped("base"))
    assert w.half_then_pct == pytest.approx(43.2, abs=0.1)
    assert w.half_then_pct < w.half_now_pct and w.low_end_pct > 0


def test_the_most_useful_comes_first():
    """Sorted by what is left; each says what it would bring."""
    told = survey_worth.measure_next(survey(np.random.default_rng(4), 6), region=shipped("base"))
    widths = [w.half_then_pct for w in told]
    assert widths == sorted(widths) and len(told) == 4
    assert [said(w.what) for w in (told[0], told[-1])] == ["a count of another kind, good to 25%", "4 camera weeks"]


def test_the_high_end_is_that_of_the_level_asked_for():
    """A count of another kind, with df very large: 1.644854 x .2184 in logs at 90 %, .841621 x .2184 at 60 %."""
    frame = survey(np.random.default_rng(4), 6)
    wide, narrow = (survey_worth.measure_next(frame, level=x, region=shipped("base")) for x in (0.9, 0.6))
    assert np.log1p(wide[0].half_then_pct / 100) / np.log1p(narrow[0].half_then_pct / 100) == pytest.approx(
        1.644854 / 0.841621, rel=1e-5
    )
    assert [round(w.low_end_pct, 9) for w in wide] == [
        round(next(n for n in narrow if n.what == w.what).low_end_pct, 9) for w in wide
    ]


def test_too_little_to_foresee():
    """Under ten groups there is no range to narrow; nonsense is refused."""
    none = survey(np.random.default_rng(4), 4, density=0.5)
    assert survey_worth.measure_next(none, region=shipped("base")) == []
    with pytest.raises(NoAnswer):
        survey_worth.more_lines(none, 1, region=shipped("base"))
    with pytest.raises(InputError):
        survey_worth.more_lines(survey(np.random.default_rng(4), 6), 0, region=shipped("base"))
    with pytest.raises(InputError):
        survey_worth.camera_weeks(0, 0.3, 8, region=shipped("base"))
    with pytest.raises(InputError):
        survey_worth.another_count(0.0, 0.3, 8, region=shipped("base"))
