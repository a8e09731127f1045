"""Marking guides and stocking charts: what goes, what stays, and that nothing is cut below its floor."""

from dataclasses import replace
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
from woodlot.stand.judged import GROUPS, Judged, failing, judged_of
from woodlot.stand.marking_guide import job_marking, marking_guide, trees_kept
from woodlot.stand.stocking import structure_bdq
from woodlot.units import basal_sqft

PRINTED = Path(__file__).parent.parent / "printed"
BASE = shipped("base")
SPECIES = ["sugar maple", "northern red oak", "red maple", "quaking aspen", "white ash"]
B = basal_sqft(grow.classes(region=shipped("base")))


def random_stands(seed, number=20):
    """Made-up stands (species, class, stand)."""
    draw = np.random.default_rng(seed)
    n = draw.gamma(0.4, 4.0, (5, 30, number)) * np.exp(-0.12 * np.arange(30))[None, :, None]
    n[:, 12:] = 0.0
    return n


def judged_stands(seed, number, dying=False):
    """Words on a random half of the trees of each kind and size; white ash dying or not."""
    draw = np.random.default_rng(seed)
    shares = draw.dirichlet(np.ones(2 * len(GROUPS)), (5, 30, number))[..., : len(GROUPS)]
    apart = np.zeros((5, number), dtype=bool)
    apart[4] = dying
    return Judged(np.moveaxis(shares, -1, 0), np.zeros_like(apart), apart, np.ones(number, dtype=bool))


def one_word(n, group, kind, size):
    """All trees of one kind and size have one word, no other tree has any."""
    known = Judged.none(n.shape[0], n.shape[2])
    shares = np.zeros((len(GROUPS), *n.shape))
    shares[list(GROUPS).index(group), kind, size] = 1.0
    return replace(known, shares=shares)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.floats(30, 120), st.booleans(), st.booleans())
def test_marking_keeps_the_floor_the_share_and_every_tree_that_stays(seed, leave, with_structure, dying):
    """Never below the basal area to leave, never more than a third, never more than stands; den and mast trees stay."""
    n = random_stands(seed)
    rules = marking.rules_for(SPECIES, region=shipped("base"))
    goal = marking.structure_for("northern hardwoods", leave, region=shipped("base")) if with_structure else None
    known = judged_stands(seed, 20, dying)
    cut = marking.mark(n, np.full(20, leave), rules, goal, known, region=shipped("base"))
    assert (cut >= 0).all() and (cut <= n + 1e-12).all()
    before, away = B @ n.sum(axis=0), B @ cut.sum(axis=0)
    lasting = before - dying * (B @ n[4])
    assert (away <= 0.33 * before + 1e-9).all()
    assert (lasting - away >= np.minimum(lasting, leave) - 1e-9).all()
    assert not (dying and cut[4].any()), "an ash the borer is in is in nobody's list"
    shut = sum(known.trees(n, group) for group in ("crop", "keep", "apart"))
    assert (n - cut >= shut - 1e-9).all()
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


def test_kinds_of_little_use_go_before_maple_and_oak_and_a_quarter_of_them_stays():
    """Five trees of each kind in one class, of which 8 shall go: 3.75 aspen, 3.75 ash and half a red maple."""
    n = np.zeros((5, 30, 1))
    n[:, 2, 0] = 5.0
    n[0, 8, 0] = 40.0
    leave = float(B @ n.sum(axis=0)[:, 0]) - 8.0 * B[2]
    rules = marking.rules_for(SPECIES, region=BASE)
    cut = marking.mark(n, np.array([leave]), rules, np.where(np.arange(30) == 8, 40.0, 0.0), region=BASE)
    assert cut[:, 2, 0].tolist() == pytest.approx([0.0, 0.0, 0.5, 3.75, 3.75])


