"""The range as food: stands split by their cuts, land cover around, partial rasters, none at all, coming cuts."""

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
import shapely

from woodlot.deer import food, forage
from woodlot.deer.range import effective_acres, range_outline
from woodlot.errors import InputError
from woodlot.estimate import Estimate, reason
from woodlot.land.parcels import acres_geodesic
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.units import AC_PER_HA, LB_PER_KG

KG_PER_HA = LB_PER_KG / AC_PER_HA  # lb/ac for each kg/ha
DEER = Estimate(18.0, "deer a square mile")
NOBODY = Estimate(None, "deer a square mile", why=reason("no count yet"))


def stands(**more):
    """Twenty acres each of oak, aspen and pine."""
    covers = ["oak", "aspen and birch", "pine"]
    return pd.DataFrame({"stand_id": ["1", "2", "3"], "cover": covers, "acres": 20.0} | more)


def cuts(*rows):
    """Rows of stand, acres, years since, kind."""
    return pd.DataFrame(rows, columns=["stand_id", "acres", "years", "kind"])


def test_stands_are_split_by_their_cuts_by_hand():
    """Oak 20 ac, 5 cut last year and 18 seven years ago: 5, then the 15 that are left of it, then 0 uncut."""
    told = forage.own_pieces(
        stands(), cuts(("1", 18.0, 7, "selection"), ("1", 5.0, 1, "selection")), region=shipped("base")
    )
    oak = told[told["stand_id"] == "1"]
    assert oak["acres"].tolist() == [5.0, 15.0, 0.0]
    assert oak["years"].tolist() == [1, 7, -1]
    assert told["acres"].sum() == pytest.approx(60.0)


def test_cuts_that_are_not_made_yet_or_lie_elsewhere_change_nothing():
    """A cut two years ahead and a cut in a stand that is not there are left out."""
    told = forage.own_pieces(
        stands(), cuts(("1", 5.0, -2, "selection"), ("9", 5.0, 1, "selection")), region=shipped("base")
    )
    assert len(told) == 3 and told["kind"].eq("none").all()


@pytest.mark.parametrize(("age", "kg"), [(4, 200), (12, 50), (40, 20), (np.nan, 20)])
def test_a_young_stand_feeds_as_a_clearing_of_its_age(age, kg):
    """Aspen of 4 years 200 kg/ha, of 12 years 50, of 40 or of no known age 20 (deer_browse_production)."""
    told = food.browse(
        forage.own_pieces(stands(age_yr=[np.nan, age, np.nan]), region=shipped("base")), region=shipped("base")
    )
    assert told["lb_per_ac"].iloc[1] == pytest.approx(kg * KG_PER_HA)


SIDE = 0.02


@pytest.fixture
def ground(tmp_path):
    """A parcel in the middle, and a raster of 10-meter cells on it: west half hardwoods (41), east half brush (52)."""
    return _ground(tmp_path, east=SIDE)


def _ground(tmp_path, east):
    import rasterio
    from rasterio.transform import from_origin

    parcel = gpd.GeoSeries([shapely.box(-90.002, 46 - 0.002, -89.998, 46.002)], crs=4326)
    res = 0.0001
    columns = round((SIDE + east) / res)
    code = np.full((round(2 * SIDE / res), columns), 52, dtype="uint8")
    code[:, : round(SIDE / res)] = 41
    file = tmp_path / "land_cover.tif"
    told = {"driver": "GTiff", "height": code.shape[0], "width": columns, "count": 1, "dtype": "uint8", "nodata": 0}
    with rasterio.open(
        file, "w", crs="EPSG:4326", transform=from_origin(-90 - SIDE, 46 + SIDE, res, res), **told
    ) as out:
        out.write(code, 1)
    return parcel, file


def test_the_outline_of_the_range_has_its_acres(ground):
    """The outline's acres are those that are counted (corners of 16 to a quarter circle: within a part in 500)."""
    parcel, _ = ground
    outline = range_outline(parcel, 568.0)
    assert acres_geodesic(outline).sum() == pytest.approx(effective_acres(parcel, 568.0), rel=2e-3)
    less = range_outline(parcel, 568.0, parcel)
    assert acres_geodesic(less).sum() == pytest.approx(
        acres_geodesic(outline).sum() - acres_geodesic(parcel).sum(), rel=1e-4
    )


def test_the_ground_around_is_told_by_the_raster_by_hand(ground):
    """Half hardwoods (20 kg/ha), half brush (80 kg/ha): half the acres each; all of it is shown."""
    parcel, file = ground
    outline = range_outline(parcel, 568.0, parcel)
    rest, shown = forage.around(outline, file, region=shipped("base"))
    assert shown == pytest.approx(100.0, abs=0.01)
    of = rest.set_index("cover")
    assert of["acres"].sum() == pytest.approx(acres_geodesic(outline).sum(), rel=1e-9)
    assert of["acres"]["brush"] == pytest.approx(of["acres"]["hardwood"], rel=0.01)
    assert of["lb_per_ac"].to_dict() == pytest.approx({"hardwood": 20 * KG_PER_HA, "brush": 80 * KG_PER_HA})


