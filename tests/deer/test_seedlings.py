"""Seedlings: stocking by rule and pressure, kinds told apart."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from woodlot.deer import seedlings
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said

DAY = date(2026, 9, 1)


def stocking(frame, code):
    """Both rules on the plots of a frame that speak today."""
    base = shipped("base")
    rows = seedlings.open_plots(seedlings.latest(seedlings.visits(frame, DAY), DAY.year, base))
    return seedlings.stocking(rows, code, region=base)


def plots(counts, radius=6.0, species="sugar maple"):
    """Plots with (under 1 ft, 1-3, 3-5, over 5) of one kind."""
    rows = pd.DataFrame(counts, columns=list(seedlings.HEIGHTS)).assign(species=species, radius_ft=radius)
    return rows.assign(plot_id=[str(i) for i in range(len(rows))])


def test_weighted_stems_by_hand():
    """10 small, 5 of 1-3 ft, 1 of 3-5 ft a plot: 10 + 10 + 20 = 40; enough at low deer (25), not at moderate (50)."""
    frame = plots([(10, 5, 1, 0)] * 10)
    low, moderate = (stocking(frame, code)[0] for code in (2, 3))
    assert (low.needed_per_plot, low.stocked_pct.value) == (25, 100.0)
    assert (moderate.needed_per_plot, moderate.stocked_pct.value) == (50, 0.0)
    assert said(low.words).startswith("10 of 10 plots have enough of the kinds that make a forest (weighted stems, 25")
    assert low.stocked_pct.low is None and said(low.stocked_pct.why) == "10 plots; 15 would give a first range"
    assert low.seen == "memory"


def test_only_kinds_that_make_a_forest_count_as_published():
    """Stems 4, 6, 1, 0 by height: 4 + 12 + 20 + 0 = 36, enough for 25; beech 0, 10, 3, 2 nothing (not 180)."""
    maple, beech = plots([(4, 6, 1, 0)] * 20), plots([(0, 10, 3, 2)] * 20, species="american beech")
    assert stocking(maple, 2)[0].stocked_pct.value == 100.0
    assert stocking(maple.assign(from_1_to_3ft=0), 2)[0].stocked_pct.value == 0.0
    for rule in stocking(beech, 2):
        assert rule.stocked_pct.value == 0.0 and rule.plots == 20
    assert said(stocking(beech, 2)[0].words).startswith("0 of 20 plots (0%, ")


def test_kinds_that_only_some_want_are_told_apart():
    """Aspen alone is no next forest unless the family wants it: both numbers, and which kinds."""
    frame = plots([(0, 0, 0, 2)] * 15 + [(0, 0, 0, 0)] * 5, species="quaking aspen")
    words = said(stocking(frame, 3)[0].words)
    assert words.startswith("0 of 20 plots (0%, ")
    assert words.endswith("With quaking aspen, if wanted, 15 of 20.")
    none = plots([(0, 0, 0, 0)] * 20, species="balsam fir")
    assert "With quaking aspen, if wanted" in said(stocking(pd.concat([frame, none]), 3)[0].words)
    assert "if wanted" not in said(stocking(plots([(0, 0, 0, 2)] * 20), 3)[0].words)


def test_kinds_that_add_no_plot_are_not_offered():
    """Aspen on plots that have enough without it changes nothing, so it is not spoken of."""
    frame = pd.concat([plots([(60, 0, 0, 0)] * 20), plots([(60, 0, 0, 0)] * 20, species="quaking aspen")])
    assert "if wanted" not in said(stocking(frame, 3)[0].words)


def test_kinds_without_a_group_are_named():
    """Leatherwood counts for nothing, and is said."""
    frame = pd.concat([plots([(60, 0, 0, 0)] * 20), plots([(60, 0, 0, 0)] * 20, species="leatherwood")])
    words = said(stocking(frame, 3)[0].words)
    assert words.endswith("Not counted, since no table speaks of them: leatherwood.")


def test_every_tree_of_the_list_has_a_group_or_is_known_to_lack_one():
    """The kinds without a group are those nobody in the north waits for, and those that are not known well enough."""
    species = shipped("base").species
    groups = species.rows("deer_regen_groups")["next_forest"]
    assert set(species.listed) - set(groups[groups.notna()].index) == {
        *("boxelder", "hackberry", "honeylocust", "osage-orange", "apple spp.", "mulberry spp.", "american sycamore"),
        *("black locust", "black willow", "douglas-fir", "cherry", "willow", "unknown hardwood", "unknown softwood"),
        *("virginia pine", "shortleaf pine", "table mountain pine", "austrian pine", "blue spruce", "european larch"),
        *("norway maple", "river birch", "american chestnut", "chinese chestnut", "northern catalpa", "ailanthus"),
        *("ohio buckeye", "yellow buckeye", "horse chestnut", "sweetgum", "cucumbertree", "blackgum", "white poplar"),
        *("lombardy poplar", "american plum", "sweet cherry", "common buckthorn", "staghorn sumac", "white willow"),
        *("peachleaf willow", "bebb willow", "crack willow", "sassafras", "siberian elm", "winged elm"),
        *("american holly", "hawthorn spp.", "mountain-ash spp.", "alder spp.", "dogwood spp.", "pear spp."),
        *("persimmon", "eastern redbud", "kentucky coffeetree", "flowering dogwood"),
    }


@pytest.mark.parametrize(("stocked", "low", "high"), [(33, 0.6838, 0.9113), (24, 0.4489, 0.7342)])
def test_the_share_stocked_as_published(stocked, low, high):
    """33 of 40 is .825 (.6838 to .9113), 24 of 40 .60 (.4489 to .7342): Wilson, t, design effect 1.3."""
    frame = plots([(50, 0, 0, 0)] * stocked + [(0, 0, 0, 0)] * (40 - stocked))
    e = stocking(frame, 3)[0].stocked_pct
    assert e.value == pytest.approx(2.5 * stocked)
    assert (e.low / 100, e.high / 100) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("code", "needed"), [(0, 25), (2, 25), (3, 50), (4, 100), (5, 200)])
def test_more_deer_need_more_stems(code, needed):
    """25, 50, 100, 200 by pressure (reference page 2.5, memory)."""
    assert stocking(plots([(1, 0, 0, 0)] * 3), code)[0].needed_per_plot == needed


def test_counts_are_brought_to_the_size_of_the_rule():
    """Six stems on a plot of 3 ft stand for 24 on 6 ft: a quarter of the area."""
    assert stocking(plots([(6, 0, 0, 0)] * 5, radius=3.0), 2)[0].stocked_pct.value == 0.0
    assert stocking(plots([(7, 0, 0, 0)] * 5, radius=3.0), 2)[0].stocked_pct.value == 100.0


def test_species_on_one_plot_add_up_and_empty_plots_count():
    """Two kinds of 15 each make 30; a plot of zeros is a plot."""
    frame = pd.concat([plots([(15, 0, 0, 0)]), plots([(15, 0, 0, 0)]).assign(species="red maple")])
    empty = plots([(0, 0, 0, 0)] * 3).assign(plot_id=["a", "b", "c"])
    told = stocking(pd.concat([frame, empty]), 2)[0]
    assert told.plots == 4 and told.stocked_pct.value == 25.0


def test_unmeasured_browsing_is_said():
    """No browse code: moderate deer assumed, in words."""
    frame = plots([(60, 0, 0, 0)] * 20)
    assert "moderate deer assumed" in said(stocking(frame, None)[0].words)
    assert "assumed" not in said(stocking(frame, 3)[0].words)


@pytest.mark.parametrize(("plots_", "range_"), [(14, False), (15, True)])
def test_under_fifteen_plots_there_is_no_range(plots_, range_):
    """14 plots give counts alone, 15 a range."""
    told = stocking(plots([(60, 0, 0, 0)] * plots_), 3)[0]
    assert (told.stocked_pct.low is not None) == range_
    assert ("%," in said(told.words)) == range_


@pytest.mark.parametrize(
    ("half", "effect", "plots_"),
    [(0.15, 1.0, 31), (0.15, 1.3, 40), (0.15, 1.5, 46), (0.10, 1.0, 68), (0.10, 1.3, 88), (0.10, 1.5, 102)],
)
def test_plots_wanted_as_published(half, effect, plots_):
    """For .15 either way 31 plots, 40 where they are alike by 1.3, 46 by 1.5; for .10 68, 88 and 102."""
    assert seedlings.plots_wanted(half, effect) == plots_


def test_the_latest_visit_of_a_plot_counts_and_fenced_plots_do_not():
    """A plot bare in 2025 and full in 2026 is one full plot; one of 2023 is too old; a fenced one is no plot."""
    bare, full = plots([(0, 0, 0, 0)] * 3), plots([(60, 0, 0, 0)] * 3)
    rows = pd.concat([bare.assign(date="2025-06-20"), full.assign(date="2026-06-20").iloc[:2]])
    assert (stocking(rows, 3)[0].plots, stocking(rows, 3)[0].stocked_pct.value) == (3, pytest.approx(200 / 3))
    old = bare.assign(date="2023-06-20", plot_id=["a", "b", "c"])
    assert stocking(pd.concat([rows, old]), 3)[0].plots == 3
    assert stocking(pd.concat([rows, old.assign(date="2024-06-20")]), 3)[0].plots == 6
    later = full.assign(date="2026-10-01")
    assert stocking(pd.concat([rows, later]), 3)[0].stocked_pct.value == pytest.approx(200 / 3)
    fenced = full.assign(date="2026-06-20", plot_id=["f", "g", "h"], fenced=[True, None, False])
    assert stocking(pd.concat([rows, fenced]), 3)[0].plots == 5


def test_rows_without_a_day_belong_to_the_last():
    """A row nobody dated stands with the last visit of its table."""
    rows = pd.concat([plots([(0, 0, 0, 0)]).assign(date="2024-06-20"), plots([(60, 0, 0, 0)] * 2).assign(date=None)])
    told = seedlings.visits(rows, DAY)
    assert told["year"].tolist() == [2024, 2024, 2024]
    assert seedlings.visits(rows.assign(date=None), DAY)["year"].tolist() == [2026] * 3


def test_the_same_name_on_two_lines_is_two_plots():
    """Plot 1 of line A and plot 1 of line B."""
    rows = plots([(60, 0, 0, 0), (0, 0, 0, 0)]).assign(plot_id="1", line=["A", "B"])
    assert stocking(rows, 3)[0].plots == 2


def test_lines_tell_how_alike_plots_are():
    """Four lines of ten, all or nothing on each: one line is one plot in effect; t has 3 degrees of freedom.

    Between: 4/3 x 4 x 5^2 / 40^2 = .083333; independent .25/40 = .00625; ratio 13.333. A plot without a line, or two
    lines, leave the usual 1.3.
    """
    frame = plots([(60, 0, 0, 0)] * 20 + [(0, 0, 0, 0)] * 20).assign(line=list("ABCD" * 10))
    on_lines = frame.assign(line=np.repeat(list("ABCD"), 10))
    rows = seedlings.with_groups(seedlings.visits(on_lines, DAY), shipped("base"))
    stocked = seedlings.stocked_plots(seedlings.rule_of(3, shipped("base"))[0], rows)
    lines = rows.groupby("plot")["line"].first()
    assert seedlings.effect_and_df(stocked, lines, shipped("base")) == (pytest.approx(40 / 3), 3)
    assert seedlings.effect_and_df(stocked, lines.where(lines != "A"), shipped("base")) == (1.3, 39)
    assert seedlings.effect_and_df(stocked, lines.map(dict(zip("ABCD", "AABB", strict=True))), shipped("base")) == (
        1.3,
        39,
    )
    wide, even = (stocking(one, 3)[0].stocked_pct for one in (on_lines, frame))
    assert wide.high - wide.low > 2 * (even.high - even.low)


def test_the_range_with_lines_holds_the_truth():
    """Six lines of seven, alike within a line by .2, seven in ten stocked: lines hold 88 in 100 and more, 1.3 fewer."""
    rng, base, held = np.random.default_rng(5), shipped("base"), []
    lines = pd.Series(np.repeat(list("ABCDEF"), 7))
    for _ in range(150):
        share = np.repeat(rng.beta(0.7 * 4, 0.3 * 4, 6), 7)
        stocked = pd.Series(rng.random(42) < share)
        ranges = [seedlings.share_stocked(stocked, on, base) for on in (lines, lines[:0])]
        held.append([e.low <= 70 <= e.high for e in ranges])
    with_lines, without = np.mean(held, axis=0)
    assert with_lines >= 0.88 and without < with_lines - 0.04


def test_a_free_stem_is_the_second_rule():
    """One stem over 5 ft on every second plot: half of the plots are free."""
    told = stocking(plots([(0, 0, 0, 1), (9, 9, 0, 0)] * 10), 3)
    assert told[1].rule == "free stem" and told[1].stocked_pct.value == 50.0


def test_negative_seedlings_are_refused():
    """Counts cannot be below zero."""
    with pytest.raises(InputError):
        stocking(plots([(-1, 0, 0, 0)]), 3)
