"""Which trees of a tally fall: ground to be cleared first, then no more than the list still lacks."""

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.wood import needs
from woodlot.wood.felling import cleared, felling
from woodlot.wood.need_lines import lines

HERE = shipped("lake_states")
BY = {"division": "210", "solid_cuft_per_cord": 79.0, "log_rule": "international_quarter", "region": HERE}
LIST = {
    "firewood_cord": 1.2,
    "poles": 2,
    "pieces": [{"product": "sawlog", "number": 3, "length_ft": 8, "top_in": 9}],
}


@pytest.fixture(scope="module")
def tally():
    """Twenty-four made-up trees, six of them where a shed is to stand."""
    draw = np.random.default_rng(5)
    dbh = draw.uniform(7, 19, 24)
    marks = ["shed, red dot" if row % 4 == 0 else "blue" for row in range(24)]
    return pd.DataFrame(
        {
            "tree": [str(100 + row) for row in range(24)],
            "parcel_id": "home",
            "stand_id": ["1" if row < 12 else "2" for row in range(24)],
            "species": draw.choice(["sugar maple", "northern red oak", "balsam fir"], 24),
            "dbh_in": dbh,
            "height_ft": 30 + 2.2 * dbh,
            "alive": True,
            "mark": marks,
        }
    )


@pytest.fixture(scope="module")
def asked():
    """Two poles, three logs, firewood."""
    return lines(LIST, region=HERE)


def test_marks_of_ground_to_be_cleared(tally):
    """The word clear stands for itself; the family's own word is found among others, and within none."""
    marks = pd.DataFrame({"mark": ["clear", "Clear; two dots", "cleared once", "shed", "sheds", None, "red, SHED"]})
    assert cleared(marks).tolist() == [True, True, False, False, False, False, False]
    assert cleared(marks, ["shed"]).tolist() == [True, True, False, True, False, False, True]
    assert cleared(tally, ["shed"]).sum() == 6


def test_without_clearing_the_choice_is_the_search_itself(tally, asked):
    """The same trees, lines and account as ``needs.choose`` gives for them."""
    mine = felling(tally, asked, cleared(tally), **BY)
    theirs = needs.choose(tally, asked, **BY)
    assert mine.fell.tolist() == np.flatnonzero(theirs.trees["fell"]).tolist() and 0 < len(mine.fell) < 24
    assert mine.chosen.lines["got"].tolist() == theirs.lines["got"].tolist()
    assert mine.account.left() == needs.account_of(theirs, "210", 79.0, region=HERE).left()


def test_cleared_trees_all_fall_and_spare_marked_ones(tally, asked):
    """What the shed's ground gives is wanted no more: fewer marked trees fall, the lines are met, nothing twice."""
    clear = cleared(tally, ["shed"])
    alone, both = felling(tally, asked, np.zeros(24, dtype=bool), **BY), felling(tally, asked, clear, **BY)
    assert both.trees.loc[clear, "fell"].all() and both.chosen.met
    assert both.trees.loc[~clear, "fell"].sum() < alone.trees.loc[~clear, "fell"].sum() + 1
    assert both.trees.loc[~clear, "fell"].sum() < len(alone.fell)
    of = both.pieces
    assert set(of["stem"]) <= set(both.fell) and not of.duplicated(["stem", "number"]).any()
    counts = [(of["line"] == line).sum() for line in range(len(both.asked))]
    sized = [at for at, line in enumerate(both.asked) if line.unit == "pieces"]
    assert sized and all(both.chosen.lines["got"].iloc[at] == counts[at] for at in sized)
    assert both.chosen.wood_cuft == pytest.approx(both.trees.loc[both.trees["fell"], "wood_cuft"].sum())
    assert both.chosen.lines["wanted"].tolist() == [line.number for line in asked]


def test_more_trees_to_clear_never_leave_more_missing(tally, asked):
    """From no tree to all of them: what is short falls or stays."""
    before = np.inf
    for some in (slice(0, 0), slice(0, 6), slice(0, 15), slice(0, 24)):
        clear = np.zeros(24, dtype=bool)
        clear[some] = True
        got = felling(tally, lines({"posts": 30, "firewood_cord": 3.0}, region=HERE), clear, **BY)
        short = got.chosen.lines["short"].sum()
        assert short <= before + 1e-6
        before = short
    assert got.trees["fell"].all()


def test_what_is_missing_counts_both_parts(tally):
    """A list that cannot be met says of how many in all, not of what the cleared trees left."""
    asked = lines({"pieces": [{"product": "sawlog", "number": 60, "length_ft": 8, "top_in": 9}]}, region=HERE)
    got = felling(tally, asked, cleared(tally, ["shed"]), **BY).chosen.lines.iloc[0]
    assert got["got"] + got["short"] == 60 and 0 < got["got"] < 60
    assert said(got["why"]).startswith(f"{got['got']:g} of 60 sawlogs")


def test_where_nothing_is_wanted_only_cleared_trees_fall(tally):
    """Marked trees stay; cleared ones are cut for their best use, as the whole tally would be."""
    none = felling(tally, [], cleared(tally), **BY)
    assert none.chosen is None and none.account is None and len(none.fell) == 0 and len(none.pieces) == 0
    clear = cleared(tally, ["shed"])
    some = felling(tally, [], clear, **BY)
    assert some.fell.tolist() == np.flatnonzero(clear).tolist() and (some.pieces["line"] == -1).all()
    best = needs.choose(tally, [], whole=True, **BY).pieces.sort_values(["stem", "number"])
    wanted = best[best["stem"].isin(some.fell)][["stem", "product", "from_ft", "to_ft"]].reset_index(drop=True)
    found = some.pieces.sort_values(["stem", "number"])[["stem", "product", "from_ft", "to_ft"]]
    pd.testing.assert_frame_equal(found.reset_index(drop=True), wanted)


def test_pieces_of_marked_trees_go_to_the_lines_that_lacked_them(tally):
    """The shed's ground gives the pole; of logs both parts give some: each line's pieces are what it got."""
    asked = lines({"poles": 1, "pieces": [{"product": "sawlog", "number": 20, "length_ft": 8}]}, region=HERE)
    got = felling(tally, asked, cleared(tally, ["shed"]), **BY)
    lined = got.pieces[got.pieces["line"] >= 0]
    counts = lined.groupby("line").size().reindex(range(len(asked)), fill_value=0)
    assert counts.tolist() == got.chosen.lines["got"].tolist() and (counts >= [1, 20]).all()
    parts = got.trees.loc[lined["stem"], "cleared"].groupby(lined["line"].to_numpy()).agg(list).to_dict()
    assert set(parts[1]) == {True, False} and set(parts[0]) == {True}