def test_a_raster_that_shows_part_says_how_much(tmp_path):
    """A raster that ends on the middle line: half is shown, the rest is taken to be as that half, in words."""
    parcel, file = _ground(tmp_path, east=0.0)
    outline = range_outline(parcel, 568.0, parcel)
    rest, shown = forage.around(outline, file, region=shipped("base"))
    assert shown == pytest.approx(50.0, abs=0.5)
    assert rest["cover"].tolist() == ["hardwood"]
    assert rest["acres"].sum() == pytest.approx(acres_geodesic(outline).sum(), rel=1e-9)
    told = forage.whole_range(
        food.browse(forage.own_pieces(stands(), region=shipped("base")), region=shipped("base")),
        rest,
        DEER,
        shown,
        region=shipped("base"),
    )
    assert "The land cover raster shows 50% of the ground around your stands" in said(told.words[1])


def test_codes_nobody_knows_are_refused(ground):
    """A code table without the codes of the raster leaves nothing known."""
    parcel, file = ground
    codes = pd.DataFrame({"code": [1, 2], "cover": ["woods", "lake"], "group": ["hardwood", "water"]})
    with pytest.raises(InputError, match="no code"):
        forage.around(range_outline(parcel, 568.0), file, codes, region=shipped("base"))


def test_the_whole_range_by_hand():
    """20 ac each of oak, aspen (20 kg/ha x .30) and pine (5 x .30), 600 ac of brush (80 x .30), average winter.

    Brush: 600 x .404686 ha x 80 x .30 x .85 / 132 = 37.525; own: (20 + 20 + 5) x .30 x 20 x .404686 x .85 / 132
    = .7036; together 38.229 on 660 acres; own share 1.84 %.
    """
    brush = pd.DataFrame({"cover": ["brush"], "acres": [600.0], "use_share": [0.3], "evergreen_share": [0.0]})
    brush = brush.assign(lb_per_ac=80 * KG_PER_HA, low=30 * KG_PER_HA, high=200 * KG_PER_HA)
    told = forage.whole_range(
        food.browse(forage.own_pieces(stands(), region=shipped("base")), region=shipped("base")),
        brush,
        DEER,
        100.0,
        region=shipped("base"),
    )
    assert told.average.value == pytest.approx(38.229, abs=2e-3)
    assert told.own.average.value == pytest.approx(0.7036, abs=2e-4)
    assert told.own_share_pct == pytest.approx(1.84, abs=0.005)
    assert told.per_sqmi.average.value == pytest.approx(38.229 * 640 / 660, abs=2e-3)
    assert told.severe.value < told.average.value < told.mild.value
    assert told.evergreen_pct == pytest.approx(100 * 20 / 660)
    assert told.cover_score == pytest.approx(0.303, abs=1e-3)
    words = said(told.words[0])
    assert "18 use it now" in words and "sets no take" in words


def test_without_a_raster_the_assumption_is_said():
    """The ground around is as the own stands uncut: the same food an acre, though a young stand feeds more."""
    own = food.browse(
        forage.own_pieces(stands(age_yr=[np.nan, 4.0, np.nan]), region=shipped("base")), region=shipped("base")
    )
    rest = forage.as_own(own[forage.PIECE], 900.0, region=shipped("base"))
    told = forage.whole_range(own, rest, NOBODY, None, region=shipped("base"))
    assert "There is no land cover raster" in said(told.words[1])
    assert rest["acres"].sum() == pytest.approx(900.0)
    assert rest["lb_per_ac"].tolist() == pytest.approx([20 * KG_PER_HA, 20 * KG_PER_HA, 5 * KG_PER_HA])
    assert told.own_share_pct > told.own_acres_pct


def test_what_was_cut_lately_is_the_ledger_and_young_stands():
    """Stand 2 is young and not in the ledger: by name. In the ledger it is acres; stand 1 was thinned, so not young."""

    def lately(past):
        young = stands(age_yr=[np.nan, 4.0, np.nan])
        own = food.browse(forage.own_pieces(young, past, region=shipped("base")), region=shipped("base"))
        rest = forage.as_own(own[forage.PIECE], 900.0, region=shipped("base"))
        return forage.whole_range(own, rest, NOBODY, None, region=shipped("base"), past=past)

    assert lately(None).past_words == reason("cut lately", acres=0.0, young=("2",))
    thinned = lately(cuts(("1", 5.0, 2, "selection")))
    assert thinned.past_words == reason("cut lately", acres=5.0, young=("2",))
    assert lately(cuts(("2", 5.0, 2, "clearcut"))).past_words == reason("cut lately", acres=5.0, young=())
    assert set(thinned.stands) == {"1", "2", "3"} and thinned.stands["1"].kind == "assumptions"


