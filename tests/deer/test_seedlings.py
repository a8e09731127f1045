"""Seedlings: stocking by rule and pressure, kinds told apart."""

import pandas as pd
import pytest

from woodlot.deer import seedlings
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said


def plots(counts, radius=6.0, species="sugar maple"):
    """Plots with (under 1 ft, 1-3, 3-5, over 5) of one kind."""
    rows = pd.DataFrame(counts, columns=list(seedlings.HEIGHTS)).assign(species=species, radius_ft=radius)
    return rows.assign(plot_id=[str(i) for i in range(len(rows))])


def test_weighted_stems_by_hand():
    """10 small, 5 of 1-3 ft, 1 of 3-5 ft a plot: 10 + 10 + 20 = 40; enough at low deer (25), not at moderate (50)."""
    frame = plots([(10, 5, 1, 0)] * 10)
    low, moderate = (seedlings.stocking(frame, code, region=shipped("base"))[0] for code in (2, 3))
    assert (low.needed_per_plot, low.stocked_pct.value) == (25, 100.0)
    assert (moderate.needed_per_plot, moderate.stocked_pct.value) == (50, 0.0)
    assert said(low.words).startswith(
        "The next forest is probably coming up. 10 of 10 plots (100%, 70 to 100, 90%) have"
    )
    assert said(moderate.words).startswith("The next forest is not coming up.")
    assert low.seen == "memory"


def test_only_kinds_that_make_a_forest_count_as_published():
    """Stems 4, 6, 1, 0 by height: 4 + 12 + 20 + 0 = 36, enough for 25; beech 0, 10, 3, 2 nothing (not 180)."""
    maple, beech = plots([(4, 6, 1, 0)] * 20), plots([(0, 10, 3, 2)] * 20, species="american beech")
    assert seedlings.stocking(maple, 2, region=shipped("base"))[0].stocked_pct.value == 100.0
    assert seedlings.stocking(maple.assign(from_1_to_3ft=0), 2, region=shipped("base"))[0].stocked_pct.value == 0.0
    for rule in seedlings.stocking(beech, 2, region=shipped("base")):
        assert rule.stocked_pct.value == 0.0 and rule.plots == 20
    assert said(seedlings.stocking(beech, 2, region=shipped("base"))[0].words).startswith(
        "The next forest is not coming up. 0 of 20 plots"
    )


@pytest.mark.parametrize("kind", ["American beech", "eastern hophornbeam", "american hornbeam", "striped maple"])
def test_fillers_are_counted_apart_and_said(kind):
    """Maple enough on 20 plots, a filler taller and thicker on 6 of them and shorter on 4: it stands over it on 6."""
    maple = plots([(60, 0, 1, 0)] * 20)
    tall = plots([(0, 0, 0, 2)] * 6 + [(0, 9, 1, 0)] * 4, species=kind)
    low = plots([(90, 9, 0, 0)] * 6, species="mountain maple")
    words, free = (
        said(rule.words) for rule in seedlings.stocking(pd.concat([maple, tall, low]), 3, region=shipped("base"))
    )
    assert "stands over" not in free
    assert words.startswith("The next forest is coming up. 20 of 20 plots")
    assert words.endswith(f" {kind.capitalize()} stands over it on 6 of 20 plots.")
    assert "stands over" not in said(seedlings.stocking(maple, 3, region=shipped("base"))[0].words)


def test_kinds_that_only_some_want_are_told_apart():
    """Aspen alone is no next forest unless the family wants it: both numbers, and which kinds."""
    frame = plots([(0, 0, 0, 2)] * 15 + [(0, 0, 0, 0)] * 5, species="quaking aspen")
    words = said(seedlings.stocking(frame, 3, region=shipped("base"))[0].words)
    assert words.startswith("The next forest is not coming up. 0 of 20 plots")
    assert words.endswith("With quaking aspen, if wanted, 15 of 20.")
    none = plots([(0, 0, 0, 0)] * 20, species="balsam fir")
    assert "With quaking aspen, if wanted" in said(
        seedlings.stocking(pd.concat([frame, none]), 3, region=shipped("base"))[0].words
    )
    assert "if wanted" not in said(seedlings.stocking(plots([(0, 0, 0, 2)] * 20), 3, region=shipped("base"))[0].words)


