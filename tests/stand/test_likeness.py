"""Stands without plots on made-up landscapes: better than the cover mean where there is a signal, and honest ranges."""

import runpy
from pathlib import Path
from types import SimpleNamespace

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import rasterio
import shapely

from woodlot.errors import InputError, NoAnswer
from woodlot.estimate import Estimate, interval
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.stand import layout, likeness, seen_from_above

FEATURES = ["height", "closed"]


def landscape(draw, stands, signal, noise=0.12):
    """Stands with a cover, two things seen from above, and cords that follow them (signal) or only the cover."""
    cover = draw.choice(["hardwood", "oak", "aspen"], stands)
    height, closed = draw.uniform(20, 85, stands), draw.uniform(30, 100, stands)
    shift = pd.Series(cover).map({"hardwood": 8.0, "oak": 0.0, "aspen": -8.0}).to_numpy()
    mean = 8 + 0.5 * height * closed / 100 + shift * 0.2 if signal else 20 + shift
    cords = mean * np.exp(draw.normal(0, noise, stands))
    return pd.DataFrame(
        {"stand_id": np.arange(stands).astype(str), "cover": cover, "height": height, "closed": closed, "cords": cords}
    )


def trial(seed, signal, measured=20, targets=12):
    """One landscape, its references cruised with an error of 12 %, and what the others borrow."""
    draw = np.random.default_rng(seed)
    woods = landscape(draw, measured + targets, signal)
    reference = woods[:measured].copy()
    reference["cords"] *= np.exp(draw.normal(0, 0.12, measured))
    reference["cords_se"] = 0.12 * reference["cords"]
    rest = woods[measured:]
    return (
        reference,
        rest,
        likeness.impute(reference, rest.drop(columns="cords"), FEATURES, 3, ["cords"], region=shipped("base")),
    )


def rms(errors):
    """Root mean square."""
    return float(np.sqrt(np.mean(np.concatenate(errors) ** 2)))


@pytest.fixture(scope="module")
def trials():
    """Thirty landscapes with a signal and thirty without."""
    return {signal: [trial(seed, signal) for seed in range(30)] for signal in (True, False)}


def by_cover(reference, rest):
    """Mean of the measured stands of the same cover."""
    return rest["cover"].map(reference.groupby("cover")["cords"].mean()).fillna(reference["cords"].mean()).to_numpy()


@pytest.mark.slow
def test_likenesses_beat_the_cover_mean_where_there_is_a_signal(trials):
    """Over thirty landscapes the error is at least a tenth smaller than that of the cover mean, and likenesses lend."""
    borrowed = rms([b.values["value"].to_numpy() - rest["cords"].to_numpy() for _, rest, b in trials[True]])
    cover = rms([by_cover(ref, rest) - rest["cords"].to_numpy() for ref, rest, _ in trials[True]])
    assert borrowed < 0.9 * cover, f"{borrowed:.2f} against {cover:.2f}"
    assert np.mean([b.trials["used"].iloc[0] == "likeness" for *_, b in trials[True]]) > 0.8


@pytest.mark.slow
def test_it_steps_back_to_the_cover_mean_where_there_is_none(trials):
    """Where only the cover tells, the cover mean is used in nine of ten landscapes, and its own values come out."""
    used = [b.trials["used"].iloc[0] for *_, b in trials[False]]
    assert np.mean([u == "cover mean" for u in used]) >= 0.9
    for reference, rest, b in trials[False]:
        if b.trials["used"].iloc[0] == "cover mean":
            np.testing.assert_allclose(b.values["value"], by_cover(reference, rest))


@pytest.mark.slow
@pytest.mark.parametrize("signal", [True, False], ids=["signal", "no signal"])
def test_ranges_hold_the_truth_85_to_95_times_in_100(trials, signal):
    """360 borrowed numbers: ranges at 90 % hold the true cords 85 to 95 times in 100, with and without a signal."""
    held = []
    for _, rest, b in trials[signal]:
        told = likeness.estimates(b, "cords", "cords an acre")
        low, high = (np.array([getattr(told[s], k) for s in rest["stand_id"]]) for k in ("low", "high"))
        held.append((low <= rest["cords"].to_numpy()) & (rest["cords"].to_numpy() <= high))
    assert 0.85 <= np.concatenate(held).mean() <= 0.95, np.concatenate(held).mean()


def small():
    """Seven measured stands on a line of heights, by hand."""
    return pd.DataFrame(
        {
            "stand_id": list("abcdefg"),
            "cover": ["oak"] * 7,
            "height": [10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0],
            "cords": [5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0],
        }
    )


