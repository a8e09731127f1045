"""Cases that handbooks work out in print, asked of the functions that a family's plots and cores go through.

Growth percent from cores: Service forester's handbook, "Growth Calculation & Projection" (handbook.sref.info, read).
Plots for a tract of four stands: "Calculating Sample Size for Stratified Random Sample", after the Forest Service's
Timber Cruising Handbook, FSH 2409.12, 2000 (read on a page that restates it). Prism: Service forester's handbook,
"Use of Wedge Prism" (read): 43,560/(1 + 4 (D/W)^2), or nearly 10,890 (W/D)^2; a target of 1 ft stands about 33 ft off
for a factor of 10; plot radius factors 2.75 and 1.944 ft for each inch at 10 and 20 (extension slides on point
sampling, read). No handbook was found that works a prism's factor out from a measured distance.
"""

import numpy as np
import pandas as pd
import pytest

from woodlot.stand import next_plots
from woodlot.stand.eye import prism_factor
from woodlot.stand.plots import plots_needed
from woodlot.tree.growth import cored_pct

#: D.I.B. now, d.i.b. five years ago and the printed (d.i.b./D.I.B.)^2, of .001 rounded twice.
CORES = pd.DataFrame(
    {
        "now_in": [7.6, 6.0, 9.3, 11.0, 8.7],
        "then_in": [5.8, 4.0, 7.8, 9.6, 6.8],
        "printed": [0.582, 0.445, 0.704, 0.762, 0.612],
    }
)
#: Acres and CV (percent) of four stands, and the plots printed for each.
ACRES, CV_PCT, PRINTED = np.array([30.0, 10.0, 20.0, 40.0]), np.array([40.0, 65.0, 80.0, 35.0]), [21, 12, 28, 25]


def cored(rows: pd.DataFrame, years: float = 5.0) -> pd.DataFrame:
    """The handbook's cores as a family's table has them."""
    return pd.DataFrame({"dbh_in": rows["now_in"], "growth_in": rows["now_in"] - rows["then_in"], "years": years})


def test_growth_percent_from_cores_as_printed():
    """Five trees: 1 - 3.105/5 = .379, 37.9 % in 5 years, 7.58 % a year of today's basal area."""
    each = [1.0 - cored_pct(cored(CORES.iloc[[at]], 1.0)).value / 100.0 for at in range(len(CORES))]
    assert each == pytest.approx(CORES["printed"].tolist(), abs=0.0015)
    grew = cored_pct(cored(CORES))
    assert 5.0 * grew.value == pytest.approx(37.9, abs=0.05)
    assert grew.value == pytest.approx(7.58, abs=0.01)
    assert grew.low < grew.value < grew.high and grew.n == 5


def test_growth_percent_of_two_cores_has_no_range_and_a_tree_of_nothing_grew_all():
    """Two trees of the handbook: a number without a range; a tree that was not there 10 years ago: 10 % a year."""
    two = cored_pct(cored(CORES.iloc[:2]))
    assert two.low is None and two.value == pytest.approx(100 * (0.41759 + 0.55556) / 2 / 5, abs=1e-3)
    new = pd.DataFrame({"dbh_in": [2.0], "growth_in": [2.0], "years": [10.0]})
    assert cored_pct(new).value == pytest.approx(10.0)


def test_plots_for_a_tract_as_printed():
    """Weighted CV 48.5 %, 10 % wanted, tenth-acre plots of which 1,000 fill the tract: 86, with t about 2."""
    weighted = next_plots.weighted_cv_pct(pd.Series(ACRES), pd.Series(CV_PCT))
    assert weighted == pytest.approx(48.5)
    assert plots_needed(weighted, 10.0, 0.95, 1000.0) == sum(PRINTED) == 86


def test_plots_of_four_stands_as_printed():
    """86 plots by acres times CV: 21, 12, 28, 25, whole parts rounded; and so when they are put one after another."""
    assert next_plots.shared_out(86, pd.Series(ACRES * CV_PCT)).tolist() == PRINTED
    ids = pd.Index(["1", "2", "3", "4"], name="stand_id")
    rows = pd.DataFrame({"ac": ACRES, "mean": 1.0, "c2": (CV_PCT / 100.0) ** 2, "hours": 1.0, "shared": 0.0}, index=ids)
    n = np.ones(4)
    while n.sum() < 86:
        n[next_plots.worth(rows, n).argmax()] += 1
    assert n.tolist() == pytest.approx(PRINTED, abs=1.0)
    assert next_plots.shares(rows).to_numpy() / (ACRES * CV_PCT / 100.0) == pytest.approx(1.0)


def test_a_new_cruise_weighs_the_spread_by_what_stands_hold():
    """The handbook's four stands with their board feet an acre: acres x board feet, not acres, weigh the CVs.

    105,000 45,000 100,000 40,000 board feet: (4.2 + 2.925 + 8 + 1.4)/2.9 million = 56.98 %. The print weighs by acres,
    as if all stands held alike.
    """
    bdft = np.array([3500.0, 4500.0, 5000.0, 1000.0])
    ids = pd.Index(["1", "2", "3", "4"], name="stand_id")
    rows = pd.DataFrame(
        {"ac": ACRES, "mean": bdft, "c2": (CV_PCT / 100.0) ** 2, "hours": 1.0, "shared": 0.0}, index=ids
    )
    cruise = next_plots.new_cruise(rows, 0.10, 0.95)
    assert cruise.weighted_cv_pct == pytest.approx(56.98, abs=0.005)
    assert cruise.plots == plots_needed(cruise.weighted_cv_pct, 10.0, 0.95) == sum(cruise.by_spread.values())
    alike = next_plots.new_cruise(rows.assign(mean=1.0), 0.10, 0.95)
    assert alike.weighted_cv_pct == pytest.approx(48.5)


@pytest.mark.parametrize(("factor", "ft_per_in"), [(10.0, 2.75), (20.0, 1.944)])
def test_a_prism_shifts_its_target_where_a_tree_as_thick_is_just_in(factor, ft_per_in):
    """1 ft is a tree of 12 in: 33 ft for a factor of 10, 23.3 for 20; the two printed formulas differ by .03 %."""
    off_ft = 12.0 * ft_per_in
    assert prism_factor(1.0, off_ft) == pytest.approx(factor, rel=0.001)
    assert prism_factor(1.0, off_ft) == pytest.approx(43560.0 / (1.0 + 4.0 * off_ft**2), rel=0.0005)


def test_a_prism_may_be_tried_on_any_target():
    """Half a foot at half the distance is the same prism; nearer by a tenth is a factor larger by 1/.81."""
    assert prism_factor(0.5, 16.5) == pytest.approx(prism_factor(1.0, 33.0)) == pytest.approx(10.0)
    assert prism_factor(1.0, 29.7) == pytest.approx(10.0 / 0.81)
