"""The rule of the level cut in woods that grow by a formula, beside figures kept from outside this project."""

import sys
from pathlib import Path

import numpy as np
import pytest

from woodlot.plan.level_cut import level_cut
from woodlot.region import shipped

sys.path.insert(0, str(Path(__file__).parents[1] / "trials"))
import nine_woods as trial

BASE = shipped("base")
RUNS = 1000


def reset(flat, share, pull):
    """Stock after 50 years at 3 percent assumed and 2.1 true, without any error, cut anew every ten years."""
    stock = 1.0
    for _ in range(5):
        level = level_cut(share * 0.03 * stock, stock, 1.0 if pull else 0.0, np.nan, 1.0, region=BASE)
        for _ in range(10):
            stock += (0.021 if flat else 0.021 * stock) - float(level)
    return stock


@pytest.mark.parametrize(
    ("share", "pull", "interest", "flat"),
    [
        (1.0, False, 0.5938, 0.7504),
        (0.8, False, 0.8455, 0.9067),
        (0.7, False, 1.0000, 1.0000),
        (0.8, True, 0.9441, 0.9595),
        (0.9, True, 0.8938, 0.9221),
    ],
)
def test_without_errors_the_stock_ends_where_reckoned(share, pull, interest, flat):
    """Forest ageing, section 9, derived: the cut reset every ten years at a share of assumed growth."""
    assert reset(False, share, pull) == pytest.approx(interest, abs=5e-5)
    assert reset(True, share, pull) == pytest.approx(flat, abs=5e-5)


@pytest.fixture(scope="module")
def found():
    """A small draw of the trial beside the kept figures."""
    return trial.table(RUNS, seed=3)


@pytest.mark.parametrize("case", trial.CASES)
def test_chances_are_those_of_ten_thousand_runs_within_their_own_error(found, case):
    """432 chances of 108 woods by rules: none off by more than four standard errors and half a point."""
    kept = found[case].to_numpy() / 100.0
    error = np.sqrt(kept * (1.0 - kept) * (1.0 / RUNS + 1.0 / 10_000)) * 100.0
    off = (found[f"found_under_{case}"] - found[case]).abs().to_numpy()
    assert len(off) == 108 and (off <= 4.0 * error + 0.5).all()
    assert found[case].max() > 1.0


@pytest.mark.parametrize("case", trial.CASES)
def test_the_cut_and_the_stock_are_those_kept_too(found, case):
    """The median stock after 100 years within .1, cut over assumed growth within .02."""
    assert (found[f"found_stock_{case}"] - found[f"stock_{case}"]).abs().max() < 0.1
    assert (found[f"found_cut_{case}"] - found[f"cut_{case}"]).abs().max() < 0.02


def test_both_pulls_hold_a_wood_and_never_cut_the_noise():
    """Worst of nine, 30 percent less growth, forest ageing section 9: .8 percent, with ten cores 17 (7.9 by the pull
    down alone); were the whole stock taken as surplus 7.3 and 28. Four standard errors of so many runs are allowed.
    """
    told = trial.pulls(2000, seed=3)
    for name, kept in (
        ("no cores", 0.8),
        ("ten cores", 17.0),
        ("ten cores, down only", 7.9),
        ("no cores, whole stock", 7.3),
        ("ten cores, whole stock", 28.0),
    ):
        share = kept / 100.0
        assert told[name] == pytest.approx(kept, abs=400.0 * np.sqrt(share * (1.0 - share) / 2000)), name
