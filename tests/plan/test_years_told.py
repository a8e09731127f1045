"""The years told: by hand where nothing grows, against plain runs, and what nobody knows is not told."""

import json
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from woodlot import place as places
from woodlot.answers.years_told import years_of
from woodlot.plan.woods import CASES, run
from woodlot.plan.years_told import AMOUNTS, YEARS, years_told
from woodlot.season import season
from woodlot.stand.grow import classes
from woodlot.units import basal_sqft

DAY = date(2026, 11, 25)
LON, LAT, WIDE, TALL = -89.4, 46.1, 0.0052, 0.0036
STILL = {
    "region.toml": 'based_on = "lake_states"\n',
    "growth_mortality.csv": "from_dbh_in,annual_share,source,where,seen\n5,0,woodlot,a trial,chosen\n",
    "defaults_growth.csv": (
        "name,value,unit,low,high,meaning,source,where,seen\n"
        "size_deaths_at_largest,0,share,,,no deaths by size,woodlot,a trial,chosen\n"
    ),
}


def feature(at, **properties):
    """A square of a quarter mile as GeoJSON."""
    west, east = LON + at * WIDE, LON + (at + 1) * WIDE
    ring = [[west, LAT], [east, LAT], [east, LAT + TALL], [west, LAT + TALL], [west, LAT]]
    return {"type": "Feature", "properties": properties, "geometry": {"type": "Polygon", "coordinates": [ring]}}


def wood(folder, *stands, still=False, plots=3):
    """The season of made-up stands: (cover, properties, [(species, dbh, trees on each plot of factor 10)])."""
    folder.mkdir(exist_ok=True)
    shapes, rows, trees = [], [], []
    for at, (cover, more, stems) in enumerate(stands):
        stand = str(at + 1)
        shapes.append(feature(at, stand_id=stand, cover=cover, **more))
        for plot in range(plots):
            rows.append((f"{stand}-{plot}", stand, "2026-10-01", "prism", 10))
            each = [(kind, dbh) for kind, dbh, many in stems for _ in range(many)]
            trees += [(f"{stand}-{plot}", n, kind, dbh, 66) for n, (kind, dbh) in enumerate(each)]
    parcels = [feature(at, parcel_id=f"p{at}", name=f"Forty {at}") for at in range(len(stands))]
    for name, shown in (("parcels", parcels), ("stands", shapes)):
        told = {"type": "FeatureCollection", "features": shown}
        (folder / f"{name}.geojson").write_text(json.dumps(told))
    frame = pd.DataFrame(rows, columns=["plot_id", "stand_id", "date", "kind", "baf_sqft_per_ac"])
    frame.to_csv(folder / "plots.csv", index=False)
    frame = pd.DataFrame(trees, columns=["plot_id", "tree", "species", "dbh_in", "height_ft"])
    frame.to_csv(folder / "trees.csv", index=False)
    (folder / "place.toml").write_text(f'name = "Trial"\nregion = "{"still" if still else "lake_states"}"\n')
    if still:
        (folder / "still").mkdir(exist_ok=True)
        for name, text in STILL.items():
            (folder / "still" / name).write_text(text)
    return season(places.read(folder, as_of=DAY))


def rows_of(one, stand="1"):
    """Rows of one stand by (way, year)."""
    rows = one.years_told.rows
    return rows[rows["stand_id"] == stand].set_index(["way", "year"])


MAPLES = ("northern hardwoods", {}, [("sugar maple", 12.0, 15)])


def test_a_thinned_stand_where_nothing_grows_or_dies_by_hand(tmp_path):
    """15 maples of 12 in a plot of factor 10: 150 sq ft, and so it stays uncut. Cut: a third of it this winter, .67 x
    150 = 100.5; in fifteen years down to the 80 of its cover, and no further.
    """
    one = wood(tmp_path / "still", MAPLES, still=True)
    still = replace(
        one.woods,
        factor={case: 0.0 * of for case, of in one.woods.factor.items()},
        saplings=np.zeros(1),
    )
    rows = years_told(still, one.ceilings, region=one.place.region).rows.set_index(["way", "year"])
    basal = rows["basal_sqft_per_ac"]
    assert basal["uncut"].tolist() == pytest.approx([150.0] * 4)
    assert basal["cut"].tolist() == pytest.approx([150.0, 100.5, 80.0, 80.0], rel=1e-6)
    whole = rows.loc[("uncut", 0), "cords_per_ac"]
    taken = rows.loc["cut", "taken_cords_per_ac"]
    assert taken.tolist() == pytest.approx([whole * share for share in (0.0, 0.33, 70 / 150, 70 / 150)], rel=1e-6)
    assert (rows["cords"] / rows["cords_per_ac"]).tolist() == pytest.approx([one.woods.stands["acres"][0]] * 8)
    assert set(rows["main"]) == {"sugar maple"} and (rows["main_pct"] == 100).all() and (rows["large_pct"] == 0).all()
    for name in AMOUNTS:
        assert rows[f"{name}_low"].tolist() == rows[f"{name}_high"].tolist() == rows[name].tolist(), name
    trees = 150.0 / (np.pi / 576 * 144)
    assert rows.loc[("uncut", 50), "trees_per_ac"] == pytest.approx(trees, rel=1e-4)
    assert rows.loc[("cut", 50), "qmd_in"] == pytest.approx(12.0, abs=1e-3)