def test_leaving_one_out_by_hand():
    """One likeness on an even line: every stand is told from a neighbor 5 cords off, so the error is 5.

    The cover mean: with y left out of seven that add up to 140 it is (140 - y) / 6, off by (140 - 7 y) / 6.
    """
    found = likeness.impute(
        small(), small().assign(stand_id=list("tuvwxyz")), ["height"], 1, ["cords"], region=shipped("base")
    ).trials.iloc[0]
    y = np.arange(5.0, 36.0, 5.0)
    assert found["error_likeness"] == pytest.approx(5.0)
    assert found["error_cover_mean"] == pytest.approx(np.sqrt(np.mean(((140 - 7 * y) / 6) ** 2)))
    assert found["used"] == "likeness" and found["n"] == 7


def test_what_a_borrowed_number_is_off_by_by_hand():
    """Seven stands 5 cords apart, each told by the one below it and the lowest by the one above: 5 cords off each time.

    Told are 10, 5, 10 .. 30, squares 100 + 25 + .. + 900 = 2,375; 7 x 25 = 175 squares of error. The share is
    sqrt(175 / 2,375 x 7 / 5), and six are free. The mean of the other six, (140 - y) / 6, is off by (140 - 7 y) / 6.
    """
    target = pd.DataFrame({"stand_id": ["t"], "height": [42.0]})
    told = likeness.impute(small(), target, ["height"], 1, ["cords"], region=shipped("base"))
    row, found = told.values.iloc[0], told.trials.iloc[0]
    assert row["way"] == "likeness" and row["value"] == 20.0 and not row["beyond"]
    assert row["se"] == pytest.approx(20.0 * np.sqrt(175 / 2375 * 7 / 5))
    assert (row["df"], row["n"]) == (6.0, 7)
    y = np.arange(5.0, 36.0, 5.0)
    assert found["error_mean_of_all"] == pytest.approx(np.sqrt(np.mean(((140 - 7 * y) / 6) ** 2)))


def test_lenders_distance_and_weights_by_hand():
    """A target at 42 ft: d (40) and e (50) lend at weights 1/2 and 1/8: (20/2 + 25/8) / (1/2 + 1/8) = 21."""
    target = pd.DataFrame({"stand_id": ["t"], "height": [42.0]})
    row = likeness.impute(small(), target, ["height"], 2, ["cords"], region=shipped("base")).values.iloc[0]
    assert row["lenders"] == ["d", "e"] and row["value"] == pytest.approx(21.0)
    assert row["distance"] == pytest.approx(2.0 / 20.0) and not row["beyond"]


def test_beyond_the_measured_range_it_is_flagged_and_wider():
    """A stand of 120 ft where the tallest measured is 70 has a wider range than one of 70, and the words say so."""
    targets = pd.DataFrame({"stand_id": ["in", "out"], "height": [70.0, 120.0]})
    b = likeness.impute(small(), targets, ["height"], 2, ["cords"], region=shipped("base"))
    inside, out = (b.values.iloc[i] for i in (0, 1))
    assert not inside["beyond"] and out["beyond"]
    assert out["se"] / out["value"] >= 2.5 * inside["se"] / inside["value"] * (1 - 1e-12)
    told = likeness.estimates(b, "cords", "cords an acre")
    assert told["out"].high / told["out"].low > told["in"].high / told["in"].low
    far = "; it is unlike every measured stand, so the range is wider"
    near = "nobody has put a plot here; borrowed from the stands most like it (g, f)"
    assert told["out"].method == "borrowed"
    assert (said(told["in"].why), said(told["out"].why)) == (near, near + far)


def test_a_word_is_a_feature_too():
    """Cover as a feature: the same cover a foot off lends before another at that height; a strange one is far."""
    known = small().assign(height=40.0 + np.arange(7), cover=["oak", "pine"] * 3 + ["oak"])
    targets = pd.DataFrame({"stand_id": ["t", "u"], "cover": ["pine", "cedar"], "height": [40.0, 40.0]})
    b = likeness.impute(known, targets, ["height", "cover"], 1, ["cords"], region=shipped("base"))
    assert b.values["beyond"].tolist() == [False, True] and b.values["lenders"].iloc[0] == ["b"]


