"""Two hundred years uncut, a small draw of tests/trials/two_hundred_years_uncut.py: no more than old woods hold."""

import runpy
from pathlib import Path

import pytest

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