def test_large_trees_and_the_two_first_kinds_by_hand(tmp_path):
    """6 maples of 12 in, 4 oaks of 18 in, 2 ashes of 22 in on factor 10: 120 sq ft. Half of class 18 (17.0 to 18.9 in)
    and all of class 22 count as large: (20 + 20) of 120. Maple has 60 of 120, oak 40.
    """
    stems = [("sugar maple", 12.0, 6), ("northern red oak", 18.0, 4), ("white ash", 22.0, 2)]
    row = rows_of(wood(tmp_path / "a", ("northern hardwoods", {}, stems))).loc[("uncut", 0)]
    assert row["large_pct"] == pytest.approx(100 * 40 / 120)
    assert (row["main"], row["second"]) == ("sugar maple", "northern red oak")
    assert (row["main_pct"], row["second_pct"]) == pytest.approx((50.0, 100 * 40 / 120))


def test_uncut_years_are_plain_runs_and_their_ends_slow_and_fast_growth(tmp_path):
    """In 25 years: middle growth, least and most of the three, of cords, basal area, stems and diameter."""
    one = wood(tmp_path / "a", MAPLES)
    rows, woods = rows_of(one), one.woods
    runs = {case: run(woods, 25, case, region=one.place.region) for case in CASES}
    row = rows.loc[("uncut", 25)]
    for name, of in (("cords_per_ac", "cords"), ("basal_sqft_per_ac", "basal"), ("trees_per_ac", "stems")):
        three = [float(getattr(runs[case], of)[25, 0]) for case in CASES]
        assert [row[f"{name}_low"], row[name], row[f"{name}_high"]] == pytest.approx([min(three), three[1], max(three)])
    assert row["qmd_in"] == pytest.approx(np.sqrt(runs["mid"].basal[25, 0] / runs["mid"].stems[25, 0] / 0.005454154))
    assert row["cords_per_ac_low"] < row["cords_per_ac"] < row["cords_per_ac_high"]
    assert (rows.loc["uncut", "taken_cords_per_ac_high"] == 0).all()


def test_ground_that_is_not_worked_stays_uncut_in_the_cut_stand(tmp_path):
    """Half of the acres worked: halfway between the stand all worked and the stand uncut; none worked: no cut rows."""
    one = wood(tmp_path / "a", MAPLES)
    full, acres = rows_of(one), one.woods.stands["acres"]
    half = replace(one.ceilings, table=one.ceilings.table.assign(cut_ac=acres / 2))
    rows = years_told(one.woods, half, region=one.place.region).rows.set_index(["way", "year"])
    for name in ("basal_sqft_per_ac", "cords", "taken_cords_per_ac", "lost_cords_per_ac"):
        middle = (full.loc["uncut", name] + full.loc["cut", name]) / 2
        assert rows.loc["cut", name].tolist() == pytest.approx(middle.tolist()), name
    none = replace(one.ceilings, table=one.ceilings.table.assign(cut_ac=0.0))
    assert set(years_told(one.woods, none, region=one.place.region).rows["way"]) == {"uncut"}


