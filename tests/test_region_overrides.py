"""A family's own tables act: a draw of the tables, each changed in turn, moves an answer."""

import random
import runpy
from pathlib import Path

import pandas as pd
import pytest

from woodlot.region import MARKS, known_tables

TRIAL = runpy.run_path(str(Path(__file__).parent / "trials" / "region_overrides.py"))


@pytest.mark.slow
def test_a_draw_of_the_tables_moves_an_answer():
    """Three tables drawn by a seed, each changed in a family's own region: an answer moves by every one of them."""
    drawn = random.Random(11).sample(sorted(set(known_tables()) - TRIAL["RARE"] - TRIAL["BROUGHT"] - {"sources"}), 3)
    moved = TRIAL["run"](drawn, ("plain",))
    assert sorted(moved) == sorted(drawn)
    assert all(where and not what.startswith(("refused", "CRASHED")) for where, what in moved.values()), moved


def test_other_numbers_keep_what_names_something():
    """Numbers that name (a month) stay; shares stay under one; words change one column at a time."""
    rows = pd.DataFrame({"month": [1], "temperature_f": [50.0], "share": [0.99], "what": ["a"]})
    changes = dict(TRIAL["others"](rows.assign(**dict.fromkeys(MARKS, "x")), "climate_months"))
    assert list(changes) == ["x 1.07", "x 1.6", "x 0.5", "what"]
    little = changes["x 1.07"].iloc[0]
    assert (little["month"], little["share"]) == (1, 1.0) and little["temperature_f"] == pytest.approx(53.5)
    assert changes["what"]["what"].iloc[0] == "a (ours)" and changes["what"]["temperature_f"].iloc[0] == 50.0
