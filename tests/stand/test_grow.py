"""Stand tables that grow: golden values, exact accounts, behavior over a long time."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.say.reasons import said
from woodlot.stand import grow
from woodlot.stand.grow_year import Model
from woodlot.stand.stocking import structure_bdq
from woodlot.tree.growth import equations

PRINTED = pd.read_csv(Path(__file__).parent.parent / "printed" / "forest_growth.csv")
MAPLE_SG = np.array([0.56])
SPECIES = ["sugar maple", "northern red oak", "red maple", "white ash"]
SG = np.array([0.56, 0.56, 0.49, 0.55])


def golden(what):
    """Printed values of one kind: key -> (value, half of its last digit)."""
    rows = PRINTED[PRINTED["what"] == what]
    return {k: (v, 0.5 * 10.0**-d) for k, v, d in zip(rows["key"], rows["value"], rows["decimals"], strict=True)}


def maples(count=18):
    """The stand of the golden values: sugar maple, 80 sq ft, q 1.3, classes 6 to 22 (room to class 40)."""
    n = np.zeros((1, count, 1))
    n[0, :9, 0] = structure_bdq(80, 22, 1.3)["trees_per_ac"]
    return n


#: The low, middle and high rates of the source over the middle one.
ANCHORS = {"low": 0.14 / 0.18, "mid": 1.0, "high": 0.22 / 0.18}


def run(years, case="mid", n=None, **more):
    """That stand after some years, by one of the three rates of the source."""
    n = maples() if n is None else n
    more = {"factor": np.full((1, n.shape[2]), ANCHORS[case])} | more
    return grow.project(
        n,
        equations(["sugar maple"], region=shipped("base"))[0],
        years,
        wood_sg=MAPLE_SG,
        **more,
        region=shipped("base"),
    )


def random_stands(number, seed=7):
    """Made-up stands of four species: trees (species, class, stand)."""
    draw = np.random.default_rng(seed)
    n = draw.gamma(0.4, 4.0, (4, 30, number)) * np.exp(-0.12 * np.arange(30))[None, :, None]
    n[:, 14:] = 0.0
    return n * draw.uniform(0.1, 2.0, number)


def test_diameter_growth_by_class_as_printed():
    """forest_growth.md section 1: growth of classes 6 to 22 at the start."""
    n, b = maples()[0, :, 0], 0.005454153912 * grow.classes(18, region=shipped("base")) ** 2
    bal = np.array([(b * n)[k + 1 :].sum() + 0.5 * b[k] * n[k] for k in range(18)])
    b0, b1, b2 = equations(["sugar maple"], region=shipped("base"))[0][0]
    told = np.exp(b0 + b1 * np.log(grow.classes(18, region=shipped("base"))) + b2 * bal / 100.0)
    for size, (value, half) in golden("dbh growth").items():
        assert told[(int(size) - 6) // 2] == pytest.approx(value, abs=half), size


def test_account_of_the_first_year_as_printed():
    """forest_growth.md section 1, survivor growth by the limited flux of forest_ageing.md section 4."""
    one = run(1)
    told = {
        "survivor": one.survivor[0, 0],
        "mortality": one.mortality[0, 0],
        "ingrowth": one.ingrowth[0, 0],
        "stems in": one.stems_in[0, 0],
        "density": one.density[0, 0],
    }
    for name, (value, half) in golden("first year").items():
        assert told[name] == pytest.approx(value, abs=half), name


def test_the_flux_of_a_made_up_table_by_hand():
    """forest_ageing.md section 4: p .1, n 0 10 30 20 5 0; 20: A -10, B -15, h -12, .1 (20 - 5.4) = 1.46."""
    model = Model.__new__(Model)
    n = np.array([0, 10, 30, 20, 5, 0.0])[:, None, None]
    model.reach, model.fast = 6, False
    model.up, (model.single, model.bend, model.sum) = np.empty(n.shape), np.empty((3, *n.shape), dtype=np.float32)
    model.step_up = np.empty((7, 1, 1), dtype=np.float32)
    p = np.full(n.shape, 0.1, dtype=np.float32)
    p[-1] = 0.0
    up = model.moved_up(n, p)[:, 0, 0]
    assert up == pytest.approx([0, 1.6, 3.0, 1.46, 0.1625, 0], abs=1e-6)
    after = n[:, 0, 0] - up + np.append(0.0, up[:-1])
    assert after == pytest.approx([0, 8.4, 28.6, 21.54, 6.2975, 0.1625], abs=1e-6)


@pytest.mark.parametrize(("what", "largest"), [("limited", None), ("with deaths by size", 30.0)])
def test_two_hundred_years_as_printed(what, largest):
    """forest_ageing.md section 4, balanced stand of 80 sq ft: basal area, and trees of 40 and 50 in and more."""
    more = {} if largest is None else {"largest_in": np.array([largest])}
    told, sizes = run(200, n=maples(30), **more), grow.classes(30, region=shipped("base"))
    here = {f"basal after {y}": told.basal[y, 0] for y in (1, 10, 50, 100, 200)}
    for years in (100, 200):
        trees = run(years, n=maples(30), **more).trees[0, :, 0]
        here |= {f"{size} in after {years}": trees[sizes >= size].sum() for size in (40, 50)}
    for name, (value, half) in golden(what).items():
        assert here[name] == pytest.approx(value, abs=half), name
    assert np.abs(balance(told)).max() < 1e-9


def test_deaths_by_size_with_other_anchors_as_printed():
    """forest_ageing.md section 4: .14 and .22 in a year of a 10-inch tree, 200 years."""
    for case, (value, half) in zip(("low", "high"), golden("other anchors").values(), strict=True):
        assert run(200, case, n=maples(30), largest_in=np.array([30.0])).basal[-1, 0] == pytest.approx(value, abs=half)


def test_trees_by_class_after_a_year_as_printed():
    """forest_ageing.md section 4, from the start as forest_growth.md prints it, to hundredths of a tree."""
    n = np.zeros((1, 30, 1))
    n[0, :9, 0] = [27.28, 20.98, 16.14, 12.42, 9.55, 7.35, 5.65, 4.35, 3.34]
    told = run(1, n=n, largest_in=np.array([30.0])).trees[0, :, 0]
    for size, (value, half) in golden("trees after 1 year").items():
        assert told[(int(size) - 6) // 2] == pytest.approx(value, abs=half), size


def test_a_stand_of_poles_as_printed():
    """forest_ageing.md section 4: 100, 80, 40 and 10 trees of 6 to 12 in, 77.23 sq ft."""
    n = np.zeros((1, 30, 1))
    n[0, :4, 0] = 100, 80, 40, 10
    told = run(10, n=n)
    here = {
        "survivor of the first year": told.survivor[0, 0],
        "net percent": 100.0 * (told.basal[1, 0] / told.basal[0, 0] - 1.0),
        "net percent over ten years": 100.0 * ((told.basal[10, 0] / told.basal[0, 0]) ** 0.1 - 1.0),
    }
    for name, (value, half) in golden("poles").items():
        assert here[name] == pytest.approx(value, abs=half), name


def test_ingrowth_from_saplings_as_printed():
    """forest_growth.md section 1: B 80 with 160 saplings 3.45 trees, with 20 .54; none without any."""
    n = np.repeat(maples(), 3, axis=2)
    told = run(1, n=n, saplings_per_ac=np.array([160.0, 20.0, 0.0])).stems_in[0]
    assert told == pytest.approx([3.45, 0.54, 0.0], abs=0.005)


def test_cut_stands_grow_under_the_published_band_and_never_over():
    """Net growth after selection cuts. Published 2.8 to 3.3 sq ft in three New York stands (Mader and Nyland 1984): on
    70 to 90 sq ft the middle anchor gives 2.0 to 2.1, the high one 2.5 to 2.6. Both miss it, which the reference page
    knows: the gap is said, not tuned away. Cut stands: 2.0 to 4.6 % a year.
    """
    n = np.concatenate([maples(30) * b / 80.0 for b in (60.0, 70.0, 80.0, 90.0)], axis=2)
    for case, low, high in (("low", 1.5, 1.7), ("mid", 1.9, 2.2), ("high", 2.3, 2.8)):
        told = run(6, case, n=n, largest_in=np.array([30.0]))
        net = (told.basal[-1] - told.basal[0]) / 6.0
        pct = 100.0 * (told.basal[1] - told.basal[0]) / told.basal[0]
        print(f"{case:4} anchor: net {net.round(2)} sq ft/ac/yr on 60, 70, 80, 90; {pct.round(1)} % a year")
        assert (pct > 1.8).all() and (pct < 4.7).all()
        assert (net > low).all() and (net < high).all()


def test_a_cycle_of_fifteen_years_returns_about_a_third():
    """Mader and Nyland 1984: cycles of 12 to 15 years bring a balanced stand back; from 75 sq ft +31, near a third."""
    told = run(15, n=maples(30) * 75.0 / 80.0, largest_in=np.array([30.0]))
    assert 0.28 < 1.0 - 75.0 / told.basal[-1, 0] < 0.36


@pytest.mark.parametrize(("case", "most"), [("low", 150.0), ("mid", 150.0), ("high", 153.0)])
def test_old_stands_stay_within_the_level_to_believe(case, most):
    """After 100 uncut years hardwoods hold 110 to 150 sq ft (chosen, forest_ageing.md section 5), whatever they began
    with; with the high anchor an open stand comes to 152.7, over it. After 200 no tree of 50 in is left and under .1
    an acre of 40 in.
    """
    n = np.concatenate([maples(30) * b / 80.0 for b in (40.0, 80.0, 130.0, 180.0)], axis=2)
    largest, sizes = np.array([30.0]), grow.classes(30, region=shipped("base"))
    assert all(110.0 < one < most for one in run(100, case, n=n, largest_in=largest).basal[-1])
    old = run(200, case, n=n, largest_in=largest)
    assert old.trees[0, sizes >= 50].sum(axis=0).max() < 1e-3
    assert old.trees[0, sizes >= 40].sum(axis=0).max() < 0.1


@pytest.mark.parametrize("case", ["low", "mid", "high"])
def test_a_closed_stand_nears_its_ceiling_and_never_passes_it(case):
    """200 years uncut from 130 sq ft: relative density nears .75 to .88 and stays under 1, the published ceiling; basal
    area stays under "about 170" (175 at most); the last fifty years move less than 2 sq ft; 1.1 to 2.1 % dies a year.
    """
    told = run(200, case, n=maples() * 130.0 / 80.0)
    assert told.density.max() < 1.0
    assert told.density.max() > 0.75
    assert told.basal.max() < 175.0
    assert abs(told.basal[200, 0] - told.basal[150, 0]) < 2.0
    dying = told.mortality[-50:, 0] / told.basal[-51:-1, 0]
    print(f"{case}: {told.basal[-1, 0]:.1f} sq ft, density {told.density[-1, 0]:.3f}, {100 * dying.mean():.2f} % dying")
    assert 0.011 < dying.mean() < 0.021


def test_understocked_stands_fill():
    """From 15 and 30 sq ft and from bare ground to over 80 sq ft in 50 years, rising every year."""
    n = np.concatenate([maples() * b / 80.0 for b in (0.0, 15.0, 30.0)], axis=2)
    told = run(50, n=n)
    assert (np.diff(told.basal, axis=0) > 0).all()
    assert (told.basal[-1] > 80.0).all()


def test_bare_ground_fills_at_the_cap_of_five_trees_by_hand():
    """exp(1.920) = 6.8 is more than the cap: five trees of .19635 sq ft, .98 sq ft in the first year."""
    told = run(1, n=np.zeros((1, 18, 1)))
    assert told.stems_in[0, 0] == 5.0
    assert told.basal[1, 0] == pytest.approx(0.981748, abs=1e-6)


def balance(told):
    """What each year's account is off by (years, stand): end - (start - cut + ingrowth + survivor - deaths)."""
    net = told.survivor + told.ingrowth - told.mortality
    before = np.vstack([told.basal[1:-1] + told.cut[1:], told.basal[-1:]])
    return before - told.basal[:-1] - net