def test_patches_take_all_of_a_stand_over_a_rotation_by_hand(tmp_path):
    """Nothing grows or dies: nine patches, in years 2, 7, 12 ... of 45. In ten years two of nine are cut and hold no
    cords yet; of the basal area they hold 8 and 3 of 45 parts again; in fifty years all was cut once.
    """
    stems = [("sugar maple", 20.0, 12)]
    one = wood(tmp_path / "still", ("aspen and birch", {}, stems), still=True)
    still = replace(one.woods, factor={case: 0.0 * of for case, of in one.woods.factor.items()}, saplings=np.zeros(1))
    rows = years_told(still, one.ceilings, region=one.place.region).rows.set_index(["way", "year"])
    whole = rows.loc[("uncut", 0), "cords_per_ac"]
    ten, fifty = rows.loc[("cut", 10)], rows.loc[("cut", 50)]
    assert (ten["taken_cords_per_ac"], ten["cords_per_ac"]) == pytest.approx((whole * 2 / 9, whole * 7 / 9))
    assert ten["basal_sqft_per_ac"] == pytest.approx(120 * (7 + 8 / 45 + 3 / 45) / 9)
    assert ten["large_pct"] == pytest.approx(100 * 7 / (7 + 11 / 45)), "what comes up in a patch is not large"
    assert fifty["taken_cords_per_ac"] == pytest.approx(whole)
    assert pd.isna(ten["trees_per_ac"]) and pd.isna(ten["qmd_in"]), "nobody knows how many come up"


def test_trees_of_a_stand_of_one_age_are_as_many_and_as_thick_as_its_equation_says(tmp_path):
    """Red pine of 50 years: in 25 years its trees have the basal area of the run and nearly its mean diameter, of more
    than half of it from 17 inches up a part is large; a maple under it goes its own way by the stand table.
    """
    more = {"age_yr": 50.0, "site_species": "red pine", "site_index_ft": 60.0}
    one = wood(tmp_path / "a", ("pine", more, [("red pine", 14.0, 11), ("sugar maple", 6.0, 1)]))
    of = run(one.woods, 25, columns=np.array([0]), seen=(0, 25), region=one.place.region)
    sizes = classes(region=one.place.region)
    for year in (0, 25):
        trees = of.trees[year][:, :, 0].sum(axis=0)
        assert basal_sqft(sizes) @ trees == pytest.approx(of.basal[year, 0], rel=1e-6)
        assert trees.sum() == pytest.approx(of.stems[year, 0], rel=0.02)
    assert of.stems[25, 0] < of.stems[0, 0] and of.basal[25, 0] > of.basal[0, 0]
    rows = rows_of(one).loc["uncut"]
    assert rows.loc[0, "large_pct"] == 0 < 5 < rows.loc[25, "large_pct"] < rows.loc[50, "large_pct"]


ASPEN = [("quaking aspen", 9.0, 11), ("red maple", 6.0, 1)]
OLD = {"age_yr": 62.0, "site_species": "quaking aspen", "site_index_ft": 68.0}


def test_aspen_past_its_age_falls_and_says_so(tmp_path):
    """62 years old, onset 60: basal area of the aspen falls to what is left of it at 112 years, less at the fast pace
    than at the slow; what breaks up is told; cut in patches it brings more than it would hold uncut.
    """
    one = wood(tmp_path / "a", ("aspen and birch", OLD, ASPEN))
    rows = rows_of(one)
    uncut = rows.loc["uncut"]
    assert uncut["past_age"].all() and uncut["age_yr"].tolist() == [62.0, 72.0, 87.0, 112.0]
    assert (np.diff(uncut["basal_sqft_per_ac_low"]) < 0)[:2].all()
    assert uncut.loc[0, "main"] == "quaking aspen" and uncut.loc[50, "main"] == "red maple"
    aspen = uncut.loc[50, "basal_sqft_per_ac"] * (100 - uncut.loc[50, "main_pct"]) / 100
    assert aspen < 0.1 * uncut.loc[0, "basal_sqft_per_ac"]
    lost = uncut["lost_cords_per_ac"]
    assert (np.diff(lost) > 0).all() and lost[50] > 0.8 * uncut.loc[0, "cords_per_ac"]
    assert uncut.loc[25, "lost_cords_per_ac_high"] > uncut.loc[25, "lost_cords_per_ac_low"]
    words = years_of(one)["1"][1]
    assert "falling apart: take what is wanted soon, or leave it" in words and "break up by then" in words


def test_young_aspen_is_not_past_its_age_until_it_is(tmp_path):
    """40 years old, mid onset 60: not in 10 years, in 25 it is; no acre is cut before it is 35."""
    one = wood(tmp_path / "a", ("aspen and birch", OLD | {"age_yr": 40.0}, ASPEN))
    assert rows_of(one).loc["uncut", "past_age"].tolist() == [False, False, True, True]
    young = wood(tmp_path / "b", ("aspen and birch", OLD | {"age_yr": 10.0}, ASPEN))
    cut = rows_of(young).loc["cut", "taken_cords_per_ac"]
    assert cut[10] == 0 and cut[25] == 0 and cut[50] > 0


