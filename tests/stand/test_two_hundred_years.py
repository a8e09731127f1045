"""Two hundred years uncut, a small draw of tests/trials/two_hundred_years_uncut.py: no more than old woods hold."""

import runpy
from pathlib import Path

import numpy as np
import pytest

from woodlot.plan.woods import run

TRIAL = runpy.run_path(str(Path(__file__).parent.parent / "trials" / "two_hundred_years_uncut.py"))


@pytest.mark.parametrize("cover", ["northern hardwoods", "oak", "pine", "hemlock", "low, wet hardwoods"])
def test_old_stands_lie_at_the_level_to_believe(cover):
    """After a hundred years on loam within the chosen level, after two hundred not over it by more than a twentieth."""
    told = TRIAL["row"](cover, "loam", 2)
    low, high = map(float, told["level"].split("-"))
    assert told["at 100"] == "in" and low <= told["100 yr"] <= high
    assert low <= told["200 yr"] <= 1.05 * high
    if cover != "pine":
        assert told["largest in"] <= 1.5 * told["usual largest"] and told["36 in+"] < 2.0


@pytest.mark.parametrize("cover", ["aspen and birch", "pine, jack", "spruce and fir"])
def test_kinds_that_break_up_are_gone_after_a_hundred_years(cover):
    """Under a square foot of them, the wood they held told as broken; without an age they stand on."""
    told = TRIAL["row"](cover, "sandy loam", 2)
    assert told["short 100"] < 1.0 and told["broken cords"] > 5.0
    assert TRIAL["row"]("aspen and birch, no age", "sandy loam", 2)["short 100"] > 50.0


@pytest.mark.parametrize("cover", ["aspen and birch", "pine, jack", "pine"])
def test_mixed_stands_of_one_age_keep_their_account_and_their_cords(cover):
    """What stands today is what the plots say; basal area closes each year, also where aspen is cut whole in year 12 or
    pine thinned in year 3: then the other kinds are cut with it.
    """
    woods = TRIAL["woods_of"](cover, TRIAL["STARTS"][cover], "loam", 3)
    leave = np.full((30, TRIAL["STANDS"]), np.nan)
    leave[3] = 60.0
    clear = np.full(TRIAL["STANDS"], 12 if cover.startswith("aspen") else -1)
    told = run(woods, 30, leave_sqft=leave, clear=clear, region=TRIAL["REGION"])
    plain = run(woods, 30, region=TRIAL["REGION"])
    for path in (told, plain):
        before = np.vstack([path.basal[1:-1] + path.cut_basal[1:], path.basal[-1:]])
        net = path.survivor + path.ingrowth - path.mortality
        assert np.abs(before - path.basal[:-1] - net).max() < 1e-9
    at = 12 if cover.startswith("aspen") else 3
    assert told.cut_cords[at] + told.cords[at] == pytest.approx(plain.cords[at])
    assert told.cut_basal[at] + told.basal[at] == pytest.approx(plain.basal[at])
    assert (told.cords[at] == 0).all() if cover.startswith("aspen") else (told.cords[at] > 0).all()
    assert (plain.broken.sum() > 0) == (cover != "pine") and (plain.broken >= 0).all()
    area = np.einsum("sck,c->k", woods.trees, TRIAL["basal_sqft"](TRIAL["classes"](region=TRIAL["REGION"])))
    assert plain.basal[0] == pytest.approx(area)


def test_low_middle_and_high_run_at_their_own_pace():
    """Aspen of 40 years for 25: at the low end it breaks up from 55 on, in the middle from 60, at the high end 65."""
    woods = TRIAL["woods_of"]("aspen and birch", TRIAL["STARTS"]["aspen and birch"], "loam", 3)
    first = [
        int(np.flatnonzero(run(woods, 30, case, region=TRIAL["REGION"]).broken[:, 0])[0]) for case in TRIAL["CASES"]
    ]
    assert first == [15, 20, 25]
