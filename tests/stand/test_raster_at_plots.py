"""Rasters at plots: by hand, as the library leaves plots out, each condition in words, a small draw of the trial."""

import runpy
from pathlib import Path
from types import SimpleNamespace

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import rasterio
import shapely

from woodlot.estimate import add, interval
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.stand.cruise import estimates
from woodlot.stand.plots import means
from woodlot.stand.raster_at_plots import Above, above, helped, regressed
from woodlot.trade import NO_COVER

REGION = shipped("base")
trial = SimpleNamespace(**runpy.run_path(str(Path(__file__).parent.parent / "trials" / "raster_at_plots.py")))
X = np.array([52.0, 61, 70, 48, 66, 75])[:, None]
Y = np.array([17.0, 24, 33, 20, 26, 36])
OF = np.array([0, 0, 0, 1, 1, 1])
WHOLE = np.array([[58.0], [66.0]])
FIT = {"canopy_year": 2024, "positions_ft": 10.0, "by_picture": False}


def test_six_plots_of_two_stands_by_hand():
    """Slope 656.375/990 = .663004 through (62, 26); left-out residuals e/(1 - h); v over 6 - 2; df 3."""
    told = regressed(X, Y, OF, WHOLE, 1.25)
    np.testing.assert_allclose(told.left_out, [-3.6451, -1.6079, 2.3683, 6.9189, -3.2984, 2.6364], atol=5e-5)
    assert np.sqrt(np.mean(told.left_out**2)) == pytest.approx(3.8119, abs=5e-5)
    assert told.gain == pytest.approx(3.8119 / 8.0498, abs=5e-5)
    assert told.spread == pytest.approx(17.8397, abs=5e-5)
    np.testing.assert_allclose(told.mean, [22.678, 29.322], atol=5e-4)
    np.testing.assert_allclose(told.se, 2.4386, atol=5e-5)
    ends = [interval(m, "cords", se=s, df=told.df, n=3) for m, s in zip(told.mean, told.se, strict=True)]
    np.testing.assert_allclose([e.low for e in ends], [17.620, 24.118], atol=5e-4)
    np.testing.assert_allclose([e.high for e in ends], [29.187, 35.649], atol=5e-4)
    assert (told.df, told.used.tolist()) == (3.0, [True, True])


def test_the_spread_within_stands_by_hand():
    """Squares round the stands' means: 128.667 and 130.667 of the plots, 71.3587 of the residuals left out."""
    assert regressed(X, Y, OF, WHOLE).in_stands == pytest.approx(np.sqrt(4 * 17.8397 / 259.3333), abs=5e-5)


def test_a_rich_stand_spreads_in_proportion():
    """29.322 of a mean of 26 is 1.1278 times: over 1 it widens by so much, the other stand stays."""
    told = regressed(X, Y, OF, WHOLE, 1.0)
    np.testing.assert_allclose(told.se / 2.43856, [1.0, 29.32234 / 26.0], rtol=1e-5)


@pytest.mark.parametrize("readings", [1, 2, 6])
def test_plots_left_out_are_as_the_library_leaves_them_out(readings):
    """The same residuals as by fitting anew without each plot, on readings scaled once over all."""
    from sklearn.linear_model import LinearRegression, Ridge
    from sklearn.model_selection import LeaveOneOut, cross_val_predict

    rng = np.random.default_rng(readings)
    x = rng.normal(size=(60, readings)) @ rng.normal(size=(readings, readings))
    x = (x - x.mean(axis=0)) / x.std(axis=0)
    y = 20.0 + x[:, 0] * 3.0 + rng.normal(size=60)
    of = np.arange(60) % 6
    told = regressed(x, y, of, x[:6])
    ridges = [LinearRegression()] if readings == 1 else [Ridge(alpha) for alpha in (0.1, 1.0, 10.0, 100.0)]
    apart = [y - cross_val_predict(one, x, y, cv=LeaveOneOut()) for one in ridges]
    assert min(np.abs(one - told.left_out).max() for one in apart) < 1e-8


def test_a_stand_outside_the_plots_readings_is_refused():
    """Readings of 47 and 76 feet lie outside 48 to 75; those at the ends do not."""
    assert regressed(X, Y, OF, np.array([[47.0], [75.0]])).used.tolist() == [False, True]
    assert regressed(X, Y, OF, np.array([[48.0], [76.0]])).used.tolist() == [True, False]