def test_a_thousand_random_stands_balance_to_a_billionth():
    """Start + ingrowth + survivor growth - mortality - cut = end, each year, in basal area and in trees; with cuts in
    two years, saplings, dying ash and cores.
    """
    n = random_stands(1000)
    draw = np.random.default_rng(8)
    leave = np.full((20, 1000), np.nan)
    leave[3], leave[11] = 60.0, 40.0
    told = grow.project(
        n,
        equations(SPECIES, fitted=True, region=shipped("base"))[0],
        20,
        wood_sg=SG,
        factor=draw.uniform(0.4, 2.0, (4, 1000)),
        saplings_per_ac=np.where(draw.random(1000) < 0.3, np.nan, draw.uniform(0, 400, 1000)),
        deaths=np.array([0.0, 0.0, 0.0, 0.37])[:, None] * np.ones(1000),
        leave_sqft=leave,
        region=shipped("base"),
    )
    assert np.abs(balance(told)).max() < 1e-9
    assert told.cut[3].max() > 1.0 and told.cut[4].max() == 0.0
    end = told.trees.sum(axis=(0, 1))
    quiet = np.abs(told.stems[12:-1] + told.stems_in[12:] - told.stems_out[12:] - np.vstack([told.stems[13:]]))
    assert quiet.max() < 1e-9
    assert np.allclose(end, told.stems[-1], atol=1e-9)


