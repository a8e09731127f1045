"""Names, descriptions, headings and cells, each as families write them."""

import pandas as pd
import pytest

from woodlot.place.bringing.called import (
    deed_acres_in,
    feature_in,
    ids_of,
    is_legal,
    nominal_acres,
    plain_text,
    plot_in,
)
from woodlot.place.bringing.headings import Headings, heading_row
from woodlot.place.bringing.measures import days_of
from woodlot.place.bringing.model import Answers
from woodlot.region import shipped

KNOWN = Headings(shipped("lake_states"), {})


@pytest.mark.parametrize(
    ("text", "legal", "nominal", "deed"),
    [
        ("T32N R5W Sec 14 SE SE, 40 acres", True, 40, "40"),
        ("SE1/4 of NE1/4", True, 40, ""),
        ("SE¼NE¼ of Section 3", True, 40, ""),
        ("N1/2 of the NW 1/4", True, 80, ""),
        ("NW1/4", True, 160, ""),
        ("SE1/4 of NE1/4 less road", True, None, ""),
        ("N1/2 SW1/4, S1/2 NW1/4", True, None, ""),
        ("Govt. Lot 3, Section 8", True, None, ""),
        ("thence north 40 rods", True, None, ""),
        ("the SE corner by the road", False, None, ""),
        ("bought from Karl in 1961, 38.5 ac", False, None, "38.5"),
        ("1,280 acres", False, None, "1280"),
        ("10 acres of field, 30 acres of woods", False, None, ""),
    ],
)
def test_descriptions_of_land(text, legal, nominal, deed):
    """Sections and quarters are legal words; acres by hand: 640 over 4 for each quarter and over 2 for each half."""
    assert (is_legal(text), nominal_acres(text), deed_acres_in(text)) == (legal, nominal, deed)


def test_ids_are_short_and_each_once():
    """Numbers of stands, first words of names, letters without their marks, numbers where a name stands twice."""
    names = ["Stand 3 - popple", "7", "12a: oak", "Back forty - popple", "Back forty", "Éva's côté (wet)", "", "A - x"]
    told = ids_of(names, "stands")
    assert told == ["3", "7", "12a", "back-forty", "back-forty-2", "evas-cote", "stand-7", "A"]
    assert ids_of(["The long piece behind the old sugar shack"], "parcels") == ["the-long-piece-behind"]


@pytest.mark.parametrize(
    ("name", "plot"), [("Plot 3", "3"), ("P003", "3"), ("pt. 12", "12"), ("7b", "7b"), ("Oak 3", "")]
)
def test_names_of_plots(name, plot):
    """A waypoint is a plot where its name is a number, or a word for plots and a number."""
    assert plot_in(name) == plot


def test_web_page_marks_leave_a_description():
    """Line breaks become semicolons, marks go."""
    assert plain_text("<b>SE SE</b><br/>Sec&nbsp;14<br>40 acres") == "SE SE; Sec 14; 40 acres"
    assert [feature_in(one) for one in ("Mill Creek", "bow stand", "red oak")] == ["stream", "deer_stand", ""]


HEADS = {
    "DBH": ("trees", "dbh_in"),
    "D.B.H. (in)": ("trees", "dbh_in"),
    "dbh_cm": ("trees", "dbh_cm"),
    "Diam. (cm)": ("trees", "dbh_cm"),
    "Total Height, m": ("trees", "height_m"),
    "Ht (ft)": ("trees", "height_ft"),
    "# logs": ("trees", "logs_16ft"),
    "Plot #": ("plots", "plot_id"),
    "BAF (m2/ha)": ("plots", "baf_m2_per_ha"),
    "BasalAreaFactor": ("plots", "baf_sqft_per_ac"),
    "Cover Type": ("stands", "cover"),
    "Radius (m)": ("pellets", "radius_m"),
    "Weight (kg)": ("bag", "dressed_kg"),
    "snow depth, cm": ("winters", "snow_cm"),
    "Shape_Area": ("parcels", None),
}


@pytest.mark.parametrize("heading", HEADS)
def test_headings(heading):
    """What stands over a column is its column, in the unit it names."""
    table, column = HEADS[heading]
    assert next((match.column for match in KNOWN.candidates(heading, table)), None) == column


def test_every_heading_word_names_a_column():
    """No row of the table is idle, and each is written as headings are compared."""
    from woodlot.place.bringing.understanding import COLUMNS

    rows = shipped("base").table("heading_words")
    assert set(rows["column"]) <= COLUMNS and not rows.duplicated(["heading", "column"]).any()


def test_the_heading_is_found_below_titles():
    """A title, a blank, the heading; without any known word the first row of more than one cell."""
    assert heading_row([["Our cruise", "", ""], ["Spp", "DBH", "Plot"], ["oak", "3", "1"]], KNOWN) == 1
    assert heading_row([["Our cruise", ""], ["foo", "bar"], ["1", "2"]], KNOWN) == 1


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("2026-10-09", "2026-10-09"),
        ("10/25/26", "2026-10-25"),
        ("25.10.2026", "2026-10-25"),
        ("Oct 9, 2026", "2026-10-09"),
        ("9-Oct-26", "2026-10-09"),
        ("46304", "2026-10-09"),
        ("2026-10-09 14:30", "2026-10-09"),
        ("last fall", "last fall"),
        ("n/a", ""),
    ],
)
def test_days(cell, day):
    """Each way of writing a day that is one day only; what is none stays for the check to name."""
    text, questions, _ = days_of(pd.Series([cell], dtype=object), "a.csv", "Date", Answers())
    assert text.tolist() == [day] and not questions