def cover_of(stands, each, slope, noise=1.0, r2=0.0):
    """Plots of stands of one cover whose cords follow heights, and what is seen above them."""
    rng = np.random.default_rng(stands * 100 + each)
    of = np.repeat(np.arange(stands), each)
    x = rng.uniform(40.0, 80.0, len(of))
    cords = 25.0 + slope * (x - 60.0) + rng.normal(0.0, noise, len(of))
    ids = [f"p{k}" for k in range(len(of))]
    sums = pd.DataFrame({"plot_id": ids, "stand_id": of.astype(str), "line": None, "what": "cords", "amount": cords})
    sums = sums.assign(spread=cords, seen=True, r2=r2, r_df=5.0)
    names = [str(k) for k in range(stands)]
    whole = pd.DataFrame({"mean": 60.0, "over_30_pct": 90.0}, index=names)
    points = pd.DataFrame({"mean": x, "over_30_pct": rng.uniform(80.0, 100.0, len(of))}, index=ids)
    like, cover = pd.Series("oak, prism, 10", index=names), pd.Series("oak", index=names)
    return Above(points, whole), sums, like, cover


def test_trees_means_and_errors_move_together():
    """Live trees of a stand times G over its own mean; the mean then is G, its error v, dead trees stay."""
    seen, sums, like, cover = cover_of(4, 4, 0.4)
    told = helped(seen, sums, like, cover, region=REGION)
    assert list(told.stands.index) == list("0123") and told.refused == ()
    trees = pd.DataFrame(
        {"stand_id": sums["stand_id"], "alive": True, "trees_per_ac": 10.0, "basal_sqft_per_ac": 5.0}
    ).assign(alive=lambda t: t.index > 0)
    moved = told.on_trees(trees)
    ratio = moved["trees_per_ac"] / trees["trees_per_ac"]
    assert ratio[0] == 1.0 and ratio[1] == pytest.approx(told.stands["times"]["0"])
    assert (moved["basal_sqft_per_ac"] / 5.0).equals(ratio)
    scaled = sums.assign(**{n: sums[n] * sums["stand_id"].map(told.stands["times"]) for n in ("amount", "spread")})
    both = pd.concat([scaled, scaled.assign(what="bdft")])
    table = told.on_means(means(both)).set_index(["what", "stand_id"])
    np.testing.assert_allclose(table.loc["cords", "mean"], told.stands["after"])
    np.testing.assert_allclose(table.loc["cords", "se"], told.stands["se"])
    assert (table.loc["cords", "df"] == 16 - 4 - 1).all() and (table.loc["bdft", "df"] == 3).all()
    plain = means(both).set_index(["what", "stand_id"])
    np.testing.assert_allclose(table.loc["bdft", "se"], plain.loc["bdft", "se"])
    assert (table.loc["cords", "pool"] == like["0"]).all() and table.loc["bdft", "pool"].isna().all()
    words = said(told.moved[0])
    first = told.stands.iloc[0]
    assert f"at 16 plots of oak moved stand 0 from {first['before']:.1f} to {first['after']:.1f}" in words


def test_errors_of_counted_trees_stay_in():
    """A ratio of measured trees that is off by 10 % is off by it with a raster too."""
    seen, sums, like, cover = cover_of(4, 4, 0.4, r2=0.01)
    with_it = helped(seen, sums, like, cover, region=REGION).stands
    without = helped(seen, sums.assign(r2=0.0), like, cover, region=REGION).stands
    np.testing.assert_allclose(with_it["se"] ** 2, without["se"] ** 2 + 0.01 * with_it["after"] ** 2)
    assert (with_it["df"] != without["df"]).all()


@pytest.mark.parametrize(
    ("stands", "each", "slope", "words"),
    [
        (3, 4, 0.4, "12 of the 15 plots that it takes"),
        (16, 1, 0.4, "16 plots in 16 stands leave no spread within a stand"),
        (5, 4, 0.0, "of the error it has without them, and ranges would hardly be narrower"),
    ],
)
def test_a_cover_that_is_not_helped_says_why(stands, each, slope, words):
    """Too few plots, one plot a stand, or heights that tell nothing: nothing moves."""
    seen, sums, like, cover = cover_of(stands, each, slope, noise=5.0)
    told = helped(seen, sums, like, cover, region=REGION)
    assert len(told.stands) == 0 and told.moved == ()
    whole = said(told.said_of()[0])
    assert whole.startswith("Told by plots alone, without heights seen from above: oak, stands 0, 1, ")
    assert words in whole
    table = means(sums)
    assert told.on_means(table) is table


