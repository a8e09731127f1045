"""Pine and aspen of one age: tables of the reference, published behavior, exact accounts."""

import csv
from pathlib import Path

import numpy as np
import pytest

from woodlot.region import shipped
from woodlot.stand import even_aged

HERE = Path(__file__).parent.parent.parent.parent / "shared" / "reference"


def rows(name):
    """Rows of a reference table, or a skip said aloud."""
    if not (HERE / name).is_file():
        pytest.skip(f"{name} is not here: pine or aspen are not checked against their table")
    with (HERE / name).open() as file:
        return [{k: float(v) if k != "status" else v for k, v in r.items()} for r in csv.DictReader(file)]


def test_red_pine_growth_as_printed():
    """forest_growth.md section 3: B 100, A 50, S 60 -> 4.75; ten years from B 90, A 35 -> 143.96."""
    assert even_aged.basal_growth_sqft_buckman_1962(100, 50, 60, region=shipped("base")) == pytest.approx(
        4.75, abs=0.005
    )
    assert even_aged.grow_pine(90, 200, 35, 60, 10, region=shipped("base"))["basal"][-1, 0] == pytest.approx(
        143.96, abs=0.005
    )


def test_red_pine_table_as_printed():
    """forest_growth_red_pine.csv, all fifty cells."""
    for r in rows("forest_growth_red_pine.csv"):
        for b in (60, 80, 100, 120, 140):
            told = even_aged.basal_growth_sqft_buckman_1962(b, r["age"], r["site_index"], region=shipped("base"))
            assert told == pytest.approx(r[f"BA{b}"], abs=0.0051)


def test_aspen_table_as_printed():
    """forest_growth_aspen.csv: full basal area, stems, cords."""
    for r in rows("forest_growth_aspen.csv"):
        full = even_aged.full_basal_sqft_aspen(r["age"], region=shipped("base"))
        assert full == pytest.approx(r["full_BA_ft2_ac"], abs=0.051)
        stem = even_aged.stem_cuft_per_ac("quaking aspen", full, r["site_index"], r["age"], region=shipped("base"))
        assert stem == pytest.approx(r["total_stem_ft3_ac"], abs=0.51)
        cords = even_aged.merch_cords_per_ac(
            "quaking aspen", full, r["site_index"], r["age"], 79.0, region=shipped("base")
        )
        assert cords == pytest.approx(r["cords_to_4in_top_ac"], abs=0.051)


def test_pine_growth_changes_little_with_density():
    """Three Lake States trials (Sta. Pap. 99, 1962): 60 to 140 sq ft only slightly; the page allows under 30 %; the
    peak of the equation is at 126 sq ft.
    """
    basal = np.linspace(60.0, 140.0, 81)
    for age in (40, 60, 80):
        told = even_aged.basal_growth_sqft_buckman_1962(basal, age, 60, region=shipped("base"))
        assert (told.max() - told.min()) / told.max() < 0.30
        assert basal[told.argmax()] == pytest.approx(126.0, abs=0.5)


def test_aspen_lies_inside_published_yields():
    """Edgar and Burk 2001: 47 to 180 cu ft/ac/yr over 55 stands; MacLeod 1952: the mean culminates near 40 years."""
    ages = np.arange(20.0, 80.0)
    for site in (60, 70, 80):
        mean = (
            even_aged.stem_cuft_per_ac(
                "quaking aspen",
                even_aged.full_basal_sqft_aspen(ages, region=shipped("base")),
                site,
                ages,
                region=shipped("base"),
            )
            / ages
        )
        assert 47 < mean.max() < 180
        assert 38 <= ages[mean.argmax()] <= 50


@pytest.mark.parametrize("share", [0.4, 0.8, 1.0, 1.3])
def test_aspen_moves_toward_full_stocking_from_both_sides(share):
    """Section 7: the ratio to full nears 1 each year and does not cross it."""
    start = share * even_aged.full_basal_sqft_aspen(20.0, region=shipped("base"))
    told = even_aged.grow_aspen(start, 400, 20, 40, region=shipped("base"))
    ratio = told["basal"][:, 0] / even_aged.full_basal_sqft_aspen(told["age"][:, 0], region=shipped("base"))
    gap = np.abs(ratio - 1.0)
    assert (np.diff(gap) <= 1e-12).all()
    assert np.sign(ratio[-1] - 1.0) in (0.0, np.sign(ratio[0] - 1.0)) or gap[-1] < 1e-9


def test_accounts_of_pine_and_aspen_close():
    """Basal area after a year = before + survivor - mortality, with a thinning of pine in the third winter."""
    leave = np.full((12, 2), np.nan)
    leave[2] = [90.0, 80.0]
    pine = even_aged.grow_pine(
        [130.0, 100.0], [220.0, 300.0], [45.0, 60.0], 60.0, 12, leave_sqft=leave, region=shipped("base")
    )
    aspen = even_aged.grow_aspen([60.0, 100.0], 400.0, [20.0, 50.0], 12, region=shipped("base"))
    assert pine["cut"][2].min() > 1.0
    for told in (pine, aspen):
        after = told["basal"][1:].copy()
        after[:-1] += told["cut"][1:]
        assert np.abs(told["basal"][:-1] + told["survivor"] - told["mortality"] - after).max() < 1e-9


def test_pine_beyond_its_limits_is_flagged():
    """Ages 30 to 150, 50 to 160 sq ft, site index 40 to 75."""
    told = even_aged.outside_pine_limits(
        [100, 100, 170, 100], [50, 20, 50, 50], [60, 60, 60, 80], region=shipped("base")
    )
    assert told.tolist() == [False, True, True, True]


def test_pine_beyond_its_equation_dies_by_crowding_by_hand():
    """180 sq ft in 180 trees of 13.54 in, specific gravity .41: density .813, so .8 % x 5 x .213 = .85 % of 180 dies,
    1.5 sq ft beside the .3 % that falls; at 150 sq ft, and where the wood is not known, only what falls does. Old
    stands no longer gain with age, and two hundred years uncut stay under 225 sq ft.
    """
    one = [
        even_aged.grow_pine(b, 180, 60, 60, 1, wood_sg=sg, region=shipped("base"))
        for b, sg in ((180, 0.41), (150, 0.41), (180, np.nan))
    ]
    size, density = np.sqrt(180 / 180 / 0.005454154), 180 * 2.47105 * (0.00015 + 0.00218 * 0.41)
    density *= (2.54 * np.sqrt(1 / 0.005454154) / 25) ** 1.6
    assert size == pytest.approx(13.54, abs=0.01)
    assert [told["mortality"][0, 0] for told in one] == pytest.approx(
        [(0.003 + 0.008 * 5 * (density - 0.6)) * 180, 0.003 * 150, 0.003 * 180], rel=1e-4
    )
    long = even_aged.grow_pine(110, 200, 50, 70, 200, wood_sg=0.41, region=shipped("base"))
    after = long["basal"][:-1] + long["survivor"] - long["mortality"]
    assert np.abs(after - long["basal"][1:]).max() < 1e-9 and long["basal"].max() < 225
    old = even_aged.grow_pine(100, 100, [150, 230], 60, 1, region=shipped("base"))["survivor"][0]
    assert old[0] == pytest.approx(old[1])