def test_a_small_tree_at_risk_goes_before_a_big_healthy_maple():
    """Ten maples of 22 in over the structure, and ten of 8 in at risk in a size that lacks trees: the small ones go
    first, and alone where no more may go than they come to.
    """
    n = np.zeros((5, 30, 1))
    n[0, [1, 8], 0] = 10.0
    known, goal = one_word(n, "at risk", 0, 1), marking.structure_for("northern hardwoods", 80.0, region=BASE)
    rules, whole = marking.rules_for(SPECIES, region=BASE), float(B @ n[0, :, 0])
    cut = marking.mark(n, np.array([whole - 10.0 * B[1]]), rules, goal, known, region=BASE)
    assert cut[0, [1, 8], 0].tolist() == pytest.approx([10.0, 0.0])
    blind = marking.mark(n, np.array([whole - 10.0 * B[1]]), rules, goal, region=BASE)
    assert blind[0, 1, 0] == 0.0 and blind[0, 8, 0] > 1.0
    more = marking.marked(n, np.array([whole - 10.0 * B[1] - 2.0 * B[8]]), rules, goal, known, region=BASE)
    assert more["likely to die"][0, 1, 0] == pytest.approx(10.0)
    assert more["spacing"][0, 8, 0] == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("first", "then"), [("at risk", "poor form"), ("poor form", "crowding"), ("crowding", "mature"), ("mature", None)]
)
def test_the_order_of_removal_is_kept_between_words(first, then):
    """Five maples of 10 in with one word, five of 14 in with the next (or an aspen without any): five go, the first."""
    n = np.zeros((5, 30, 1))
    n[0, [2, 4, 6], 0] = 5.0, 5.0, 60.0
    n[3, 2, 0] = 5.0
    known = one_word(n, first, 0, 4)
    if then:
        known.shares[list(GROUPS).index(then), 0, 2] = 1.0
    leave = float(B @ n.sum(axis=0)[:, 0]) - 5.0 * B[4]
    cut = marking.mark(n, np.array([leave]), marking.rules_for(SPECIES, region=BASE), None, known, region=BASE)
    assert cut[0, [2, 4], 0].tolist() == pytest.approx([0.0, 5.0]) and cut[3].sum() == 0.0


def test_good_trees_are_thinned_last_and_crop_keep_and_den_trees_never():
    """Maples of 10 in: half good; what goes for room comes from the other half until it is gone."""
    n = np.zeros((5, 30, 1))
    n[0, 2, 0] = 200.0
    known = one_word(n, "good", 0, 2)
    known.shares[:] *= 0.5
    rules, whole = marking.rules_for(SPECIES, share=1.0, region=BASE), 200.0 * B[2]
    parts = (known.trees(n, "good"), n)
    for take in (60.0, 150.0):
        cut = marking.mark(n, np.array([whole - take * B[2]]), rules, None, known, region=BASE)
        assert cut.sum() == pytest.approx(take)
    assert parts[0].sum() == 100.0
    for group in ("crop", "keep", "apart"):
        cut = marking.mark(n, np.zeros(1), rules, None, one_word(n, group, 0, 2), region=BASE)
        assert cut.sum() == 0.0


def test_good_trees_stand_while_a_plain_one_of_their_size_does():
    """Good red maples beside plain sugar maples of one size: by kind red maple would go first; the word turns it."""
    n = np.zeros((5, 30, 1))
    n[[0, 2], 2, 0] = 50.0
    rules, leave = marking.rules_for(SPECIES, region=BASE), np.array([90.0 * B[2]])
    assert marking.mark(n, leave, rules, region=BASE)[[0, 2], 2, 0].tolist() == pytest.approx([0.0, 10.0])
    cut = marking.mark(n, leave, rules, None, one_word(n, "good", 2, 2), region=BASE)
    assert cut[[0, 2], 2, 0].tolist() == pytest.approx([10.0, 0.0])


