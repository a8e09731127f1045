"""Food of the range from what a place holds: the ledger's cuts, the schedule's, a raster that is there or is not."""

from datetime import date

import geopandas as gpd
import pandas as pd
import shapely

from woodlot.estimate import Estimate, reason
from woodlot.plan import browse_from_cuts
from woodlot.region import shipped
from woodlot.say.reasons import said

AS_OF = date(2026, 11, 25)
DEER = Estimate(18.0, "deer a square mile")


def stands():
    """An oak and an aspen stand side by side, about 40 acres together."""
    boxes = [shapely.box(-90, 46, -89.998, 46.004), shapely.box(-89.998, 46, -89.996, 46.004)]
    return gpd.GeoDataFrame(
        {"stand_id": ["1", "2"], "cover": ["oak", "aspen and birch"], "age_yr": [90.0, 50.0]}, geometry=boxes, crs=4326
    )


def book(*rows):
    """Ledger lines: date, stand, kind, amount, unit, text."""
    frame = pd.DataFrame(rows, columns=["date", "stand_id", "kind", "amount", "unit", "text"])
    return frame.assign(date=pd.to_datetime(frame["date"]), line=range(1, len(rows) + 1), corrects=pd.NA)


def test_cords_in_the_ledger_become_acres_opened_by_hand():
    """Oak thinned at 8 cords an acre: 4 cords .5 ac; 1,000 board feet are 2 cords, .25 ac; aspen 5 cords at 25, .2 ac.

    Years by winters: October 2024 is two winters before fall 2026, March 2026 one.
    """
    told = browse_from_cuts.past_cuts(
        book(
            ("2024-10-13", "1", "firewood", 4.0, "cord", "tops"),
            ("2024-10-12", "1", "sawlog", 1000.0, "bdft_international_quarter", "five oak"),
            ("2026-03-14", "2", "firewood", 5.0, "cord", "popple"),
            ("2026-03-14", "2", "firewood", 9.0, "cord", "dead ash"),
            ("2026-03-15", "9", "firewood", 9.0, "cord", "elsewhere"),
            ("2026-03-16", "1", "post", 9.0, "piece", "posts"),
            ("2027-03-16", "1", "firewood", 9.0, "cord", "not yet"),
        ),
        stands().drop(columns="geometry"),
        AS_OF,
        region=shipped("base"),
    )
    assert told.to_dict("records") == [
        {"stand_id": "1", "acres": 0.75, "years": 2, "kind": "selection"},
        {"stand_id": "2", "acres": 0.2, "years": 1, "kind": "clearcut"},
    ]


def test_nothing_in_the_ledger_opens_nothing():
    """No ledger, an empty one, one without cuts."""
    known = stands().drop(columns="geometry")
    for ledger in (None, book(), book(("2026-03-14", "1", "seen", None, "", "a bear"))):
        assert browse_from_cuts.past_cuts(ledger, known, AS_OF, region=shipped("base")).empty


def test_the_schedule_becomes_planned_cuts():
    """Period 2 of a plan that starts in fall 2026 is fall 2028; thinned is a selection cut, patches are cleared."""
    entries = pd.DataFrame({"stand_id": ["1", "2"], "period": [0, 2], "acres": [1.5, 3.0]})
    growing = pd.DataFrame({"stand_id": ["1", "2"], "way": ["thin", "patches"]})
    told = browse_from_cuts.planned(entries, growing, 2026)
    assert told.year.tolist() == [2026, 2028]
    assert told.kind.tolist() == ["selection", "clearcut"]
    assert browse_from_cuts.planned(entries.head(0), growing, 2026).empty


def parcel():
    """The parcel under both stands."""
    return gpd.GeoDataFrame({"parcel_id": ["p"]}, geometry=[shapely.box(-90, 46, -89.996, 46.004)], crs=4326)


def fed(**changes):
    """What deer find to eat at the place."""
    known = {"ledger": None, "land_cover": None} | changes
    return browse_from_cuts.feeding(
        parcel(), stands(), known["ledger"], DEER, None, known["land_cover"], None, AS_OF, region=shipped("base")
    )


def test_a_cut_in_the_ledger_and_one_to_come_add_food():
    """A thinning of 3 years ago raises the food of stand 1, a patch to come adds deer."""
    bare = fed()
    assert bare.cuts is None and "No cut of the last years" in said(bare.past_words)
    cut = fed(ledger=book(("2023-12-01", "1", "firewood", 80.0, "cord", "")))
    assert cut.stands["1"].value > 1.5 * bare.stands["1"].value
    assert cut.stands["2"] == bare.stands["2"]
    assert "about 10.0 acres were opened" in said(cut.past_words)
    plan = pd.DataFrame({"stand_id": ["2"], "acres": [5.0], "year": [2026], "kind": ["clearcut"]})
    coming = browse_from_cuts.coming_food(stands(), None, plan, AS_OF, region=shipped("base"))
    assert coming.adds.average.value > 0.5
    assert coming.adds.severe.value < coming.adds.average.value < coming.adds.mild.value


def test_a_damaged_raster_is_said_and_the_assumption_taken(tmp_path):
    """A file that is no raster: words, and the ground around as the own stands."""
    file = tmp_path / "land_cover.tif"
    file.write_text("not a raster")
    told = fed(land_cover=file)
    assert told.shown_pct is None
    assert any(said(w).startswith("The land cover raster is not used") for w in told.words)
    assert any(said(w).startswith("There is no land cover raster") for w in told.words)


def test_without_stands_and_raster_there_is_no_food_answer():
    """Nothing known of the ground: None, not zero."""
    assert (
        browse_from_cuts.feeding(
            parcel(), stands().head(0), None, DEER, None, None, None, AS_OF, region=shipped("base")
        )
        is None
    )


def test_food_is_never_part_of_the_take():
    """The season's take is the same whatever the ground feeds."""
    from woodlot.plan import hunt

    lines = pd.DataFrame({"line": list("abcdef") * 10, "date": pd.Timestamp(2026, 4, 25), "radius_ft": 4.0})
    pellets = lines.assign(plot_id=range(60), groups=[1, 0, 0] * 20, days=178.0, parcel_id="p")
    rich, poor = (
        hunt.season(parcel(), pellets=pellets, stands=stands().assign(cover=cover), as_of=AS_OF, region=shipped("base"))
        for cover in ("oak", "pine")
    )
    assert rich.take.measured and rich.food.average.value > 2 * poor.food.average.value
    assert rich.take == poor.take and rich.risk == poor.risk


def test_a_stand_whose_cover_is_not_known_is_ground_around_and_no_zero():
    """Stand 2 is left out of the own stands and told as the ground around; without any cover there is no answer.

    The rest feeds as stand 1 then, acre for acre: deer a square mile as if stand 1 were all there is.
    """
    from woodlot.trade import NO_COVER

    def told(*covers):
        ground = stands().assign(cover=covers)
        return browse_from_cuts.feeding(parcel(), ground, None, DEER, None, None, None, AS_OF, region=shipped("base"))

    half, alone = (
        told("oak", NO_COVER),
        browse_from_cuts.feeding(
            parcel(), stands().head(1), None, DEER, None, None, None, AS_OF, region=shipped("base")
        ),
    )
    assert half.per_sqmi == alone.per_sqmi and half.per_sqmi.average.value > 0
    assert "2" not in half.stands and reason("cover not known") in half.words
    assert reason("cover not known") not in alone.words
    assert told(NO_COVER, NO_COVER) is None