def test_a_cut_leaves_what_was_asked_and_only_what_is_over():
    """80 sq ft left to 60: 20 cut, the same share of all; a stand of 50 is left alone."""
    n = np.concatenate([maples(), maples() * 50.0 / 80.0], axis=2)
    told = run(1, n=n, leave_sqft=np.full((1, 2), 60.0))
    assert told.cut[0] == pytest.approx([20.0, 0.0], abs=1e-9)
    assert told.basal[0] == pytest.approx([60.0, 50.0], abs=1e-9)


def test_two_stands_at_once_are_two_stands_alone():
    """Blocks and company change nothing beyond the seven digits of a growth rate: 700 stands in blocks of 64 against
    each tenth alone.
    """
    n = random_stands(700, seed=3)
    whole = grow.project(
        n, equations(SPECIES, region=shipped("base"))[0], 8, wood_sg=SG, block=64, region=shipped("base")
    )
    for k in range(0, 700, 70):
        alone = grow.project(
            n[:, :, [k]], equations(SPECIES, region=shipped("base"))[0], 8, wood_sg=SG, region=shipped("base")
        )
        assert np.allclose(alone.trees[:, :, 0], whole.trees[:, :, k], rtol=0, atol=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.2, 3.0))
def test_doubling_the_trees_doubles_basal_area_but_not_growth(seed, scale):
    """Section 7, on random stands."""
    n = random_stands(1, seed) * scale
    one, two = (
        grow.project(k * n, equations(SPECIES, region=shipped("base"))[0], 1, wood_sg=SG, region=shipped("base"))
        for k in (1.0, 2.0)
    )
    assert two.basal[0, 0] == pytest.approx(2.0 * one.basal[0, 0], rel=1e-9)
    assert two.survivor[0, 0] < 2.0 * one.survivor[0, 0] + 1e-12
    assert one.survivor[0, 0] >= 0.0


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(3, 12))
def test_cutting_large_classes_lowers_density_and_frees_only_smaller_trees(seed, at):
    """Section 7: with class ``at`` halved, smaller trees move up faster, larger ones as before."""
    n = random_stands(1, seed) + 0.05
    n[:, 14:] = 0.0
    less = n.copy()
    less[:, at] *= 0.5
    full, cut = (
        grow.project(k, equations(SPECIES, region=shipped("base"))[0], 1, wood_sg=SG, region=shipped("base"))
        for k in (n, less)
    )
    assert cut.density[0, 0] < full.density[0, 0]
    top = 13
    moved = [run_.trees[0, top + 1, 0] for run_ in (full, cut)]
    if at < top:
        assert moved[0] == pytest.approx(moved[1] * (_alive(full) / _alive(cut)), rel=1e-6)
    assert cut.survivor[0, 0] > 0


