"""The cut: textbook formulas by hand and in motion; the first look stand by stand."""

from math import log

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot import tables
from woodlot.errors import InputError
from woodlot.estimate import interval
from woodlot.plan import cut


@pytest.mark.parametrize(
    ("told", "by_hand"),
    [
        (lambda: cut.cut_per_yr_meyer(400, 500, 20, 0.03), 8.278),
        (lambda: cut.cut_per_yr_hundeshagen(400, 300, 6), 8.0),
        (lambda: cut.cut_per_yr_von_mantel(400, 80), 10.0),
        (lambda: cut.cut_per_yr_austrian(400, 300, 20, 9), 14.0),
        (lambda: cut.cut_per_yr_meyer(400, 300, 20, 0.0), 5.0),
    ],
)
def test_formulas_by_hand(told, by_hand):
    """400 to 500 in 20 years at 3 %: 8.278. 400 x 6/300 = 8. 800/80 = 10. 9 + 100/20 = 14. No growth: 100/20 = 5."""
    assert told() == pytest.approx(by_hand, abs=5e-4)


@given(st.floats(10, 1000), st.floats(10, 1000), st.integers(1, 60), st.floats(0.0, 0.08))
def test_the_meyer_cut_leads_the_stock_to_its_goal(stock, goal, years, rate):
    """Grow by the rate, cut at the year's end, as often as said: the goal."""
    yearly = cut.cut_per_yr_meyer(stock, goal, years, rate)
    now = stock
    for _ in range(years):
        now = now * (1 + rate) - yearly
    assert now == pytest.approx(goal, rel=1e-6, abs=1e-6)


def test_a_cut_part_that_grows_slower_may_be_cut_more():
    """If what is cut grew less than the rest, less growth is lost with it."""
    even = cut.cut_per_yr_meyer(400, 400, 20, 0.03)
    assert even == pytest.approx(12.0)
    assert cut.cut_per_yr_meyer(400, 400, 20, 0.03, 0.01) > even > cut.cut_per_yr_meyer(400, 400, 20, 0.03, 0.05)


def test_formulas_take_columns():
    """Arrays and Series as well as numbers; a goal out of reach is a negative cut."""
    told = cut.cut_per_yr_meyer(pd.Series([400.0, 100.0], index=["x", "y"]), 500, 20, 0.03)
    assert told["x"] == pytest.approx(8.278, abs=5e-4) and told["y"] < 0
    assert cut.cut_per_yr_von_mantel([400, 800], 80).tolist() == [10.0, 20.0]
    assert isinstance(cut.cut_per_yr_austrian(400, 300, 20, 9), float)


@pytest.mark.parametrize(
    "call",
    [
        lambda: cut.cut_per_yr_meyer(400, 500, 20, 3),
        lambda: cut.cut_per_yr_meyer(400, 500, 0, 0.03),
        lambda: cut.cut_per_yr_meyer(-1, 500, 20, 0.03),
        lambda: cut.cut_per_yr_hundeshagen(400, 0, 6),
        lambda: cut.cut_per_yr_von_mantel(400, 0),
        lambda: cut.cut_per_yr_austrian(400, -1, 20, 9),
        lambda: cut.cut_per_yr_von_mantel("much", 80),
    ],
)
def test_what_cannot_be_is_refused(call):
    """3 for 3 %, no years, negative stock, words."""
    with pytest.raises(InputError):
        call()


def cords(value, se=None, n=10, shared=0.1):
    """Standing cords of a stand."""
    se = value / 10 if se is None else se
    return interval(value, "cords", se=se, df=n - 1, n=n, shared={"volume table": shared})


def basal(value, n=10):
    """Basal area per acre."""
    return interval(value, "sq ft an acre", se=value / 10, df=n - 1, n=n)


def stands(*covers, **columns):
    """Stands 1, 2 ... of 10 acres."""
    told = pd.DataFrame({"stand_id": [str(i + 1) for i in range(len(covers))], "cover": covers, "acres": 10.0})
    return told.assign(**columns)


def look(covers, standing, density, **words):
    """First look at stands with cords and basal area given in order (None: not measured)."""
    columns = {k: words.pop(k) for k in ("age_yr", "operable", "frozen_ground_only") if k in words}
    keep = {str(i + 1): e for i, e in enumerate(standing) if e is not None}
    feet = {str(i + 1): basal(b) for i, b in enumerate(density) if b is not None}
    return cut.first_look(stands(*covers, **columns), keep, feet, **words)