def test_next_to_cruise_by_hand():
    """Two stands off by the same share: the one with twice the acres narrows the total more."""
    targets = pd.DataFrame({"stand_id": ["t", "u"], "height": [40.0, 40.0]})
    b = likeness.impute(small(), targets, ["height"], 2, ["cords"], region=shipped("base"))
    b.values["se"] = 10.0
    told = likeness.next_to_cruise(b, "cords", pd.Series({"t": 10.0, "u": 20.0}), plots=5, region=shipped("base"))
    assert told["stand_id"].tolist() == ["u", "t"]
    value = float(b.values["value"].iloc[0])
    mend = (
        20.0
        * value
        * float(shipped("base").table("defaults_stand").set_index("name").loc["plot_cv_pct", "value"])
        / 100
    ) ** 2 / 5
    assert told["se_now"].iloc[0] == pytest.approx(np.sqrt(100.0**2 + 200.0**2))
    assert told["se_then"].iloc[0] == pytest.approx(np.sqrt(100.0**2 + mend))


def test_too_little_and_wrong_input_is_said():
    """Five references, a feature that is missing, a stand twice, k of 0, an attribute below 0."""
    target = pd.DataFrame({"stand_id": ["t"], "height": [40.0]})
    with pytest.raises(NoAnswer, match="measure 1 more"):
        likeness.impute(small()[:5], target, ["height"], region=shipped("base"))
    for wrong, why in (
        (lambda: likeness.impute(small(), target, ["slope"], region=shipped("base")), "lacks slope"),
        (
            lambda: likeness.impute(small(), target.assign(height=np.nan), ["height"], region=shipped("base")),
            "no height",
        ),
        (lambda: likeness.impute(pd.concat([small(), small()]), target, ["height"], region=shipped("base")), "twice"),
        (lambda: likeness.impute(small(), target, ["height"], 0, region=shipped("base")), "at least one"),
        (lambda: likeness.impute(small().assign(cords=-1.0), target, ["height"], region=shipped("base")), "0 or more"),
        (lambda: likeness.impute(small(), target, [], region=shipped("base")), "without a feature"),
    ):
        with pytest.raises(InputError, match=why):
            wrong()


@pytest.fixture
def place(tmp_path):
    """Eight square stands in a row, the last two never cruised, a raster of tree heights and a stream."""
    boxes = [shapely.box(600_000 + 200 * i, 5_100_000, 600_200 + 200 * i, 5_100_200) for i in range(8)]
    stands = gpd.GeoDataFrame(
        {"stand_id": list("12345678"), "parcel_id": "a", "cover": "oak", "operable": True, "frozen_ground_only": False},
        geometry=boxes,
        crs=26915,
    ).to_crs(4326)
    parcels = gpd.GeoDataFrame({"parcel_id": ["a"]}, geometry=[shapely.union_all(boxes)], crs=26915).to_crs(4326)
    stream = shapely.LineString([(600_000, 5_100_100), (600_400, 5_100_100)])
    features = gpd.GeoDataFrame({"kind": ["stream"], "name": ["creek"]}, geometry=[stream], crs=26915).to_crs(4326)
    tops = np.repeat(np.arange(6.0, 22.0, 2.0), 20)[None, :] * np.ones((20, 1))
    file = tmp_path / "canopy_height.tif"
    with rasterio.open(
        file,
        "w",
        driver="GTiff",
        count=1,
        height=20,
        width=160,
        dtype="float32",
        crs="EPSG:26915",
        transform=rasterio.Affine(10, 0, 600_000, 0, -10, 5_100_200),
    ) as out:
        out.write(tops.astype("float32"), 1)
    return layout.lay_out(stands, parcels, features, region=shipped("base")), parcels, features, file


def test_a_place_is_seen_and_its_bare_stands_borrow(place, tmp_path):
    """Six measured stands lend to two; heights in feet; a stream takes acres of two; a bad raster is a line."""
    stands, parcels, features, file = place
    broken = tmp_path / "elevation.tif"
    broken.write_text("nothing")
    rasters = {"canopy_height": file, "elevation": broken, "odd": file.with_name("odd.tif")}
    told = seen_from_above.seen(stands, parcels, features, rasters, region=shipped("base"))
    assert told.stands["canopy_mean_ft"].tolist() == pytest.approx(list(np.arange(6, 22, 2) / 0.3048), rel=1e-3)
    assert (told.stands["strip_ac"] > 0.5).tolist() == [True, True] + [False] * 6
    assert "slope_pct" not in told.stands and told.steep is None
    under = seen_from_above.backdrop(parcels, rasters, told, region=shipped("base"))
    assert under.contours is None and under.pictures == {} and under.notes == []
    lines = [said(note) for note in told.notes]
    assert any("elevation.tif cannot be read" in w for w in lines)
    assert any("odd.tif is not used" in w for w in lines)
    assert all("\n" not in w and w.endswith((".", "?")) for w in lines)
    cords = {s: interval(2.0 * i + 3.0, "cords an acre", se=1.0, df=4, n=5) for i, s in enumerate("123456")}
    lent = seen_from_above.lend(
        told, stands, {"cords": cords}, {"cords": {"volume table": 0.1}}, region=shipped("base")
    )
    assert set(lent.per_ac["cords"]) == {"7", "8"} and lent.borrowed.trials["used"].tolist() == ["likeness"]
    eight = lent.per_ac["cords"]["8"]
    assert eight.method == "borrowed" and eight.kind == "interval" and eight.shared == (("volume table", 0.1),)
    assert lent.next_to_cruise["stand_id"].iloc[0] in "78" and "left out in turn" in said(lent.notes[-1])