def test_plots_of_another_kind_or_cover_are_never_pooled():
    """Two names of eight plots each are too few each; a stand of no name is passed over."""
    seen, sums, like, cover = cover_of(4, 4, 0.4)
    like[:] = ["oak, prism, 10", "oak, prism, 10", "oak, fixed, 0.1", "oak, fixed, 0.1"]
    told = helped(seen, sums, like, cover, region=REGION)
    assert len(told.stands) == 0
    alone = "Told by plots alone, without heights seen from above"
    assert [said(r) for r in told.said_of()] == [f"{alone}: oak, stands 2, 3, 0, 1 (8 of the 15 plots that it takes)."]
    assert "oak, stand 3 (8 of" in said(told.said_of(["3"])[0]) and told.said_of(["9"]) == ()
    like[:] = None
    assert helped(seen, sums, like, cover, region=REGION).refused == ()


@pytest.fixture(scope="module")
def ground(tmp_path_factory):
    """Two square stands of 400 m side by side with ten plots each, under a raster that rises eastward from 6 m."""
    boxes = [shapely.box(600_000 + 400 * i, 5_100_000, 600_400 + 400 * i, 5_100_400) for i in range(2)]
    stands = gpd.GeoDataFrame({"stand_id": ["a", "b"], "cover": "oak"}, geometry=boxes, crs=26915).to_crs(4326)
    file = tmp_path_factory.mktemp("seen") / "canopy_height.tif"
    lies = rasterio.Affine(5, 0, 600_000, 0, -5, 5_100_400)
    how = {"driver": "GTiff", "count": 1, "height": 80, "width": 160, "dtype": "float32", "crs": "EPSG:26915"}
    with rasterio.open(file, "w", transform=lies, **how) as out:
        out.write((6.0 + 0.1 * np.arange(160.0))[None, :].repeat(80, axis=0).astype("float32"), 1)
    at = np.linspace(40.0, 360.0, 10)
    spots = gpd.GeoSeries(
        gpd.points_from_xy(np.concatenate([600_000 + at, 600_400 + at]), np.full(20, 5_100_200.0)), crs=26915
    ).to_crs(4326)
    plots = pd.DataFrame(
        {"plot_id": [f"p{k}" for k in range(20)], "stand_id": ["a"] * 10 + ["b"] * 10, "date": "2026-10-01"}
    )
    return stands, plots.assign(lon=spots.x, lat=spots.y, kind="prism", baf_sqft_per_ac=10.0), file


NONE_CUT = pd.DataFrame({"date": pd.to_datetime([]), "stand_id": pd.Series(dtype=object)})


def read(ground, plots=None, cut=NONE_CUT, **given):
    """What is seen above the plots with the family's words changed."""
    stands, known, file = ground
    return above(stands, known if plots is None else plots, file, FIT | given, cut, region=REGION)


def test_readings_at_plots_and_over_stands(ground):
    """Even north to south, it rises .02 m a meter: 6.75 m at a plot 40 m east, over the stands 9.95, 17.95.

    A round of 37 ft lies over whole and part cells, evenly to both sides; nothing of stand a west of 314 m is over 30
    ft (9.144 m at 157 m), and all of b is.
    """
    told = read(ground)
    assert told.asked == () and told.refused == () and len(told.plots) == 20
    feet = 1 / 0.3048
    assert told.stands["mean"].tolist() == pytest.approx([9.95 * feet, 17.95 * feet], rel=1e-4)
    assert told.plots["mean"]["p0"] == pytest.approx((6.0 + 0.02 * 40 - 0.05) * feet, rel=2e-3)
    assert told.stands["over_30_pct"]["b"] == pytest.approx(100.0)
    assert list(told.plots) == ["mean", "over_30_pct"]


@pytest.mark.parametrize(("many", "readings"), [(19, 1), (20, 2), (49, 2), (50, 6)])
def test_as_many_readings_as_plots_allow(ground, many, readings):
    """One under 20 plots of a cover, two under 50, then shares above every 15 feet up to 75."""
    _, plots, _ = ground
    more = pd.concat([plots.assign(plot_id=plots["plot_id"] + f"-{k}") for k in range(3)], ignore_index=True)
    told = read(ground, plots=more.head(many))
    assert told.plots.shape == (many, readings)