def test_growth_and_ceiling_of_a_hardwood_stand_by_hand():
    """200 cords, 1 to 3 % a year: middle sqrt 3 = 1.732 %, 3.464 cords a year.

    Percent: ln(3)/2/1.64485 = .33396, as a CV squared e^.11153 - 1 = .11799; with the table's .1 sqrt(ln(1 + .01 +
    .11799)) = .34704, x 1.64485 = .57083. Plots: 1.8331 x sqrt(ln 1.01) = .18286; hypot .59940: 1.902 to 6.308.
    Cords low: hypot(.18286, .16408) = .24568: 156.43. Area check: 156.43 x .33/15 = 3.442. Ceiling the smaller, 1.902.
    Basal area 120, 80 to leave: a third is above, but .33 is the most: one entry 156.43 x .33 = 51.6.
    """
    row = look(["northern hardwoods"], [cords(200.0)], [120.0]).iloc[0]
    assert row["growth_mid"] == pytest.approx(3.4641, abs=1e-4)
    assert (row["growth_low"], row["growth_high"]) == (pytest.approx(1.902, abs=5e-4), pytest.approx(6.308, abs=5e-4))
    assert row["area_check"] == pytest.approx(3.442, abs=1e-3)
    assert row["ceiling_cords_per_yr"] == pytest.approx(1.902, abs=5e-4)
    assert row["entry_cords"] == pytest.approx(51.62, abs=0.01)
    assert (row["leave_sqft_per_ac"], row["leave_seen"]) == (80.0, "read")
    assert row["growth"].kind == "assumptions"


def test_the_published_percent_comes_back_exactly_without_other_errors():
    """A full count of 100 cords in hardwoods grows 1 to 3 cords: the range is the table's."""
    whole = interval(100.0, "cords", se=0.0, df=np.inf, n=50)
    row = look(["northern hardwoods"], [whole], [120.0]).iloc[0]
    assert [row["growth_low"], row["growth_high"]] == pytest.approx([1.0, 3.0], rel=1e-6)


def test_a_stand_under_its_basal_area_gives_nothing():
    """79 of 80 sq ft: no ceiling, whatever it grows; 80 of 80: a ceiling, but nothing to take out now."""
    told = look(["northern hardwoods"] * 2, [cords(400.0)] * 2, [79.0, 80.0])
    assert told["ceiling_cords_per_yr"][0] == 0 and told["ceiling_cords_per_yr"][1] > 0
    assert told["words"][0] == "This winter: nothing. It is below the stocking it should keep."
    assert told["entry_cords"][1] == 0 and not told["this_winter"].any()


def test_what_a_stand_may_lose_at_once_by_hand():
    """100 over 80 sq ft: a fifth is above, 156.43 x .2 = 31.3 cords at most."""
    told = look(["northern hardwoods"], [cords(200.0)], [100.0])
    assert told["entry_cords"][0] == pytest.approx(31.29, abs=0.01)


def test_stands_without_a_range_get_no_cut():
    """One plot, no plot, empty plots: no ceiling, and the reason."""
    one = interval(300.0, "cords", se=None, df=0, n=1)
    none = interval(0.0, "cords", se=0.0, df=3, n=4)
    told = look(["northern hardwoods"] * 3, [one, None, none], [120.0, None, 0.0])
    assert told["ceiling_cords_per_yr"].tolist() == [0.0, 0.0, 0.0]
    assert told["words"][0].startswith("Nothing this winter. Don't plan a cut on it: one sample has no range")
    assert told["words"][1] == "No number yet. Nobody has put a plot here. Three plots would give a first figure."
    assert told["words"][2] == "Nothing this winter. No wood was found on its plots."


def test_where_nothing_may_be_cut():
    """Cedar swamps, openings and ground not to be worked."""
    covers = ["cedar swamp", "brush and openings", "northern hardwoods"]
    told = look(covers, [cords(300.0)] * 3, [180.0, 20.0, 120.0], operable=[True, True, False])
    assert told["ceiling_cords_per_yr"].tolist() == [0.0, 0.0, 0.0]
    assert "Winter cover for deer" in told["words"][0] and "not to be worked" in told["words"][2]
    assert told["growth_mid"][0] > 0 and np.isnan(told["growth_mid"][1])