def test_aspen_without_an_age_is_told_for_ten_years(tmp_path):
    """Nobody can say when it falls apart; maple beside it is told for fifty."""
    one = wood(tmp_path / "a", ("aspen and birch", {}, ASPEN), MAPLES)
    assert [set(rows_of(one, stand).loc["uncut"].index) for stand in "12"] == [{0, 10}, set(YEARS)]
    told = years_of(one)
    words = told["1"][1]
    assert "its age is not written, so nobody can say when it falls apart" in words
    assert " in 25" not in words and "picture" not in words and {row.year for row in told["1"][0]} == {0, 10}
    assert "Beyond 30 years this is a picture, not a forecast." in told["2"][1]


def test_a_cut_stand_never_lies_under_what_it_keeps_by_more_than_deaths(tmp_path):
    """Growth as slow as can be: a thinned stand is cut to 80 and never under it but by trees that die."""
    one = wood(tmp_path / "a", MAPLES)
    woods = replace(one.woods, factor={case: 0.4 * of for case, of in one.woods.factor.items()})
    rows = years_told(woods, one.ceilings, region=one.place.region).rows.set_index(["way", "year"])
    keep = float(one.ceilings.table["keep_sqft_per_ac"][0])
    low = rows.loc["cut", "basal_sqft_per_ac_low"]
    assert (low >= keep * 0.99**15).all() and low[25] < rows.loc[("uncut", 25), "basal_sqft_per_ac"]


def test_a_stand_over_the_level_of_its_cover_is_marked_from_that_year_on(tmp_path):
    """Hardwoods of 150 sq ft and more; what stands today is what was measured; a cover without a level is never."""
    rows = rows_of(wood(tmp_path / "a", MAPLES))
    assert rows.loc["uncut", "fuller"].tolist() == [False, *(rows.loc["uncut", "basal_sqft_per_ac"] > 150)[1:]]
    assert rows.loc[("uncut", 10), "fuller"] and not rows.loc["cut", "fuller"].any()
    over = wood(tmp_path / "c", ("northern hardwoods", {}, [("sugar maple", 12.0, 17)]))
    assert rows_of(over)["fuller"].tolist()[:2] == [False, True], "today it is what was measured"
    spruce = wood(tmp_path / "b", ("spruce and fir", {}, [("white spruce", 10.0, 30)]))
    assert rows_of(spruce)["basal_sqft_per_ac"].max() > 230 and not rows_of(spruce)["fuller"].any()


def test_fuller_goes_by_the_middle_and_by_the_level_of_the_cover(tmp_path):
    """120 sq ft of maple: 136 in ten years, though fast growth comes to 169; 150.3 in 25 years, over the 150 of its
    cover, though slow growth stays at 123. Pine of 150 comes to 202 and stays under its own 220.
    """
    maples = ("northern hardwoods", {}, [("sugar maple", 12.0, 12)])
    both = wood(tmp_path / "a", maples, ("pine", {}, [("red pine", 12.0, 15)]))
    maple, pine = (rows_of(both, stand).loc["uncut"] for stand in "12")
    assert maple["fuller"].tolist() == [False, False, True, True]
    ends = maple[["basal_sqft_per_ac_low", "basal_sqft_per_ac", "basal_sqft_per_ac_high"]]
    assert ends.loc[10].iloc[1] < 150.0 < ends.loc[10].iloc[2] and ends.loc[25].iloc[0] < 150.0 < ends.loc[25].iloc[1]
    assert not pine["fuller"].any() and pine.loc[25, "basal_sqft_per_ac"] > 190.0


def test_nothing_is_told_of_stands_without_plots_or_trees(tmp_path):
    """An outline alone, and plots on which no tree stood."""
    one = wood(tmp_path / "a", ("oak", {}, []), MAPLES)
    assert set(one.years_told.rows["stand_id"]) == {"2"}
    assert "No living tree of 5 inches stood on its plots" in years_of(one)["1"][1]
    bare = wood(tmp_path / "b", ("oak", {}, []), plots=0)
    assert len(bare.years_told.rows) == 0 and years_of(bare)["1"][0] == ()
    assert years_of(bare)["1"][1] == (
        "Oak. No plot here yet, so no year of it is told; three would give a first picture."
    )
