"""Sentences on land, cruise, growth and standing wood, each held whole."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from woodlot.errors import Fault, InputError
from woodlot.estimate import Number, reason
from woodlot.say import cruise, ground, growth, scale, why
from woodlot.say.reasons import said

CORDS = Number(22.0, 17.0, 28.0, "cords", "interval", 0.9, 6)
BARE = Number(None, unit="cords", why="no plot here yet")


@pytest.mark.parametrize(
    ("key", "sentence"),
    [
        (
            reason("raster without use", name="odd.tif"),
            "odd.tif is not used: name it elevation, canopy_height, land_cover or ..._picture.",
        ),
        (reason("raster not read", error="a.tif cannot be read"), "a.tif cannot be read."),
        (reason("raster not read", error="is it the right file?"), "is it the right file?"),
        (reason("raster shows nothing", name="a.tif", stands=("1",)), "a.tif shows nothing of stand 1."),
        (reason("raster shows nothing", name="a.tif", stands=("1", "2")), "a.tif shows nothing of stands 1, 2."),
        (
            reason("raster shows a part", name="a.tif", stands=(("1", 40.4), ("2", 99.0))),
            "a.tif shows only a part of stands 1 (40%), 2 (99%); its figures there are of that part.",
        ),
        (reason("strips by state", why="no state is named"), "Strips along water: no state is named."),
        (
            reason("stream width assumed", names=("creek", "")),
            "creek, a stream: no width is told; taken to be 3 to 10 feet wide and to run all year.",
        ),
        (
            reason("strips as level"),
            "Strips along water are drawn as on level ground where no heights are known.",
        ),
        (
            reason("no tree heights"),
            "Stands without plots borrow nothing: no raster of tree heights covers them.",
        ),
        (reason("nothing to borrow from", error="too few"), "Stands without plots borrow nothing: too few."),
        (reason("raster blind to stand", stand="7"), "Stand 7 borrows nothing: the raster shows nothing of it."),
        (
            reason(
                "likeness tried", attribute="cords", used="likeness", n=9, errors=(("likeness", 3.456), ("mean", 4.0))
            ),
            "cords per acre of stands without plots come from the likeness: with each of 9 measured stands left out in "
            "turn, it was wrong by likeness 3.46, mean 4.",
        ),
        (
            reason("counted only"),
            "trees were counted but none was measured; one measured tree would give a first number",
        ),
        (
            reason("borrowed", way="cover mean", lenders=("a", "b"), others=True, beyond=False),
            "nobody has put a plot here; borrowed: the mean of measured stands of its cover, of all where there is "
            "none (a, b and others)",
        ),
        (
            reason("growth range", low=0.4353, high=2.297, bare=("4", "9")),
            "Low and high: sites differ, so a stand without cores of its own grows 0.44 to 2.3 times its middle, nine "
            "times in ten. Write the soil of stand 4, 9 to narrow it. Cores narrow it most.",
        ),
        (
            reason("deaths by visits", died=8.0, trees=40, expected=3.72, factor=1.312),
            "8 of 40 numbered trees died between two visits, 3.7 were foreseen: deaths are taken times 1.31 "
            "everywhere.",
        ),
        (
            reason("growth by visits", stands=("4",), factor=(0.641,), weight=(0.86,), plots=(5,)),
            "Plots visited again, with what was cut between, move the growth of stand 4 (times 0.64, by 5 plots that "
            "weigh 86%).",
        ),
        (
            reason(
                "growth held",
                stands=("4", "5"),
                pct=(2.83, 3.6),
                default_pct=(3.79, 5.7),
                of_basal=(False, True),
            ),
            "Growth a year is held down to what was published of woods of that cover and size, until there are cores: "
            "stand 4 (2.8% for 3.8%), 5 (3.6% of its square feet for 5.7%).",
        ),
        (
            reason(
                "growth beside bands",
                stands=("4", "5"),
                pct=(0.5, 3.3),
                low=(1.0, 1.2),
                high=(3.0, 3.0),
                of_basal=(False, True),
            ),
            "Growth a year outside published woods of that cover and size: stand 4 (0.5%, published 1 to 3%), "
            "5 (3.3% of its square feet, published 1.2 to 3%).",
        ),
        (
            reason("growth over states", pct=3.42, most=3.1),
            "All stands together grow 3.4% a year; over 3.1%, more than any state's, needs cores behind it.",
        ),
        (
            reason("outside the band", what="fast without cores", bound=3.4, stands=("4",)),
            "Growth over 3.4 sq ft an acre a year needs cores behind it: stand 4.",
        ),
        (
            reason("outside the band", what="dense", bound=1.1, stands=("4",)),
            "Denser than any published stand, so look at the plots again: stand 4.",
        ),
        (
            reason("outside the band", what="thick", bound=200.0, stands=("4",)),
            "Over 200 sq ft an acre, beyond what the growth equations were made for: stand 4.",
        ),
        (
            reason("trees kept", which="keep_over_12in", trees_per_ac=3.0, seen="read"),
            "3 trees an acre over 12 inches as den trees",
        ),
        (
            reason("trees kept", which="keep_mast", trees_per_ac=2.5, seen="memory"),
            "2.5 trees an acre that bear acorns, nuts or cherries, where there are so many †",
        ),
        (
            reason("trees kept", which="snags_per_ac", trees_per_ac=4.0, seen="memory"),
            "4 dead trees an acre over 10 inches, away from where people work †",
        ),
    ],
)
def test_a_reason_is_said_whole(key, sentence):
    """Key and facts to the sentence that is read."""
    assert said(key) == sentence


def test_blocks_counts_and_lines_that_fit():
    """One block and more; 1,200 trees; a place without stands has parcels only."""
    assert (ground.blocks(1), ground.blocks(3)) == ("All in one block.", "3 blocks that do not join.")
    assert ground.fit(0.1) == "Stands and parcels fit together within 0.1 acres."
    parcels, stands = pd.DataFrame({"acres": [39.75, 1.0]}), pd.DataFrame({"acres": [30.0]})
    assert ground.read_counts(parcels, stands, {"plots": 5, "trees": 1200, "pellets": 0, "ledger": 1}) == (
        "2 parcels, 40.8 acres. 1 stand, 30.0 acres without home ground and water. 5 plots, 1,200 trees, 1 note."
    )
    assert ground.read_counts(parcels, stands[:0], {}) == "2 parcels, 40.8 acres."


def test_a_raster_that_lies_elsewhere_is_a_fault_with_its_remedy():
    """What is wrong comes first, then what to do; the name of the file stands only where it belongs."""
    path = Path("/home/a/elevation.tif")
    told = InputError("elevation.tif and the outlines do not meet: the raster lies at longitude 1; is it right?")
    assert ground.raster_fault(path, told) == Fault(
        "elevation.tif", None, "", "lies elsewhere: it is at longitude 1", "Is it right?"
    )
    told = InputError(f"elevation.tif cannot be read as a raster: '{path}' not a file.")
    assert ground.raster_fault(path, told) == Fault(
        "elevation.tif",
        None,
        "",
        "cannot be read as a raster: not a file",
        "Get the file again, or take it out of the folder.",
    )


def test_cruise_says_what_its_columns_are_and_what_plots_would_do():
    """The nearness asked for, a dash where no number of plots would do, first plots before more."""
    assert (cruise.plots_still(18), cruise.plots_still(0), cruise.plots_still(None)) == ("18", "0", "-")
    assert cruise.no_range("4", "too few") == "Stand 4: too few."
    assert cruise.columns(25.0) == (
        "Square feet of basal area and live trees are an acre's; inches are the quadratic mean diameter. More: plots "
        "that would bring the cords of that stand alone within 25%, a dash where plots alone would not, because of "
        "what all of them share, such as the volume table."
    )


def test_growth_says_of_which_day_its_cords_are():
    """Grown and cut since, neither, and a day before the plots."""
    plots = pd.Series([pd.Timestamp("2025-10-11"), pd.Timestamp("2026-02-21")])
    found = "The plots found 5,700 cords from 11 October 2025 to 21 February 2026"
    told = growth.today(6000.0, 5700.0, 3.0, True, plots, date(2026, 11, 25))
    assert told == (
        f"Cords are those of 25 November 2026: 6,000 cords. {found}, which is what woodlot scale shows; growth since "
        "then is added, less 3.0 cords cut since."
    )
    assert growth.today(5700.0, 5700.0, 0.0, False, plots, date(2026, 3, 1)) == (
        f"{found}; no season has passed since, so these are today's cords too."
    )
    assert growth.today(5700.0, 5700.0, 0.0, False, plots, date(2026, 1, 1)) == f"{found}."
    grown = growth.today(5800.0, 5700.0, 0.0, True, plots, date(2026, 11, 25))
    assert grown.endswith("growth since then is added.")
    assert "less 3.0 cords cut since" in growth.today(5697.0, 5700.0, 3.0, False, plots, date(2026, 3, 1))
    falls = Number(-8.9, -43.0, 54.0, "cords a year", "assumptions")
    assert growth.headline(falls, "1") == (
        "More dies than grows in stand 1: -8.9 cords a year (-43 to 54, assumptions)."
    )
    assert growth.headline(CORDS) == "22 cords (17 to 28, 90%) grow in the stands that have a range of their own."
    bare = Number(22.0, unit="cords")
    assert growth.headline(bare) == "22 cords grow in the stands that have plots."
    assert growth.beyond(40.0) == "Beyond 40 years this is a picture, not a forecast."
    assert growth.guide_line("A", None) == "A line: as full as unthinned stands"
    assert growth.guide_line("B", None) == "B line: crowns just closing"
    assert growth.guide_line("density", 0.5) == "density (50%)"


def test_scale_says_where_its_range_comes_from():
    """Number, parts of the range, boards by their rule, and parcels that share a reason in one line."""
    assert scale.headline(CORDS) == "22 full cords (17 to 28, 90%)."
    assert scale.headline(BARE) == "No number yet: no plot here yet."
    assert scale.range_parts(CORDS, CORDS, CORDS) == (
        "What plots can mend: 17 to 28, 90%; what no plot can mend, mostly the volume table, 17 to 28, 90%; against a "
        "stacked pile 17 to 28, 90%."
    )
    feet = Number(900.0, 800.0, 1000.0, "board feet", "interval", 0.9, 6)
    assert scale.board_feet("scribner", feet) == "Board feet, Scribner rule: 900 board feet (800 to 1,000, 90%)."
    assert scale.no_ranges([("a", BARE), ("b", CORDS), ("c", BARE)]) == ["Parcels a, c: no plot here yet."]
    assert scale.as_measured("on 9 October 2026") == (
        "This is what the plots found, measured on 9 October 2026. Growth and cutting since then are not in it; "
        "woodlot grow brings it to today."
    )
    assert scale.cord(79.0).startswith(
        "A full cord is 4 x 4 x 8 feet, 79 cubic feet of solid wood, no bark; sound live"
    )


def test_why_says_how_a_number_came_about():
    """Plots of a stand and of the place, trees with the other method beside them, ceilings with and without numbers."""
    row = {"plots": 6, "plots_with": 5, "mean": 28.123, "se": 3.21, "n": 6, "df": 5.0}
    assert why.plots(row, 20.449, False) == (
        "6 plots (5 with any), mean 28.12 an acre, spread of that mean (its standard deviation) 3.21, 5 degrees of "
        "freedom; times 20.45 working acres."
    )
    one = {"plots": 1, "plots_with": 1, "mean": 28.0, "se": float("nan"), "n": 1, "df": 0.0}
    assert why.plots(one, None, False) == "1 plot (1 with any), mean 28 an acre, no spread of its own."
    assert "mean 28 an acre as the raster moved it, no spread" in why.plots(one, None, True)
    assert why.only_counted(0) == []
    assert why.only_counted(1) == ["Of 1 tree more only the count is known: taken as those measured."]
    assert why.plots_of_all(62, 15, False) == ("62 plots in 15 stands; means by stand times working acres, then added.")
    assert why.plots_of_all(1, 1, True).startswith(
        "1 plot in 1 stand; means by stand weighed by their working acres. For"
    )
    assert why.trees(9, {"measured": 4, "fitted": 5}, 2, (3, 1.12), {"beyond_range": 1, "doubtful": 0}) == [
        "9 live tally rows. Heights: 4 measured, 5 fitted, 0 regional. Rot was judged on 2 of them.",
        "The other method beside it (Beers 1964 from merchantable height, for 3 rows): +12% of merchantable wood.",
        "1 row is outside the sizes the equation was made from.",
    ]
    assert why.trees(9, {}, 2, None, {"beyond_range": 0, "doubtful": 5})[1:] == [
        "5 rows are by an equation doubtful at that size (wood, bark and whole stem disagree): used as published where "
        "its own published error is small, else the next level stands in."
    ]
    ranges = "Ranges are drawn from plots, growth and stacking together."
    assert why.ceilings(("net growth: 22 cords",), "Growth holds it.", 17.0) == [
        "Net growth: 22 cords.",
        f"What may be cut each year until the next cruise: 17 cords a year. Growth holds it. {ranges}",
    ]
    assert why.ceilings((), "", None) == ["What may be cut each year until the next cruise: no number yet."]
    parts = {"plots": CORDS, "table": CORDS, "stacked": CORDS}
    assert why.range_parts(CORDS, parts, (("volume table", 0.12),), True) == (
        "Where the range comes from: what plots can mend 17 to 28, 90%; what no plot can mend (volume table 12%) 17 to "
        "28, 90%; both together 17 to 28, 90%; against a stacked pile 17 to 28, 90%."
    )
    assert "(nothing) 17 to 28, 90%; both together 17 to 28, 90%." in why.range_parts(CORDS, parts, (), False)
    told = why.helped(CORDS, replace(CORDS, low=9.0, high=54.0), 3, "high", False)
    assert told == (
        "Range by its own plots alone: 9.0 to 54, 90%. With help: 17 to 28, 90%; the others hold less: the high end "
        "was trimmed."
    )
    assert why.helped(CORDS, None, 1, "", False) == (
        "Range by its own plot alone: none, since one plot has no spread. With help: 17 to 28, 90%; neither end was "
        "trimmed."
    )
    usual = why.helped(CORDS, CORDS, 2, None, False)
    assert usual.endswith(" With the usual spread between plots beside theirs: 17 to 28, 90%.")
    assert why.helped(CORDS, CORDS, 2, "low", True).startswith(
        "Range by the raster at all plots of its cover: 17 to 28"
    )
    assert why.number(replace(CORDS, low=4.0, high=60.0)) == ["About 22 cords (4.0 to 60, 90%)."]
    assert why.number(CORDS) == ["22 cords (17 to 28, 90%)."]
    assert why.number(replace(CORDS, why="one plot borrows")) == ["22 cords (17 to 28, 90%).", "One plot borrows."]
    assert why.number(replace(BARE, value=3.0)) == ["3.0 cords (no plot here yet)."]
    assert why.wood("cords", 79.0, "scribner") == [
        "Cords: sound wood without bark from a 1-foot stump to a 4-inch top, over 79 solid cubic feet in a cord of 4 "
        "x 4 x 8 feet."
    ]
    assert len(why.wood("bdft", 79.0, "international_eighth")) == 2
