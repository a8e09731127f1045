"""Weights and beams of the family's deer: words by the region's weights, and no number of deer."""

import pandas as pd
import pytest

from woodlot.deer.condition import condition
from woodlot.estimate import reason
from woodlot.region import shipped
from woodlot.say.reasons import said

REGION = shipped("base")


def bag(*rows):
    """Rows of sex_age, number, dressed_lb, beam_in."""
    return pd.DataFrame(rows, columns=["sex_age", "number", "dressed_lb", "beam_in"])


@pytest.mark.parametrize(("pounds", "word"), [(94, "thin"), (95, "usual"), (125, "usual"), (126, "heavy")])
def test_the_word_is_by_the_regions_weights(pounds, word):
    """Grown does are usual from 95 to 125 lb; their row says that they set no number."""
    (told,) = condition(bag(("doe", 1, pounds, None)), None, REGION)
    assert f"does {pounds} lb (1, {word})" in said(told)
    assert "never how many deer" in said(reason("measures", of="condition"))


def test_a_row_of_several_counts_for_each_by_hand():
    """Two of 100 and one of 130: 110; three deer; unweighed ones and other classes stand apart."""
    rows = bag(("doe", 2, 100, None), ("doe", 1, 130, None), ("doe", 4, None, None), ("buck", 1, 150, 0.9))
    weights, beams = map(said, condition(rows, None, REGION))
    assert weights.startswith(
        "dressed, on the mean, bucks 150 lb (1, usual) and does 110 lb (3, usual); it takes dozens"
    )
    assert beams.startswith("of 1 buck 0.90 in thick")


def test_of_both_books_the_longer_list_counts():
    """The ledger's one weight beside two of the bag: the bag's; alone: its own."""
    line = {"kind": "deer", "date": "2026-11-10", "sex_age": "doe", "amount": 1.0, "text": "dressed 90 lb"}
    ledger = pd.DataFrame([line])
    two = bag(("doe", 2, 110, None))
    assert "110 lb" in said(condition(two, ledger, REGION)[0])
    assert "90 lb" in said(condition(None, ledger, REGION)[0])
    assert condition(None, None, REGION) == []
