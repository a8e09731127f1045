"""What a plan says first: the decision of the winter in one line."""

from types import SimpleNamespace

import pytest

from woodlot.answers.first import headline


@pytest.mark.parametrize(
    ("stands", "plots_ac", "cut", "said"),
    [
        (3, 0.0, 0, "No plots yet. Put three in the largest stand for a first figure."),
        (3, 9.0, 0, "Cut nothing this winter."),
        (1, 9.0, 1, "Cut in one stand this winter."),
        (2, 9.0, 1, "Cut in one stand this winter. Leave the other one."),
        (4, 9.0, 2, "Cut in two stands this winter. Leave the other two."),
        (15, 9.0, 1, "Cut in one stand this winter. Leave the other 14."),
    ],
)
def test_the_decision_in_one_line_by_hand(stands, plots_ac, cut, said):
    """So many stands, acres with plots, and stands to be cut."""
    totals = SimpleNamespace(acres_with_plots=plots_ac, stands_this_winter=["1"] * cut)
    assert headline([None] * stands, totals) == said