def test_a_good_aspen_is_not_taken_for_its_kind():
    """Aspen and maple of one size: of plain aspens three quarters go first, of good ones none before a plain maple."""
    n = np.zeros((5, 30, 1))
    n[[0, 3], 2, 0] = 50.0
    rules, leave = marking.rules_for(SPECIES, region=BASE), np.array([80.0 * B[2]])
    assert marking.mark(n, leave, rules, region=BASE)[[0, 3], 2, 0].tolist() == pytest.approx([0.0, 20.0])
    cut = marking.mark(n, leave, rules, None, one_word(n, "good", 3, 2), region=BASE)
    assert cut[[0, 3], 2, 0].tolist() == pytest.approx([20.0, 0.0])


def test_where_the_surplus_stands_in_few_sizes_the_rest_comes_from_all():
    """All over the structure stands at 22 in: a third of these goes, and the rest of what may go from other sizes."""
    n = np.zeros((5, 30, 1))
    goal = marking.structure_for("northern hardwoods", 60.0, region=BASE)
    n[0, :, 0] = np.minimum(goal * 0.9, 40.0)
    n[0, 8, 0] = 18.0
    whole = float(B @ n[0, :, 0])
    cut = marking.mark(n, np.array([60.0]), marking.rules_for(SPECIES, region=BASE), goal, region=BASE)
    assert whole - 60.0 > 0.33 * 18.0 * B[8], "more may go than a third of the large ones"
    assert 0.33 < cut[0, 8, 0] / 18.0 < 0.6 and (cut[0, :6, 0] > 0).all()
    assert B @ cut[0, :, 0] == pytest.approx(min(whole - 60.0, 0.33 * whole))


def test_dying_ash_is_in_no_list_and_no_part_of_what_is_left():
    """20 sq ft of dying ash among 90 with 65 to leave: 70 lasts, so 5 sq ft of maple go, and the ash stands apart."""
    n = np.zeros((5, 30, 1))
    n[4, 3, 0], n[0, 3, 0] = 20.0 / B[3], 70.0 / B[3]
    known = replace(Judged.none(5, 1), apart=np.array([[False], [False], [False], [False], [True]]))
    rules = marking.rules_for(SPECIES, region=BASE)
    cut = marking.mark(n, np.array([65.0]), rules, None, known, region=BASE)
    assert cut[4].sum() == 0.0 and cut.sum() * B[3] == pytest.approx(5.0)
    how = job_marking(n[:, :, 0], SPECIES, 65.0, rules, None, known, 2.0, region=BASE)
    assert how.apart[["why", "species"]].to_numpy().tolist() == [["dying ash", "white ash"]]
    assert how.apart["trees"].sum() == pytest.approx(2.0 * 20.0 / B[3])
    assert marking.salvage(n, known, region=BASE).sum() == 0.0


def test_salvage_takes_what_dies_and_nothing_that_stands_apart():
    """Fir that dies off: nine tenths; maples at risk: all; ash at risk is apart by its words; the rest stands."""
    kinds = ["balsam fir", "sugar maple", "white ash"]
    n = np.full((3, 30, 1), 2.0)
    known = one_word(n, "at risk", 1, 4)
    known.shares[list(GROUPS).index("apart"), 2, 4] = 1.0
    known.failing[0] = True
    gone = marking.salvage(n, known, region=BASE)
    assert gone.sum(axis=(1, 2)).tolist() == pytest.approx([30 * 2.0 * 0.9, 2.0, 0.0])
    assert len(kinds) == len(gone)


def tally(rows, **more):
    """Plot trees of 10.2 inches, two an acre each: (stand, kind, quality), all alive."""
    made = pd.DataFrame(rows, columns=["stand_id", "species", "quality"])
    return made.assign(dbh_in=10.2, trees_per_ac=2.0, basal_sqft_per_ac=1.0, alive=True, **more)


def test_words_on_plot_trees_become_shares_of_their_kind_and_size():
    """Of four maples one is at risk and one a crop tree; an ash at risk stands apart; stand 2 has no word."""
    rows = [("1", "sugar maple", q) for q in ("at risk", "crop", "", "")]
    rows += [("1", "white ash", "at risk"), ("2", "sugar maple", "")]
    no = np.zeros((2, 2), dtype=bool)
    known = judged_of(tally(rows), ["1", "2"], ["sugar maple", "white ash"], no, no, region=BASE)
    n = np.zeros((2, 30, 2))
    n[:, 2] = 8.0
    assert {g: known.trees(n, g)[:, 2, 0].tolist() for g in GROUPS if known.trees(n, g).any()} == {
        "at risk": [2.0, 0.0],
        "crop": [2.0, 0.0],
        "apart": [0.0, 8.0],
    }
    assert known.asked.tolist() == [True, False]


