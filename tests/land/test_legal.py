"""Written descriptions: forty ways to write them, lots and bounds refused with a reason, sketches of the right size."""

import pytest
import shapely

from woodlot.errors import InputError, NoAnswer
from woodlot.land import legal
from woodlot.land.parcels import acres_geodesic

#: Acres by hand: 640 times a half or a quarter for each part.
READ = [
    ("NW1/4SE1/4", 40),
    ("NWSE", 40),
    ("NW1/4 of SE1/4", 40),
    ("NW4SE4", 40),
    ("NW¼ SE¼", 40),
    ("Northwest quarter of the southeast quarter", 40),
    ("NW of SW", 40),
    ("N1/2", 320),
    ("N2", 320),
    ("N½ NE¼", 80),
    ("N half of NE quarter", 80),
    ("NE", 160),
    ("W1/2W1/2", 160),
    ("NE1/4NE1/4NE1/4", 10),
    ("E2SW4 Sec 12", 80),
    ("the N1/2 of NE1/4 and SW1/4 NE1/4", 120),
    ("N1/2NE1/4, SW1/4NE1/4", 120),
    ("N1/2NE1/4; SW1/4NE1/4", 120),
    ("SWNE; SENW", 80),
    ("NE¼ & NW¼", 320),
    ("N 1/2 NE 1/4 and SE 1/4 of Section 4", 240),
    ("8-45-3 N1/2SE1/4", 80),
    ("Sec 8: N2NE4, SE4NE4", 120),
    ("Section 8", 640),
    ("All of Section 16, T45N, R3W", 640),
    ("E 1/2 of the Southwest Quarter of Sec. 9, Township 45 North, Range 3 West, 4th P.M., Iron County", 80),
    ("North half of the Northeast quarter (N1/2 NE1/4)", 80),
    ("NE1/4 sec 8 and NW1/4 sec 9", 320),
    ("N1/2, NE1/4", 80),
    ("N1/2 and SW1/4 of NE1/4", 120),
    ("NE1/4 of NW1/4, sec 27, less road", 40),
    ("N1/2 of SE1/4, sec 8, less 2 exceptions", 80),
    ("NE1/4NE1/4, excepting the west 2 rods", 40),
]
REFUSED = [
    ("Gov't Lot 3, sec 22", "plat"),
    ("W part of Gov't Lot 2, sec 22", "plat"),
    ("Lots 1 and 2 and the S1/2NE1/4, sec 4", "plat"),
    ("S of the old grade, NW1/4, sec 29", "draw it on the map"),
    ("the South 10 acres of the NE1/4", "no half or quarter"),
    ("beginning at the N quarter corner thence S 400 feet", "metes and bounds"),
    ("SE1/4 of section 40", "1 to 36"),
    ("the old Wendt place", "not a half or a quarter"),
    ("", "no description"),
]


@pytest.mark.parametrize(("text", "acres"), READ, ids=[t for t, _ in READ])
def test_a_description_is_read_to_its_nominal_acres(text, acres):
    """Halves and quarters with commas, "of", "and", fractions of every kind; what is kept out stays in and is named."""
    told = legal.read(text)
    assert told.acres == acres == legal.nominal_acres(text)
    assert bool(told.less) == ("less" in text or "except" in text)
    assert "nominal acres" in told.words


@pytest.mark.parametrize(("text", "reason"), REFUSED, ids=[t or "nothing" for t, _ in REFUSED])
def test_what_words_cannot_tell_is_refused_with_a_reason(text, reason):
    """Lots, bounds, parts of parts, sections that are none."""
    with pytest.raises(NoAnswer, match=reason):
        legal.nominal_acres(text)


def test_there_are_at_least_forty_descriptions():
    """As many as were promised."""
    assert len(READ) + len(REFUSED) >= 40


def test_a_comma_that_may_join_or_nest_asks_for_acres():
    """NW 1/4, SE 1/4: by hand 160 + 160 = 320 joined, 640/4/4 = 40 nested; the nearer to the deed is kept and said."""
    with pytest.raises(NoAnswer, match=r"320 acres .* or 40 acres"):
        legal.nominal_acres("NW 1/4, SE 1/4")
    told = legal.read("NW 1/4, SE 1/4", near_ac=38.2)
    assert told.acres == 40 and told.others == (320,) and "not 320" in told.words
    assert legal.nominal_acres("NW 1/4, SE 1/4", near_ac=310) == 320


CORNERS = {"nw": (-90.0208, 46.01447), "ne": (-90.0, 46.01447), "se": (-90.0, 46.0), "sw": (-90.0208, 46.0)}


@pytest.mark.parametrize("text", ["NW1/4SE1/4", "N1/2NE1/4, SW1/4NE1/4", "N1/2", "all of sec 3", "E1/2W1/2", "NENE"])
def test_a_sketch_takes_its_share_of_the_section(text):
    """Acres of the sketch over the section's are nominal acres over 640; it lies inside and says it is no survey."""
    drawn = legal.sketch(text, CORNERS).iloc[0]
    section = shapely.Polygon([CORNERS[k] for k in ("sw", "se", "ne", "nw")])
    assert drawn["acres"] / acres_geodesic(section) == pytest.approx(drawn["nominal_acres"] / 640, rel=2e-4)
    assert section.buffer(1e-7).covers(drawn.geometry) and drawn.geometry.is_valid
    assert "NOT a survey" in drawn["caution"] and drawn["kind"] == "sketch"


def test_a_sketch_puts_parts_where_they_are_and_follows_quarter_corners():
    """NENE touches the northeast corner; a north quarter corner moved west makes the NW1/4 narrower."""
    drawn = legal.sketch("NENE", CORNERS).geometry.iloc[0]
    assert drawn.distance(shapely.Point(CORNERS["ne"])) < 1e-9
    west = legal.sketch("NW1/4", CORNERS | {"n": (-90.0114, 46.01447)}).iloc[0]
    assert west["acres"] < legal.sketch("NW1/4", CORNERS).iloc[0]["acres"] - 2


def test_a_sketch_refuses_wrong_corners_and_two_sections():
    """Corners missing, corners turned round, parts in two sections."""
    with pytest.raises(InputError, match="missing: se"):
        legal.sketch("NENE", {k: v for k, v in CORNERS.items() if k != "se"})
    turned = CORNERS | {"nw": CORNERS["ne"], "ne": CORNERS["nw"]}
    with pytest.raises(InputError, match="not in their places"):
        legal.sketch("NENE", turned)
    with pytest.raises(NoAnswer, match="more than one section"):
        legal.sketch("NE1/4 sec 8 and NW1/4 sec 9", CORNERS)