def test_aspen_goes_by_area_and_age_by_hand():
    """Cords low 156.43: area check a 45th of it, 3.476; the low end of growth (.5 to 2.5 %) is the smaller.

    At 60 years it is due, a patch of ten years' area, 156.43 x 10/45 = 34.8 cords; at 30 it has 15 years to go; without
    an age nobody can say.
    """
    told = look(["aspen and birch"] * 3, [cords(200.0)] * 3, [90.0] * 3, age_yr=[60, 30, None])
    assert told["area_check"][0] == pytest.approx(3.476, abs=1e-3)
    assert told["ceiling_cords_per_yr"][0] == pytest.approx(min(told["growth_low"][0], 3.476), abs=1e-3)
    assert told["entry_cords"][0] == pytest.approx(34.76, abs=0.01)
    assert "in 15 years" in told["words"][1] and "age is not written" in told["words"][2]
    assert np.isnan(told["leave_sqft_per_ac"]).all()


def test_this_winter_takes_the_best_founded_and_fullest_first():
    """The ceilings' sum goes to the fullest hardwoods before oak (leave from memory) and spruce (leave chosen)."""
    covers = ["spruce and fir", "oak", "northern hardwoods", "northern hardwoods"]
    told = look(covers, [cords(400.0)] * 4, [180.0, 150.0, 100.0, 130.0])
    assert told["this_winter"].tolist() == [False, False, False, True]
    assert told["this_winter_cords"].sum() == pytest.approx(told["ceiling_cords_per_yr"].sum())
    assert (
        told["words"][3].startswith("This winter: up to ") and "Thin, and leave 80 sq ft an acre." in told["words"][3]
    )
    assert cut.LABEL in told["words"][3]
    assert told["words"][0] == "Nothing this winter. Other stands come first, and they use up what grows."


def test_a_small_stand_is_filled_up_and_the_next_one_follows():
    """The fullest stand gives what one entry allows; the rest of the ceiling comes from the next."""
    told = look(["northern hardwoods"] * 6, [cords(40.0)] + [cords(500.0)] * 5, [140.0, 120.0, 90.0, 90.0, 90.0, 90.0])
    assert told["this_winter_cords"][0] == pytest.approx(told["entry_cords"][0])
    assert told["this_winter"].tolist() == [True, True, False, False, False, False]
    assert told["this_winter_cords"].sum() == pytest.approx(told["ceiling_cords_per_yr"].sum())


def test_need_and_what_was_taken_count():
    """The house needs 5: 5 are taken. All but 1 cord was cut already: what is left is under an entry, so none."""
    covers, standing, density = ["northern hardwoods"] * 4, [cords(500.0)] * 4, [130.0] * 4
    ceiling = look(covers, standing, density)["ceiling_cords_per_yr"].sum()
    assert look(covers, standing, density, need_cords=5.0)["this_winter_cords"].sum() == pytest.approx(5.0)
    assert look(covers, standing, density, taken_cords=ceiling - 1.0)["this_winter_cords"].sum() == 0.0
    assert look(covers, standing, density, taken_cords=10 * ceiling)["this_winter_cords"].sum() == 0.0
    with pytest.raises(InputError):
        look(covers, standing, density, need_cords=-1.0)


def test_frozen_ground_is_said():
    """A stand that bears a load only when frozen says so when it is chosen."""
    told = look(["northern hardwoods"], [cords(2000.0)], [140.0], frozen_ground_only=[True])
    assert told["this_winter"][0] and "Frozen ground only." in told["words"][0]


def test_a_cover_without_rules_is_treated_as_other():
    """Any text is a cover; it grows by the cautious row and leaves 80 sq ft, a choice."""
    told = look(["bog"], [cords(500.0)], [120.0]).iloc[0]
    assert (told["leave_sqft_per_ac"], told["leave_seen"]) == (80.0, "chosen")
    assert told["growth_mid"] == pytest.approx(500 * np.sqrt(0.5 * 2.43) / 100)


