"""Trees known only as a kind of several species, shared out over those seen beside them, by hand."""

from math import sqrt

import numpy as np
import pandas as pd
import pytest

from woodlot.region import shipped
from woodlot.stand.kinds_shared import shared_out

LAKE = shipped("lake_states")


def tally(*rows):
    """Live trees of 10 sq ft and 20 stems an acre each from (stand, species, dbh, how many); all of one cover but x."""
    each = [(stand, species, dbh) for stand, species, dbh, many in rows for _ in range(many)]
    out = pd.DataFrame(each, columns=["stand_id", "species", "dbh_in"]).astype({"dbh_in": float})
    out["cover"] = np.where(out["stand_id"] == "x", "swamp", "hardwood")
    return out.assign(alive=True, basal_sqft_per_ac=10.0, trees_per_ac=20.0, cords=0.1)


def shares(out, stand, kind):
    """Of the trees of a kind in a stand, basal area by what it is told as."""
    rows = out[(out["stand_id"] == stand) & (out["species"] == kind)]
    return (rows.groupby("told_as")["basal_sqft_per_ac"].sum() / rows["basal_sqft_per_ac"].sum()).round(6).to_dict()


def test_a_kind_goes_to_its_species_of_its_size_by_basal_area():
    """Three sugar and two red maples of 8 to 11 in, ten red ones of 16 in: a maple of 9 in is .6 and .4, no oak."""
    out = shared_out(
        tally(
            ("s", "sugar maple", 8, 3),
            ("s", "red maple", 10, 2),
            ("s", "red maple", 16, 10),
            ("s", "northern red oak", 9, 9),
            ("s", "maple", 9, 2),
        ),
        region=LAKE,
    )
    assert shares(out, "s", "maple") == {"sugar maple": 0.6, "red maple": 0.4}
    maple = out[out["species"] == "maple"]
    assert maple["shared"].all() and not out.loc[out["species"] != "maple", "shared"].any()
    assert maple["trees_per_ac"].sum() == pytest.approx(40.0) and maple["cords"].eq(0.1).all()
    # all of it or none: p .6 of 5 trees, q (3 + 1)/(5 + 2)
    red = maple.loc[maple["told_as"] == "sugar maple", "doubt"].iloc[0]
    assert red == pytest.approx(sqrt(4 / 7 * 3 / 7) / 0.6)
    assert (out.loc[~out["shared"], "doubt"] == 0).all()


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        # four of its size are too few: all of the stand
        ([("s", "red maple", 9, 4), ("s", "sugar maple", 16, 12)], {"red maple": 0.25, "sugar maple": 0.75}),
        # four in the stand are too few: all of its cover, not those of another
        ([("s", "red maple", 9, 4), ("t", "sugar maple", 9, 4), ("x", "silver maple", 9, 9)],
         {"red maple": 0.5, "sugar maple": 0.5}),
        # too few in the cover: all of the place, however few
        ([("s", "red maple", 9, 1), ("x", "silver maple", 9, 1)], {"red maple": 0.5, "silver maple": 0.5}),
        # none anywhere: it stays what was written
        ([("s", "northern red oak", 9, 9)], {"maple": 1.0}),
    ],
)  # fmt: skip
def test_where_too_few_are_known_the_wider_ground_is_asked(rows, told):
    """Size, stand, cover, place; five trees are enough."""
    assert shares(shared_out(tally(*rows, ("s", "maple", 9, 1)), region=LAKE), "s", "maple") == told


def test_narrow_kinds_first_and_those_that_stay_are_species_to_a_wider_one():
    """Maples go to the five red maples; an unknown hardwood sees 7 red maples and 3 oaks that nobody named."""
    rows = ("s", "red maple", 9, 5), ("s", "maple", 9, 2), ("s", "oak", 9, 3), ("s", "unknown hardwood", 9, 1)
    out = shared_out(tally(*rows, ("s", "balsam fir", 9, 8), ("s", "unknown softwood", 9, 1)), region=LAKE)
    assert shares(out, "s", "maple") == {"red maple": 1.0} and shares(out, "s", "oak") == {"oak": 1.0}
    assert shares(out, "s", "unknown hardwood") == {"red maple": 0.7, "oak": 0.3}
    assert shares(out, "s", "unknown softwood") == {"balsam fir": 1.0}


def test_one_species_alone_is_still_in_doubt():
    """All five known maples are red: the doubt is that of (5 + 1)/(5 + 2), not none."""
    out = shared_out(tally(("s", "red maple", 9, 5), ("s", "maple", 9, 1)), region=LAKE)
    assert out.loc[out["shared"], "doubt"].tolist() == pytest.approx([sqrt(6) / 7])


def test_dead_trees_and_trees_that_were_only_counted():
    """Dead ones neither teach nor are told; counted ones without a diameter go by their stand, and teach it."""
    rows = tally(("s", "red maple", 9, 3), ("s", "sugar maple", np.nan, 3), ("s", "maple", np.nan, 1))
    dead = tally(("s", "silver maple", 9, 9), ("s", "maple", 9, 2)).assign(alive=False)
    out = shared_out(pd.concat([rows, dead], ignore_index=True), region=LAKE)
    assert out["alive"].all() and shares(out, "s", "maple") == {"red maple": 0.5, "sugar maple": 0.5}


def test_without_a_kind_the_trees_are_as_they_were():
    """The same rows in their order; a stand whose cover is missing is shared out by its own and by all."""
    trees = tally(("s", "red maple", 9, 2), ("t", "sugar maple", 9, 1))
    out = shared_out(trees, region=LAKE)
    pd.testing.assert_frame_equal(out[trees.columns], trees)
    assert out["told_as"].tolist() == trees["species"].tolist()
    bare = tally(("s", "red maple", 9, 6), ("s", "maple", 9, 1)).assign(cover=None)
    assert shares(shared_out(bare, region=LAKE), "s", "maple") == {"red maple": 1.0}