def _alive(run_):
    """Share of the largest class that lived the year, from its crowding."""
    return 1.0 - 0.01 * (1.0 + 5.0 * max(run_.density[0, 0] - 0.6, 0.0))


def warned(told, cores=False):
    """What is said of one stand's growth."""
    net = (told.survivor + told.ingrowth - told.mortality).mean(axis=0)
    backed = np.array([cores])
    return [*map(said, grow.outside_band(["1"], net, told.basal[0], told.density[0], backed, region=shipped("base")))]


def test_warnings_stand_outside_what_published_stands_show():
    """Over 3.4 sq ft without cores, over 1.1 of full, over 200 sq ft; none for a usual one."""
    assert warned(run(10)) == []
    assert any("cores" in w for w in warned(run(3, factor=np.array([[1.8]]))))
    assert not any("cores" in w for w in warned(run(3, factor=np.array([[1.8]])), cores=True))
    thick = warned(run(1, n=maples() * 2.6))
    assert any("Denser" in w for w in thick) and any("200 sq ft" in w for w in thick)


def test_words_outside_what_published_stands_show_name_their_stands():
    """Four stands, one fault each but the second: cores take away the word on fast growth; missing is silent."""
    told = grow.outside_band(
        ["b", "c", "d", "e"],
        np.array([3.5, 3.5, np.nan, 2.0]),
        np.array([80.0, 80.0, np.nan, 201.0]),
        np.array([0.4, 0.4, 1.2, 0.9]),
        np.array([False, True, False, False]),
        region=shipped("base"),
    )
    told = [said(one) for one in told]
    assert [w.rsplit(": stand ", 1)[1] for w in told] == ["b.", "d.", "e."]
    assert "3.4 sq ft" in told[0] and "200 sq ft" in told[2]