def test_stands_without_a_cover_ask_nothing(ground):
    """Nobody knows which of them are alike."""
    stands, plots, file = ground
    told = above(stands.assign(cover=NO_COVER), plots, file, FIT, NONE_CUT, region=REGION)
    assert len(told.plots) == 0 and told.asked == () and len(told.refused) == 1


@pytest.mark.parametrize("key", sorted(FIT))
def test_what_is_not_known_is_asked_once(ground, key):
    """Without one word nothing is used and one question asks for it alone."""
    told = read(ground, **{key: None})
    assert len(told.plots) == 0 and told.refused == () and len(told.asked) == 1
    assert key in said(told.asked[0]) and not any(other in said(told.asked[0]) for other in FIT if other != key)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"positions_ft": 15.5}, "positions within 15.5 feet are too rough, 15 would do"),
        ({"by_picture": True}, "tell nothing of the ground between them"),
        ({"canopy_year": 2022}, "stands a, b (plots and picture lie too many years apart)"),
    ],
)
def test_what_does_not_fit_is_refused_in_words(ground, given, words):
    """Positions, the way plots were laid, and years apart; the last that still fits does."""
    told = read(ground, **given)
    assert len(told.plots) == 0 and told.asked == () and words in said(told.refused[0])
    assert len(read(ground, positions_ft=15.0, canopy_year=2023).plots) == 20


def test_nobody_asks_where_it_is_not_wanted(ground):
    """Told not to, no raster, no plot: nothing is read and nothing said."""
    stands, plots, file = ground
    assert read(ground, use=False) is None
    assert above(stands, plots, None, FIT, NONE_CUT, region=REGION) is None
    assert above(stands, plots.head(0), file, FIT, NONE_CUT, region=REGION) is None


def test_a_stand_that_does_not_fit_is_named_and_the_other_stays(ground):
    """A plot without a position, one without a day, wood felled between picture and plots, and after or before them."""
    _, plots, _ = ground
    for column, gone, words in (("lon", np.nan, "not every plot has a position"), ("date", None, "has its day")):
        some = plots.copy()
        some.loc[3, column] = gone
        told = read(ground, plots=some)
        assert set(told.stands.index) == {"b"} and words in said(told.refused[0])
    for day, lost in (("2024-01-01", True), ("2026-10-01", True), ("2023-12-31", False), ("2026-10-02", False)):
        cut = pd.DataFrame({"date": pd.to_datetime([day]), "stand_id": ["a"]})
        told = read(ground, cut=cut)
        assert (set(told.stands.index) == {"b"}) is lost
        assert not lost or "wood was felled there between" in said(told.refused[0])


def test_few_plots_with_a_position_ask_nothing(ground):
    """Fourteen of a cover: too few, said where it is asked why; no question."""
    _, plots, _ = ground
    told = read(ground, plots=plots.head(14), canopy_year=None)
    assert told.asked == () and "14 plots of a cover with a position at most, 15 would do" in said(told.refused[0])


def test_nobody_is_asked_where_no_picture_could_help(ground):
    """Wood felled in a before its plots: only a picture of 2027 or later fits, and not plots of b three years before.

    Factors of 5 and 20 leave 10 alike; so rough positions would never do.
    """
    _, plots, _ = ground
    cut = pd.DataFrame({"date": pd.to_datetime(["2026-03-01"]), "stand_id": ["a"]})
    old = plots.assign(date=["2026-10-01"] * 10 + ["2023-10-01"] * 10)
    assert (
        len(read(ground, cut=cut, canopy_year=None).asked) == len(read(ground, plots=old, canopy_year=None).asked) == 1
    )
    assert read(ground, plots=old, cut=cut, canopy_year=None).asked == ()
    assert read(ground, cut=cut, by_picture=None).asked == ()
    assert read(ground, plots=plots.assign(baf_sqft_per_ac=[5.0] * 10 + [20.0] * 10), canopy_year=None).asked == ()
    assert read(ground, canopy_year=None, positions_ft=90.0).asked == ()


def test_a_stand_of_which_the_raster_shows_a_part_is_left_alone(ground):
    """Stand b reaches past the east end of the raster."""
    stands, plots, file = ground
    wide = stands.to_crs(26915)
    wide.loc[1, "geometry"] = shapely.box(600_400, 5_100_000, 600_900, 5_100_400)
    told = above(wide.to_crs(4326), plots, file, FIT, NONE_CUT, region=REGION)
    assert set(told.stands.index) == {"a"} and "does not show all of it" in said(told.refused[0])


