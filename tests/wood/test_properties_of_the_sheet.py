"""What a sawyer, a fence builder and a stove owner look for on any buck sheet, on made-up tallies with words."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.wood import needs
from woodlot.wood.need_lines import Line
from woodlot.wood.products import decay

HERE = shipped("northeast")
KINDS = ["black walnut", "black cherry", "boxelder", "white ash", "northern red oak", "black locust", "white oak"]
KINDS += ["northern white-cedar", "sugar maple", "american basswood", "balsam fir"]
WORDS = [
    "",
    "",
    "",
    "",
    "crook",
    "poor form",
    "at risk",
    "dying",
    "hollow",
    "hung",
    "leaning",
    "keep",
    "crop",
    "butt rot",
]
FENCE = Line("post", 60, (7.0,), 4.0, 14.0, "lasting", 5.0, 10.0, in_ground=True)
LIST = [FENCE, Line("sawlog", 4, (8.0, 10.0, 12.0), 10.0), Line("firewood", 2, mmbtu=40.0)]


def hillside(seed, size=26):
    """Made-up trees with words; some crooks bear their place."""
    draw = np.random.default_rng(seed)
    dbh = np.round(np.clip(draw.gamma(7, 1.8, size), 5, 24), 1)
    words = draw.choice(WORDS, size)
    placed = (words == "crook") & (draw.random(size) < 0.5)
    return pd.DataFrame(
        {
            "species": draw.choice(KINDS, size),
            "dbh_in": dbh,
            "height_ft": 30 + 2.6 * dbh,
            "quality": words,
            "defect_from_ft": np.where(placed, 18.0, np.nan),
            "defect_to_ft": np.where(placed, 21.0, np.nan),
            "alive": draw.random(size) > 0.1,
        }
    )


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 10_000))
def test_every_line_of_a_sheet_is_one_the_trade_would_write(seed):
    """No tree that is not for hand felling or kept; posts of lasting woods alone, none out of what could be a good log
    of walnut or cherry; where logs are cut the butt is in them, but for rot; nothing lies across a crook.
    """
    trees = hillside(seed)
    told = needs.choose(trees, LIST, prove=False, region=HERE)
    felled = trees[told.trees["fell"].to_numpy()]
    ash = felled["species"] == "white ash"
    assert felled["alive"].all() and not felled["quality"].isin(["hollow", "hung", "leaning", "keep", "crop"]).any()
    assert not (ash & felled["quality"].isin(["dying", "at risk"])).any()
    pieces = told.pieces.join(trees[["species", "quality", "defect_from_ft"]], on="stem")
    posts = pieces[pieces["kind"] == "post"]
    assert (decay(posts["species"], region=HERE)["lasting"] == "yes").all()
    dear = posts["species"].isin(["black walnut", "black cherry"]) & (posts["quality"] != "crook")
    assert (posts.loc[dear, "large_end_in"] <= 11.0 + 1e-9).all()
    logs = pieces[(pieces["kind"] == "sawlog") & (pieces["quality"] != "butt rot")]
    first = pieces.groupby("stem")["from_ft"].min()
    assert (first[logs["stem"].unique()] == 1.0).all()
    crook = pieces[pieces["defect_from_ft"].notna()]
    assert ((crook["to_ft"] <= 18.0 + 1e-9) | (crook["from_ft"] >= 21.0 - 1e-9)).all()


@settings(max_examples=6, deadline=None)
@given(st.integers(0, 10_000), st.floats(10, 60))
def test_walnut_goes_to_the_stove_only_when_nothing_else_is_left(seed, mmbtu):
    """A list of heat alone: no walnut or cherry that holds a log is felled while a sound box elder stands."""
    trees = hillside(seed).assign(quality="", defect_from_ft=np.nan, defect_to_ft=np.nan, alive=True)
    told = needs.choose(trees, [Line("firewood", mmbtu / 20.0, mmbtu=mmbtu)], prove=False, region=HERE)
    fell = told.trees["fell"].to_numpy()
    dear = trees["species"].isin(["black walnut", "black cherry"]) & (trees["dbh_in"] >= 14)
    lesser = (trees["species"] == "boxelder") & (trees["dbh_in"] >= 8)
    assert not (dear & fell).any() or (fell | ~lesser).all()


def one(word="", species="northern red oak", **more):
    """Two trees of a kind of 17 in, asked for all the posts and logs they have."""
    row = {"species": [species] * 2, "dbh_in": 17.0, "height_ft": 75.0, "quality": word, "alive": True}
    return pd.DataFrame(row | more)


@pytest.mark.parametrize(
    ("word", "place", "grade", "length"),
    [("crook", {}, 3, 8.0), ("crook", {"defect_from_ft": 18.0, "defect_to_ft": 22.0}, 1, 16.0),
     ("seam", {"defect_from_ft": 18.0, "defect_to_ft": 22.0}, 1, 16.0),
     ("rot", {"defect_from_ft": 18.0, "defect_to_ft": 22.0}, 3, 8.0),
     ("crook, poor form", {"defect_from_ft": 18.0, "defect_to_ft": 22.0}, 2, 8.0)],
)  # fmt: skip
def test_a_crook_with_its_place_leaves_the_butt_log_whole(word, place, grade, length):
    """Under 18 ft lies a straight butt: a 16-ft log. Rot reaches farther than it is seen; poor form is all."""
    told = needs.choose(one(word, **place), [Line("sawlog", 1, (8.0, 10.0, 16.0), 10.0)], region=HERE, whole=True)
    butt = told.pieces[told.pieces["from_ft"] == 1.0].iloc[0]
    assert (butt["grade"], butt["length_ft"]) == (grade, length)


@pytest.mark.parametrize(("woods", "thick"), [("lasting", False), ("black walnut", True)])
def test_no_post_of_a_walnut_butt_unless_somebody_asks_for_it(woods, thick):
    """A hundred posts wanted of two walnuts of 17 in: the butts stay logs of 11 in and up; by its name it is set."""
    line = Line("post", 100, (7.0,), 4.0, 14.0, woods, 5.0, 10.0, in_ground=True)
    told = needs.choose(one(species="black walnut"), [line], region=HERE, whole=True)
    posts = told.pieces[told.pieces["kind"] == "post"]
    assert len(posts) and (posts["large_end_in"].max() > 11.0) == thick
    assert ("sawlog" in set(told.pieces.loc[told.pieces["from_ft"] == 1.0, "kind"])) == (not thick) or thick


def test_a_line_that_others_came_before_says_so():
    """Posts of all of two locusts come first: the end posts after them could be had, and are not."""
    first = Line("post", 100, (7.0,), 4.0, 14.0, "lasting", 5.0, 10.0, in_ground=True)
    told = needs.choose(
        one(species="black locust"), [first, Line("post", 2, (9.0,), 5.0, 14.0, "lasting")], region=HERE
    )
    row = told.lines.iloc[1]
    assert row["got"] == 0 and said(row["why"]).endswith(
        "of that size, and lines above this one in the list come first"
    )
