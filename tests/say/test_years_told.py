"""One line a stand: what it is, what it will be uncut and cut, and what nobody can say."""

from woodlot.estimate import reason
from woodlot.say.reasons import said
from woodlot.say.years_told import how_told, in_year, stand_words, with_ends

STAND = {"cover": "northern hardwoods", "young": False, "age_yr": None}


def row(year, way, basal, low=None, high=None, **more):
    """A row of the years told; without ends they are the number itself."""
    ends = {"basal_sqft_per_ac": basal, "basal_sqft_per_ac_low": low or basal, "basal_sqft_per_ac_high": high or basal}
    cords = {f"{what}_cords_per_ac{end}": 0.0 for what in ("taken", "lost") for end in ("", "_low", "_high")}
    kinds = {"main": "sugar maple", "main_pct": 62.0, "second": "basswood", "second_pct": 20.0, "qmd_in": 10.6}
    return {"year": year, "way": way, "fuller": False} | ends | cords | kinds | more


def told(*rows, ageing="", why_not="", plots=5, how="measured", **stand):
    """The line of a stand."""
    return stand_words(STAND | stand, rows, ageing, why_not, plots, how, 30.0)


UNCUT = (row(0, "uncut", 98.4), row(10, "uncut", 112.3, 104.2, 120.8), row(25, "uncut", 128, 115, 140))


def test_a_stand_uncut_and_cut_word_for_word():
    """Basal area whole, the first range says what it is, cords cut by the last year, and far years are a picture."""
    cut = {"taken_cords_per_ac": 24.3, "taken_cords_per_ac_low": 20.1, "taken_cords_per_ac_high": 28.4}
    line = told(
        *UNCUT,
        row(50, "uncut", 151, 130, 165, fuller=True),
        row(0, "cut", 98.4),
        row(10, "cut", 88, 85, 91),
        row(25, "cut", 90, 86, 94),
        row(50, "cut", 95, 88, 99, **cut),
    )
    assert line == (
        "Northern hardwoods, 98 sq ft an acre, mostly sugar maple, mean diameter 11 in. Uncut: 112 sq ft an acre in 10 "
        "years (104 to 121, assumptions), 128 in 25 (115 to 140), 151 in 50 (130 to 165); from 50 years on fuller than "
        "uncut stands are found to stay. Cut by its guide: 88 sq ft an acre in 10 years (85 to 91, assumptions), 90 in "
        "25 (86 to 94), 95 in 50 (88 to 99); 24 cords an acre (20 to 28) cut by then. Beyond 30 years this is a "
        "picture, not a forecast."
    )


def test_what_is_not_cut_and_what_no_guide_takes():
    """No cut rows: nothing is cut here; nothing over the guide in the years told is said so; no word of a picture where
    no year lies that far.
    """
    assert told(*UNCUT).endswith("128 in 25 (115 to 140). Nothing is cut here.")
    cut = [row(0, "cut", 98.4), row(10, "cut", 112), row(25, "cut", 128)]
    assert told(*UNCUT, *cut).endswith("Cut by its guide: nothing is over it in 25 years.")
    cut[-1] |= {"taken_cords_per_ac_high": 0.6}
    assert "0 cords an acre (0 to 0.60) cut by then" in told(*UNCUT, *cut)


def test_what_breaks_up_is_told_where_it_is_more_than_half_a_cord():
    """12 cords an acre of 9 to 16; under half a cord an acre nothing is said."""
    lost = {"lost_cords_per_ac": 12.2, "lost_cords_per_ac_low": 9.1, "lost_cords_per_ac_high": 16.0}
    assert "128 in 25; 12 cords an acre (9.1 to 16) break up by then." in told(
        *UNCUT[:2], row(25, "uncut", 128, **lost)
    )
    assert "break up" not in told(*UNCUT[:2], row(25, "uncut", 128, lost_cords_per_ac=0.4))


def test_few_plots_two_kinds_and_young_trees_are_said():
    """One plot stands in the line; no kind with half of it: the two first; too small to measure: its age."""
    assert "98 sq ft an acre on 1 plot, mostly" in told(*UNCUT, plots=1, how="one plot")
    assert " on " not in told(*UNCUT).split(". Uncut")[0]
    mixed = row(0, "uncut", 98, main_pct=49.9)
    assert "98 sq ft an acre, most of it sugar maple and basswood, mean" in told(mixed, *UNCUT[1:])
    alone = row(0, "uncut", 98, main_pct=49.9, second="", qmd_in=None)
    assert "mostly sugar maple." in told(alone, *UNCUT[1:])
    young = told(*UNCUT, cover="aspen and birch", young=True, age_yr=8.0)
    assert young.startswith("Aspen and birch 8 years old, too small to measure: told from its age. Uncut:")


def test_a_stand_of_which_nothing_is_told_says_why():
    """No plots, and plots without a tree."""
    assert told(why_not=said(reason("nothing told", bare=False))) == (
        "Northern hardwoods. No plot here yet, so no year of it is told; three would give a first picture."
    )
    assert "No living tree of 5 inches stood on its plots" in told(why_not=said(reason("nothing told", bare=True)))


def test_how_a_stand_ages_stands_before_its_years():
    """The sentences that ``grow`` has for all stands, whole, before what it will be."""
    assert "mean diameter 11 in. Aspen of 64 years, due now. Uncut:" in told(
        *UNCUT, ageing="Aspen of 64 years, due now."
    )


def test_cells_of_the_tables():
    """A year and way that is told, one that is not; ends only where they differ."""
    assert (in_year(UNCUT, "uncut", 10), in_year(UNCUT, "cut", 10)) == (112.3, None)
    assert with_ends(UNCUT[1], "basal_sqft_per_ac", "sq ft an acre") == "112 (104 to 121)"
    assert with_ends(UNCUT[0], "basal_sqft_per_ac", "sq ft an acre") == "98"
    assert "without the error of the plots. Beyond 30 years this is a picture" in how_told(30.0)