def test_nothing_is_lent_without_heights_or_with_too_few_measured(place):
    """No raster of trees, or four measured stands: no numbers, and a line says why."""
    stands, parcels, features, file = place
    cords = {s: Estimate(5.0, "cords an acre", se=1.0, n=1) for s in "1234"}
    bare = seen_from_above.lend(
        seen_from_above.seen(stands, parcels, features, {}, region=shipped("base")),
        stands,
        {"cords": cords},
        region=shipped("base"),
    )
    assert bare.per_ac == {} and "no raster of tree heights" in said(bare.notes[0])
    few = seen_from_above.lend(
        seen_from_above.seen(stands, parcels, features, {"canopy_height": file}, region=shipped("base")),
        stands,
        {"cords": cords},
        region=shipped("base"),
    )
    assert few.per_ac == {} and "measure 2 more" in said(few.notes[-1])


def test_stands_whose_cover_is_not_known_borrow_the_mean_of_all():
    """Two measured stands without a cover and two oaks: a third without a cover has the mean of the four, by hand.

    Heights say nothing here, so that the mean of the cover is taken: 10, 30 (not known), 20 and 40 (oak) give 25.
    """
    from woodlot.trade import NO_COVER

    of = np.array([NO_COVER, NO_COVER, "oak", "oak"], dtype=object)
    wanted, y = np.array([NO_COVER, "oak"], dtype=object), np.array([10.0, 30.0, 20.0, 40.0])
    assert likeness._by_cover(y, of, wanted, leave_out=False).tolist() == [25.0, 30.0]
    assert likeness._lenders(np.array(list("abcd")), (of, wanted)) == [["a", "b", "c", "d"], ["c", "d"]]
    assert likeness._by_cover(y, of, of, leave_out=True).tolist() == [30.0, pytest.approx(70 / 3), 40.0, 20.0]


def test_rasters_over_a_place_without_stands_are_seen_under_its_parcels(place):
    """Parcels and rasters alone, a usual beginning: no stand to tell of, yet the lie of the ground."""
    stands, parcels, features, file = place
    rasters = {"canopy_height": file, "elevation": file, "land_cover": file}
    told = seen_from_above.seen(stands.head(0), parcels, features, rasters, region=shipped("base"))
    under = seen_from_above.backdrop(parcels, rasters, told, region=shipped("base"))
    assert len(told.stands) == 0 and told.steep is not None and under.contours is not None
    assert {one["what"] for one in under.pictures.values()} == {"shade"}


def test_stands_of_one_plot_lend_and_those_without_a_known_error_do_not(place):
    """Seven cruised with one plot, one of them without a spread from anywhere: six lend."""
    stands, parcels, features, file = place
    told = seen_from_above.seen(stands, parcels, features, {"canopy_height": file}, region=shipped("base"))
    cords = {s: interval(2.0 * i + 3.0, "cords an acre", se=1.5, df=4, n=1) for i, s in enumerate("123456")}
    cords["7"] = Estimate(90.0, "cords an acre", n=1)
    lent = seen_from_above.lend(told, stands, {"cords": cords}, region=shipped("base"))
    assert set(lent.per_ac["cords"]) == {"8"} and lent.per_ac["cords"]["8"].n == 6
    assert "7" not in dict(lent.per_ac["cords"]["8"].why.facts)["lenders"]


@pytest.mark.parametrize("beyond", [False, True], ids=["inside", "beyond"])
def test_borrowed_ranges_hold_the_truth_inside_and_beyond_with_thin_lenders(beyond):
    """A small draw of the trial: at least 85 in 100, also on a curve and with lenders of one plot."""
    trial = SimpleNamespace(**runpy.run_path(str(Path(__file__).parent.parent / "trials" / "likeness.py")))
    for of in (trial.Design(True, 20, (1, 3), 2.0, beyond), trial.Design(True, 8, (3, 5), 2.0, beyond)):
        row = trial.tell(of, 25)
        assert row["held"] >= 85.0 and row["given"] == 100.0, row