def test_relative_density_is_that_of_the_first_year():
    """The same as a run says of its start, for stands of four species; nothing stands on bare ground."""
    n = random_stands(20, 5)
    n[:, :, 3] = 0.0
    told = grow.relative_density(n, SG, region=shipped("base"))
    assert told == pytest.approx(
        grow.project(n, equations(SPECIES, region=shipped("base"))[0], 0, wood_sg=SG, region=shipped("base")).density[
            0
        ],
        abs=1e-12,
    )
    assert told[3] == 0.0


def test_a_stand_table_becomes_an_array():
    """Class 6 holds 5.0 to 6.9 in; smaller trees and trees without a class are left out; huge ones fall in the last."""
    assert grow.class_of(np.array([4.9, 5.0, 6.9, 7.0, 200.0, np.nan]), region=shipped("base")).tolist() == [
        -1,
        0,
        0,
        1,
        29,
        -1,
    ]
    rows = pd.DataFrame(
        {
            "stand_id": ["b", "a", "a"],
            "species": "red maple",
            "class_in": [6.0, 8.0, np.nan],
            "trees_per_ac": [1.0, 2.0, 9.0],
        }
    )
    told = grow.to_array(rows, ["a", "b"], ["red maple"], region=shipped("base"))
    assert told[0, 0].tolist() == [0.0, 1.0] and told[0, 1].tolist() == [2.0, 0.0] and told.sum() == 3.0


def test_arrays_that_do_not_fit_are_refused():
    """Two axes, negative trees, equations of another number of species."""
    for n, eq in ((np.zeros((3, 4)), np.zeros((3, 3))), (-maples(), np.zeros((1, 3))), (maples(), np.zeros((2, 3)))):
        with pytest.raises(InputError):
            grow.project(n, eq, 1, wood_sg=MAPLE_SG, region=shipped("base"))