def test_totals_by_hand():
    """Two stands alike: growth twice 3.464; the percent is one error for both, the plots are not.

    Plots: CV .1/sqrt 2, 18 df, t 1.7341 x sqrt(ln 1.005) = .12247; table and percent .57083 as in one stand: the low
    end is 6.928 e^-.58382 = 3.864, more than twice the 1.902 of one.
    """
    told = look(["northern hardwoods"] * 2, [cords(200.0)] * 2, [120.0] * 2)
    whole = cut.first_look_totals(told, 20.0)
    half = np.hypot(1.73406 * np.sqrt(log(1.005)), 0.570827)
    assert whole["growth"].value == pytest.approx(6.9282, abs=1e-4)
    assert whole["growth"].low == pytest.approx(6.9282 * np.exp(-half), rel=5e-5)
    assert whole["growth"].low == pytest.approx(3.864, abs=1e-3)
    assert whole["growth"].low > told["growth_low"].sum()
    assert whole["growth"].kind == "assumptions"
    assert whole["ceiling_cords_per_yr"] == pytest.approx(told["ceiling_cords_per_yr"].sum())
    assert whole["words"].endswith(cut.LABEL) and whole["caution"] == ""
    assert whole["stands_this_winter"] == told.loc[told["this_winter"], "stand_id"].tolist()


def test_growth_nobody_would_believe_is_flagged():
    """More than a cord an acre a year on the whole ownership."""
    told = look(["pine"], [cords(600.0)], [140.0])
    assert "without cores" in cut.first_look_totals(told, 10.0)["caution"]
    assert cut.first_look_totals(told, 100.0)["caution"] == ""


def test_nothing_measured_has_no_total():
    """No plot anywhere: no growth, no cut, no error."""
    told = look(["oak", "pine"], [None, None], [None, None])
    whole = cut.first_look_totals(told, 20.0)
    assert whole["growth"] is None and whole["ceiling_cords_per_yr"] == 0.0 and whole["stands_this_winter"] == []


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["northern hardwoods", "oak", "pine", "aspen and birch", "cedar swamp", "bog"]),
            st.floats(5.0, 2000.0),
            st.floats(30.0, 200.0),
            st.integers(5, 120),
        ),
        min_size=1,
        max_size=8,
    ),
    st.one_of(st.none(), st.floats(0.0, 50.0)),
)
def test_a_first_look_never_takes_too_much(rows, need):
    """Never over the ceilings' sum, the need, an entry, a third of a stand or low growth; never under the guide."""
    told = look(
        [r[0] for r in rows],
        [cords(r[1]) for r in rows],
        [r[2] for r in rows],
        age_yr=[r[3] for r in rows],
        need_cords=need,
    )
    low = np.array([cords(r[1]).low for r in rows])
    taken = told["this_winter_cords"].to_numpy()
    assert taken.sum() <= min(told["ceiling_cords_per_yr"].sum(), np.inf if need is None else need) + 1e-9
    assert (taken <= told["entry_cords"] + 1e-9).all() and (taken <= 0.33 * low + 1e-9).all()
    assert (told["ceiling_cords_per_yr"] <= told["growth_low"].fillna(0) + 1e-9).all()
    under = (told["basal_sqft_per_ac"] < told["leave_sqft_per_ac"]).to_numpy()
    assert (told["ceiling_cords_per_yr"].to_numpy()[under] == 0).all()
    thin = (told["way"] == "thin").to_numpy()
    left = told["basal_sqft_per_ac"].to_numpy() * (1 - taken / low)
    assert (left[thin & ~under] >= told["leave_sqft_per_ac"].to_numpy()[thin & ~under] - 1e-6).all()


def test_every_cover_has_its_rules_and_its_growth():
    """Covers with letters all stand in the rules; those that are cut have a low and a high percent, low under high."""
    covers = set(tables.table("cover_types")["cover"])
    rules = tables.table("cut_rules").set_index("cover")
    assert covers <= set(rules.index)
    percents = tables.table("growth_pct_first_look").pivot_table(index="cover", columns="bound", values="pct_per_yr")
    assert set(rules.index[rules["way"] != "none"]) <= set(percents.index)
    assert (percents["low"] < percents["high"]).all() and (percents["low"] > 0).all()
    assert rules.loc[rules["way"] == "thin", "leave_sqft_per_ac"].notna().all()