def test_kinds_that_add_no_plot_are_not_offered():
    """Aspen on plots that have enough without it changes nothing, so it is not spoken of."""
    frame = pd.concat([plots([(60, 0, 0, 0)] * 20), plots([(60, 0, 0, 0)] * 20, species="quaking aspen")])
    assert "if wanted" not in said(seedlings.stocking(frame, 3, region=shipped("base"))[0].words)


def test_kinds_without_a_group_are_named():
    """Leatherwood counts for nothing, and is said."""
    frame = pd.concat([plots([(60, 0, 0, 0)] * 20), plots([(60, 0, 0, 0)] * 20, species="leatherwood")])
    words = said(seedlings.stocking(frame, 3, region=shipped("base"))[0].words)
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
    e = seedlings.stocking(frame, 3, region=shipped("base"))[0].stocked_pct
    assert e.value == pytest.approx(2.5 * stocked)
    assert (e.low / 100, e.high / 100) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("code", "needed"), [(0, 25), (2, 25), (3, 50), (4, 100), (5, 200)])
def test_more_deer_need_more_stems(code, needed):
    """25, 50, 100, 200 by pressure (reference page 2.5, memory)."""
    assert seedlings.stocking(plots([(1, 0, 0, 0)] * 3), code, region=shipped("base"))[0].needed_per_plot == needed


def test_counts_are_brought_to_the_size_of_the_rule():
    """Six stems on a plot of 3 ft stand for 24 on 6 ft: a quarter of the area."""
    assert (
        seedlings.stocking(plots([(6, 0, 0, 0)] * 5, radius=3.0), 2, region=shipped("base"))[0].stocked_pct.value == 0.0
    )
    assert (
        seedlings.stocking(plots([(7, 0, 0, 0)] * 5, radius=3.0), 2, region=shipped("base"))[0].stocked_pct.value
        == 100.0
    )


def test_species_on_one_plot_add_up_and_empty_plots_count():
    """Two kinds of 15 each make 30; a plot of zeros is a plot."""
    frame = pd.concat([plots([(15, 0, 0, 0)]), plots([(15, 0, 0, 0)]).assign(species="red maple")])
    empty = plots([(0, 0, 0, 0)] * 3).assign(plot_id=["a", "b", "c"])
    told = seedlings.stocking(pd.concat([frame, empty]), 2, region=shipped("base"))[0]
    assert told.plots == 4 and told.stocked_pct.value == 25.0


def test_in_between_says_probably_and_few_plots_say_so():
    """7 of 10 against 70 %: probably; two plots: not enough; unmeasured browsing: moderate deer assumed, in words."""
    frame = plots([(60, 0, 0, 0)] * 7 + [(0, 0, 0, 0)] * 3)
    assert said(seedlings.stocking(frame, 3, region=shipped("base"))[0].words).startswith(
        "The next forest is probably coming up."
    )
    assert said(seedlings.stocking(frame.iloc[:2], 3, region=shipped("base"))[0].words).startswith("Not enough plots")
    assert "moderate deer assumed" in said(seedlings.stocking(frame, None, region=shipped("base"))[0].words)


def test_a_free_stem_is_the_second_rule():
    """One stem over 5 ft on every second plot: half of the plots are free."""
    told = seedlings.stocking(plots([(0, 0, 0, 1), (9, 9, 0, 0)] * 10), 3, region=shipped("base"))
    assert told[1].rule == "free stem" and told[1].stocked_pct.value == 50.0


def test_negative_seedlings_are_refused():
    """Counts cannot be below zero."""
    with pytest.raises(InputError):
        seedlings.stocking(plots([(-1, 0, 0, 0)]), 3, region=shipped("base"))
