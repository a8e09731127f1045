"""Cases that handbooks work out in print, asked of the functions that a family's plots and cores go through.

Growth percent from cores: Service forester's handbook, "Growth Calculation & Projection" (handbook.sref.info, read).
Plots for a tract of four stands: "Calculating Sample Size for Stratified Random Sample", after the Forest Service's
Timber Cruising Handbook, FSH 2409.12, 2000 (read on a page that restates it).
"""

import numpy as np
import pandas as pd
import pytest

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
    weighted = (ACRES * CV_PCT).sum() / ACRES.sum()
    assert weighted == pytest.approx(48.5)
    assert plots_needed(weighted, 10.0, 0.95, 1000.0) == sum(PRINTED) == 86