def test_ground_without_own_stands_has_no_share_of_its_food():
    """With stands the share is said, without any it is not."""
    own = food.browse(forage.own_pieces(stands(), region=shipped("base")), region=shipped("base"))
    rest = forage.as_own(own[forage.PIECE], 900.0, region=shipped("base"))
    some, none = (
        {why.key for why in forage.whole_range(own.iloc[:n], rest, NOBODY, None, region=shipped("base")).words}
        for n in (3, 0)
    )
    assert some - none == {"share of food"} and none - some == set()


def test_coming_cuts_by_hand():
    """10 of 20 acres of oak thinned in fall 2027: nothing before 2028, 40 kg/ha more for eight winters, then nothing.

    40 x .30 x 10 x .404686 x .85 / 132 = .3127 deer in an average winter.
    """
    plan = pd.DataFrame({"stand_id": ["1"], "acres": [10.0], "year": [2027], "kind": ["selection"]})
    told = forage.coming(stands(), None, plan, range(2026, 2038), region=shipped("base"))
    by = {r.year: r.average.value for r in told.winters}
    assert [y for y, v in by.items() if v > 1e-9] == list(range(2028, 2036))
    assert by[2030] == pytest.approx(0.3127, abs=1e-4)
    assert told.best_year == 2028
    middle = told.adds.average
    assert middle.low <= middle.value / 3 and middle.high >= 3 * middle.value
    assert middle.kind == "assumptions"
    assert "The 10 acres to be cut in the coming years add winter food for 0.31 of a deer" in said(told.words)


def test_a_new_cut_counts_beside_an_old_one_that_grows_shut():
    """An acre cut for the second time adds only what the first cut no longer gives."""
    plan = pd.DataFrame({"stand_id": ["1"], "acres": [20.0], "year": [2026], "kind": ["selection"]})
    old = cuts(("1", 20.0, 4, "selection"))
    told = forage.coming(stands(), old, plan, range(2026, 2034), region=shipped("base"))
    adds = [r.average.value for r in told.winters]
    assert adds[1] == pytest.approx(0.0, abs=1e-12)  # both are fresh in 2027
    assert adds[5] > 0.3  # in 2031 the old one is 9 years old and shut
    assert adds[0] < 0  # in the winter of the cut the old browse is gone and the new not there


def test_covers_without_a_figure_after_cutting_are_named():
    """A thinned pine stand adds nothing, in words; nothing planned is words too."""
    plan = pd.DataFrame({"stand_id": ["3"], "acres": [10.0], "year": [2026], "kind": ["selection"]})
    told = forage.coming(stands(), None, plan, range(2026, 2032), region=shipped("base"))
    assert told.no_figure_for == ("pine",)
    words = said(told.words)
    assert "no winter food for deer worth a number" in words and "For pine no figure" in words
    none = forage.coming(stands(), None, None, range(2026, 2030), region=shipped("base"))
    assert said(none.words).startswith("No cut is planned")


@pytest.mark.parametrize("past", [None, cuts(("10", 4.0, 3, "selection"), ("2", 6.0, 0, "clearcut"))])
def test_winters_reckoned_together_are_each_as_if_alone(past):
    """Eight winters of stands that grow older, with and without cuts of the past, beside one reckoning for each."""
    ids = {"stand_id": ["10", "2", "3"], "age_yr": [80.0, np.nan, 4.0]}
    some = stands(**ids).assign(cover=["oak", "aspen and birch", "aspen and birch"])
    planned = cuts(("10", 5.0, 2027, "selection"), ("2", 9.0, 2029, "clearcut")).rename(columns={"years": "year"})
    years = range(2026, 2034)
    told = list(forage._each_winter(some, past, planned, years, shipped("base")))
    assert [year for year, *_ in told] == list(years)
    for year, before, after in told:
        older = None if past is None else past.assign(years=past["years"] + year - 2026)
        new = planned.assign(years=year - planned["year"])
        aged = some.assign(age_yr=some["age_yr"] + year - 2026)
        for found, made in ((before, older), (after, pd.concat([older, new]))):
            alone = food.browse(forage.own_pieces(aged, made, region=shipped("base")), shipped("base"))
            pd.testing.assert_frame_equal(found.reset_index(drop=True), alone, check_dtype=False)
    assert (told[0][1]["kind"] == "clearcut").any() and told[0][1]["lb_per_ac"].sum() != told[-1][1]["lb_per_ac"].sum()


def test_the_mean_of_winters_with_cuts_by_hand():
    """Ten acres of oak thinned in fall 2026 feed 60 for eight winters of ten, then 20 as ever: 52, 2.6 times uncut."""
    stands = pd.DataFrame({"stand_id": ["1"], "cover": ["oak"], "acres": [10.0], "age_yr": [np.nan]})
    planned = pd.DataFrame({"stand_id": ["1"], "acres": [10.0], "year": [2026], "kind": ["selection"]})
    region = shipped("base")
    cut, uncut = (forage.fed_on_stands(stands, None, one, range(2027, 2037), region) for one in (planned, planned[:0]))
    assert cut.value == pytest.approx(2.6 * uncut.value) and uncut.value > 0
    assert cut.low <= cut.value / 3 and cut.high >= cut.value * 3 and cut.kind == "assumptions"