@pytest.mark.parametrize(
    "of", [trial.Design(0.5, 5), trial.Design(0.85, 3), trial.Design(0.85, 5, curve=True, odd=2.5)]
)
def test_ranges_hold_the_truth_and_are_narrower(of):
    """A small draw of the trial: stands and totals at least 85 in 100, in places helped too; narrower by .7 up."""
    row = trial.tell(of, 150)
    assert row["helped"] > 20.0
    assert min(row["stand"], row["total"], row["helped_total"]) >= 85.0, row
    assert row["first"] >= 80.0
    if of.correlation > 0.7 and of.odd == 1:
        assert row["total_width"] < 0.75 * row["plain_width"] and row["stand_width"] < 0.85 * row["plain_stand_width"]


def test_a_total_of_helped_stands_knows_the_spread_no_better_than_one():
    """Four stands of 11 degrees with 2 of the usual spread and 2 of their like: 15 in all, not 60; apart by pool."""
    seen, sums, like, cover = cover_of(4, 4, 0.4)
    told = helped(seen, sums, like, cover, region=REGION)
    table = told.on_means(means(sums))
    each = estimates(table, "cords an acre", region=REGION, cover=like)
    assert [e.df for e in each.values()] == [15.0] * 4
    assert add(each.values()).df == pytest.approx(15.0)
    apart = estimates(table.drop(columns="pool"), "cords an acre", region=REGION, cover=like)
    assert add(apart.values()).df > 45.0


def test_a_stand_beyond_the_plots_of_its_cover_keeps_its_own_number():
    """Stand 2 is taller than any plot: it is named, and the other three are helped."""
    seen, sums, like, cover = cover_of(4, 4, 0.4)
    seen.stands.loc["2", "mean"] = 95.0
    told = helped(seen, sums, like, cover, region=REGION)
    assert list(told.stands.index) == list("013")
    alone = "Told by plots alone, without heights seen from above: stand 2 (its trees are taller or lower than at any"
    assert [said(one)[: len(alone)] for one in told.said_of(["2"])] == [alone]
    assert said(told.said_of()[-1]).startswith(alone)
    assert dict(told.said_of(["1"])[0].facts)["stands"] == dict(told.moved[0].facts)["stands"][1:2]
    assert len(told.said_of(["1"])) == 1 and told.remarks(["2"]) == ()


def test_a_mean_under_nothing_is_not_used():
    """Slopes 1 and 0 in two stands give .5: the poor stand of .1 cords, ten feet under its plots, would hold -4.9."""
    x, of = np.array([0.0, 10, 20, 0, 10, 20])[:, None], np.array([0, 0, 0, 1, 1, 1])
    told = regressed(x, np.array([0.0, 10, 20, 0.1, 0.1, 0.1]), of, np.array([[10.0], [0.0]]))
    assert told.mean[1] == pytest.approx(-4.9) and told.used.tolist() == [True, False]


def test_a_stand_on_whose_plots_nothing_stood_stays_at_nothing():
    """Its number cannot be multiplied; it is named."""
    seen, sums, like, cover = cover_of(4, 4, 1.3)
    bare = sums["stand_id"] == "1"
    sums.loc[bare, ["amount", "spread"]] = 0.0
    seen.plots.loc[sums.loc[bare, "plot_id"], "mean"] = 41.0 + np.arange(4.0)
    told = helped(seen, sums, like, cover, region=REGION)
    assert len(told.stands) > 0 and "1" not in told.stands.index and told.stands["times"].notna().all()


def test_heights_that_tell_stands_apart_but_not_their_plots_are_refused():
    """Taller stands hold more, yet within a stand the taller plots hold less: no range would be narrower."""
    seen, sums, like, cover = cover_of(4, 4, 0.0)
    stand, step = np.repeat(np.arange(4.0), 4), np.tile([-3.0, -1.0, 1.0, 3.0], 4)
    seen.plots["mean"] = 45.0 + 10.0 * stand + step
    sums = sums.assign(spread=10.0 + 10.0 * stand - step)
    told = helped(seen, sums, like, cover, region=REGION)
    assert len(told.stands) == 0 and dict(told.refused[0].facts)["gain"] < 0.5
