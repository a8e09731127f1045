"""Marking guides and stocking charts: what goes, what stays, and that nothing is cut below its floor."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.region import shipped
from woodlot.say.growth import guide_line
from woodlot.say.reasons import said
from woodlot.stand import grow, guides, marking
from woodlot.stand.stocking import structure_bdq
from woodlot.units import basal_sqft

PRINTED = Path(__file__).parent.parent / "printed"
SPECIES = ["sugar maple", "northern red oak", "red maple", "quaking aspen", "white ash"]
B = basal_sqft(grow.classes(region=shipped("base")))


def random_stands(seed, number=20):
    """Made-up stands (species, class, stand)."""
    draw = np.random.default_rng(seed)
    n = draw.gamma(0.4, 4.0, (5, 30, number)) * np.exp(-0.12 * np.arange(30))[None, :, None]
    n[:, 12:] = 0.0
    return n


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.floats(30, 120), st.booleans(), st.booleans())
def test_marking_keeps_the_floor_the_share_and_every_tree_that_stays(seed, leave, with_structure, dying):
    """Never below the basal area to leave, never more than a third, never more than stands; den and mast trees stay."""
    n = random_stands(seed)
    rules = marking.rules_for(SPECIES, ["white ash"] if dying else [], region=shipped("base"))
    goal = marking.structure_for("northern hardwoods", leave, region=shipped("base")) if with_structure else None
    cut = marking.mark(n, np.full(20, leave), rules, goal, region=shipped("base"))
    assert (cut >= 0).all() and (cut <= n + 1e-12).all()
    before, away = B @ n.sum(axis=0), B @ cut.sum(axis=0)
    assert (away <= 0.33 * before + 1e-9).all()
    assert (before - away >= np.minimum(before, leave) - 1e-9).all()
    if not dying:
        big = grow.classes(region=shipped("base")) >= 18
        kept = (n - cut)[:, big].sum(axis=(0, 1))
        assert (kept >= np.minimum(n[:, big].sum(axis=(0, 1)), 1.0) - 1e-9).all()
    nuts = grow.classes(region=shipped("base")) >= 10
    oaks = (n - cut)[1, nuts].sum(axis=0)
    assert (oaks >= np.minimum(n[1, nuts].sum(axis=0), 6.0) - 1e-9).all()


def test_a_class_at_its_structure_gives_nothing_and_the_surplus_goes_by_hand():
    """Q 1.6, 80 sq ft, largest 20: a stand that has exactly that and 10 trees of 10 in more gives those 5.454 sq ft."""
    goal = marking.structure_for("northern hardwoods", 80.0, region=shipped("base"))
    assert B @ goal == pytest.approx(80.0)
    n = np.zeros((5, 30, 1))
    n[0, :, 0] = goal
    n[0, 2, 0] += 10.0
    cut = marking.mark(
        n, np.array([80.0]), marking.rules_for(SPECIES, region=shipped("base")), goal, region=shipped("base")
    )
    assert cut[0, 2, 0] == pytest.approx(10.0)
    assert cut.sum() == pytest.approx(10.0)
    assert B @ cut.sum(axis=0)[:, 0] == pytest.approx(5.4542, abs=1e-4)


def test_short_lived_trees_go_before_maple_and_oak():
    """Five trees of each species in one class, of which 8 shall go: all aspen and 3 ash, no maple, no oak."""
    n = np.zeros((5, 30, 1))
    n[:, 2, 0] = 5.0
    n[0, 8, 0] = 40.0
    leave = float(B @ n.sum(axis=0)[:, 0]) - 8.0 * B[2]
    cut = marking.mark(
        n,
        np.array([leave]),
        marking.rules_for(SPECIES, region=shipped("base")),
        np.where(np.arange(30) == 8, 40.0, 0.0),
        region=shipped("base"),
    )
    assert cut[[3, 4], 2, 0].sum() == pytest.approx(8.0)
    assert cut[[0, 1, 2], 2, 0].sum() == 0.0


def test_dying_ash_goes_first_and_a_tenth_of_it_stays():
    """20 sq ft of ash among 90: a cut of 25 takes nine tenths of the ash and the rest elsewhere."""
    n = np.zeros((5, 30, 1))
    n[4, 3, 0], n[0, 3, 0] = 20.0 / B[3], 70.0 / B[3]
    cut = marking.mark(
        n, np.array([65.0]), marking.rules_for(SPECIES, ["white ash"], region=shipped("base")), region=shipped("base")
    )
    assert cut[4, 3, 0] * B[3] == pytest.approx(18.0)
    assert cut.sum() * B[3] == pytest.approx(25.0)


@pytest.mark.parametrize(
    ("stands", "keep", "stay"),
    [
        ({20: 4.0, 16: 4.0}, (3.0, 1.0), {20: 3.0}),
        ({18: 0.5, 16: 4.0}, (3.0, 1.0), {18: 0.5, 16: 2.5}),
        ({16: 2.0, 12: 9.0}, (3.0, 1.0), {16: 2.0, 12: 1.0}),
        ({14: 2.0, 10: 9.0}, (3.0, 1.0), {14: 2.0}),
        ({10: 9.0}, (3.0, 1.0), {}),
        ({18: 9.0, 16: 9.0}, (1.0, 4.0), {18: 4.0}),
        ({18: 2.0, 16: 9.0}, (1.0, 4.0), {18: 2.0}),
        ({16: 9.0, 12: 9.0}, (1.0, 4.0), {16: 1.0}),
    ],
)
def test_the_largest_from_12_and_from_18_inches_up_stay_as_den_trees_by_hand(monkeypatch, stands, keep, stay):
    """Maples by size: three an acre stay, the largest first, none under 12 inches; so too where a region keeps fewer
    from 12 inches up, and four from 18 inches up.
    """
    sizes, base = grow.classes(region=shipped("base")), shipped("base")
    n = np.zeros((5, len(sizes), 1))
    for size, number in stands.items():
        n[0, sizes == size, 0] = number
    chosen, own = marking._chosen, dict(zip(("keep_over_12in", "keep_over_18in"), keep, strict=True))
    assert keep == (1.0, 4.0) or [chosen(name, region=base) for name in own] == list(keep)
    monkeypatch.setattr(marking, "_chosen", lambda name, region: own.get(name) or chosen(name, region=region))
    kept = marking._reserve(n, marking.rules_for(SPECIES, region=base), region=base)[0, :, 0]
    assert {int(size): number for size, number in zip(sizes, kept, strict=True) if number} == stay


def test_trees_that_bear_nuts_stay_whatever_their_kind_by_hand():
    """Four red and four white oaks of 14 inches an acre and a hundred maples: six oaks stay, three of each kind."""
    kinds, sizes = ["northern red oak", "white oak", "sugar maple"], grow.classes(region=shipped("base"))
    n = np.zeros((3, len(sizes), 1))
    n[:, sizes == 14, 0] = np.array([[4.0], [4.0], [100.0]])
    rules = marking.rules_for(kinds, region=shipped("base"))
    kept = marking._reserve(n, rules, region=shipped("base"))[:, sizes == 14, 0].ravel()
    assert kept.tolist() == pytest.approx([3.0, 3.0, 3.0 * 100 / 108])


def test_a_guide_says_how_many_of_how_many():
    """Every row: cut + leave = now; words agree with the numbers; the largest class comes first."""
    n = random_stands(5, 1)[:, :, 0] * 2.0
    told = marking.marking_guide(
        n,
        SPECIES,
        60.0,
        marking.rules_for(SPECIES, region=shipped("base")),
        marking.structure_for("northern hardwoods", 60.0, region=shipped("base")),
        region=shipped("base"),
    )
    assert np.allclose(told["cut"] + told["leave"], told["now"])
    assert told["class_in"].is_monotonic_decreasing
    assert (told.loc[told["words"] == "leave all", "cut"] < 0.05 * told.loc[told["words"] == "leave all", "now"]).all()
    assert told["words"].str.contains("take").any()
    part = told[told["words"].str.fullmatch(r"take \d of \d+")]
    share = part["words"].str.extract(r"take (\d) of (\d+)").astype(float)
    assert ((share[0] / share[1] - (part["cut"] / part["now"]).to_numpy()).abs() < 0.11).all()


def test_the_published_structure_is_marked_as_memory():
    """Arbogast: 92 sq ft in all with 8 in saplings; every row from memory."""
    told = pd.read_csv(PRINTED / "structure_arbogast_1957.csv")
    assert told["basal_sqft_per_ac"].sum() == 92 and set(told["seen"]) == {"memory"}
    kept = [said(one) for one in marking.trees_kept(region=shipped("base"))]
    assert len(kept) == 4 and any("†" in w for w in kept) and kept[1].endswith("of them over 18 inches †")


def test_relative_density_of_selection_stands_as_printed():
    """forest_growth.md section 4: 80 sq ft of sugar maple at q 1.3 is .455, 70 is .40."""
    for basal, density in ((80, 0.455), (70, 0.40)):
        n = np.zeros((1, 18, 1))
        n[0, :9, 0] = structure_bdq(basal, 22, 1.3)["trees_per_ac"]
        told = grow.project(n, np.array([[-1.0, 0.0, 0.0]]), 0, wood_sg=np.array([0.56]), region=shipped("base"))
        assert told.density[0, 0] == pytest.approx(density, abs=0.005)


def test_a_chart_holds_its_lines_and_points():
    """Oak has two lines; maple five; the B line lies under the A line; a point carries its mean diameter by hand:
    80 sq ft in 100 trees is 12.11 in.
    """
    oak = guides.stocking_chart("oak", 0.56, [{"when": "today", "basal": 80.0, "stems": 100.0}], region=shipped("base"))
    a, b = (np.array(line["points"]) for line in oak["lines"])
    assert (b[:, 1] < a[:, 1]).all()
    assert oak["points"][0]["qmd_in"] == pytest.approx(12.11, abs=0.005)
    maple = guides.guide_lines("northern hardwoods", 0.56, region=shipped("base"))
    assert len(maple) == 5 and [line["points"][0][1] for line in maple] == sorted(
        (line["points"][0][1] for line in maple), reverse=True
    )
    ten = dict(map(tuple, maple[0]["points"]))[10.0]
    assert ten == pytest.approx(157.0, abs=0.05), "as printed: sugar maple carries 157.0 sq ft at 10 in at most"
    assert [guide_line(k["line"], k["share"]) for k in maple] == [
        "as dense as can be (100%)",
        "crowded above (80%)",
        "full above (60%)",
        "well filled above (40%)",
        "low under (30%)",
    ]
    white = guides.guide_lines("pine", 0.34, "eastern white pine", region=shipped("base"))[-1]
    assert guide_line(white["line"], white["share"]) == "upper line of white pine"


def test_species_that_go_last_go_after_all_others():
    """A sugarbush: maples after every other kind."""
    kinds = ["sugar maple", "red maple", "american basswood"]
    plain = marking.rules_for(kinds, region=shipped("base")).order
    last = marking.rules_for(kinds, last=kinds[:2], region=shipped("base")).order
    assert last[0] == last[1] > last[2] == plain[2] and last[0] > plain.max()