def test_a_tree_that_lost_a_third_is_of_poor_form_without_a_word():
    """Cull 35 % of one of two maples: half are poor; 30 % is not; nobody judged them all the same."""
    no = np.zeros((1, 1), dtype=bool)
    rows = [("1", "sugar maple", ""), ("1", "sugar maple", "")]
    n = np.zeros((1, 30, 1))
    n[0, 2] = 10.0
    for cull, poor in (([35.0, 0.0], 5.0), ([30.0, 0.0], 0.0)):
        known = judged_of(tally(rows, cull_pct=cull), ["1"], ["sugar maple"], no, no, region=BASE)
        assert known.trees(n, "poor form").sum() == poor and not known.asked.any()


def test_kinds_that_die_off_by_their_dead_and_by_their_age():
    """A third of the fir dead in stand 1; aspen of 64 years where it is as old as its stand, at the middle pace and not
    at the slow one; ash has its own rule.
    """
    rows = [("1", "balsam fir", "")] * 3 + [("1", "white ash", "")] * 3 + [("2", "quaking aspen", "")] * 3
    trees = tally(rows)
    trees.loc[[0, 3], "alive"] = False
    kinds = ["balsam fir", "quaking aspen", "white ash"]
    aged = np.array([[False, False], [False, True], [False, False]])

    def of(age, pace):
        return failing(trees, ["1", "2"], kinds, np.array([64.0, age]), aged, np.array(["mid", pace]), region=BASE)

    dead, old = of(64.0, "mid")
    assert dead.tolist() == [[True, False], [False, False], [False, False]]
    assert old.tolist() == [[False, False], [False, True], [False, False]]
    assert not of(64.0, "slow")[1].any() and not of(55.0, "mid")[1].any() and of(55.0, "fast")[1][1, 1]
    assert not of(np.nan, "mid")[1].any()


def test_a_job_names_order_crop_trees_and_kinds_to_keep():
    """Rows of removal stand in the order of removal and come to what the guide cuts; crop trees are counted."""
    n = random_stands(5, 1)[:, :, 0] * 2.0
    known, rules = judged_stands(5, 1), marking.rules_for(SPECIES, region=BASE)
    goal = marking.structure_for("northern hardwoods", 60.0, region=BASE)
    how = job_marking(n, SPECIES, 60.0, rules, goal, known, 3.0, region=BASE)
    steps = [marking.WHYS.index(why) for why in how.removal["why"]]
    assert steps == sorted(steps) and len(set(steps)) > 4
    assert how.removal["trees"].sum() == pytest.approx(how.trees["cut"].sum())
    assert how.apart["trees"].sum() == pytest.approx(3.0 * known.trees(n[:, :, None], "apart").sum())
    assert how.kept_trees == pytest.approx(3.0 * known.trees(n[:, :, None], "keep").sum())
    assert how.crop_trees == pytest.approx(3.0 * known.trees(n[:, :, None], "crop").sum())
    assert set(how.keep_kinds) <= {"sugar maple", "northern red oak"} and how.judged
    first = how.trees.loc[how.trees["cut"] > 1e-3, "why"]
    assert all(len(whys) and dict(whys[0].facts)["why"] in marking.WHYS for whys in first)
    patch = job_marking(n, SPECIES, None, rules, None, known, 3.0, region=BASE)
    assert patch.trees["leave"].sum() == pytest.approx(
        3.0 * sum(known.trees(n[:, :, None], g).sum() for g in ("crop", "keep", "apart"))
    )


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
    told = marking_guide(
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
    kept = [said(one) for one in trees_kept(region=shipped("base"))]
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
