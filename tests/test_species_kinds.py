"""Kinds of several species: through every verb, with wider ranges; a kind of one member is that member."""

import json
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import geopandas as gpd
import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner
from shapely.geometry import box

from woodlot.answers.why import _equations
from woodlot.cli import main
from woodlot.deer.browse import preference_table
from woodlot.estimate import interval, scale, shared_only
from woodlot.region import Region, shipped
from woodlot.stand.marking import rules_for
from woodlot.tree.growth import anchors, equations
from woodlot.tree.mass import dry_lb_westfall_2024
from woodlot.tree.volume import volumes
from woodlot.tree.westfall import stem_cuft_westfall_2024
from woodlot.wood.drying import months_to_dry
from woodlot.wood.heating import cords_needed
from woodlot.wood.products import lasts, of_woods
from woodlot.wood.standing import standing
from woodlot.wood.woodpile import pile, wood_lines

LAKE = shipped("lake_states")
KINDS = [name for name in LAKE.species.listed if len(LAKE.species.members(name)) > 1]
#: Kinds that hold no other kind: beside each other the wider ones are shared out over them.
NARROW = [k for k in KINDS if not any(set(LAKE.species.members(o)) < set(LAKE.species.members(k)) for o in KINDS)]
#: Kinds scaled as the mean of their species; the other two by the equation of a group.
MEANS = [kind for kind in KINDS if kind not in LAKE.species.unnamed]


@pytest.fixture(scope="module")
def kinds_place(tmp_path_factory):
    """A forty with trees of three sizes of every kind of several species on its six plots, and some in the tally."""
    home = tmp_path_factory.mktemp("kinds")
    for name in ("parcels.geojson", "stands.geojson"):
        shutil.copy(Path(__file__).parent.parent / "sample_parcels" / "first_forty" / name, home)
    (home / "place.toml").write_text(
        'name = "Kinds"\nregion = "lake_states"\n\n[needs]\nfirewood_cord = 6\nposts = 4\n'
    )
    (home / "plots.csv").write_text(
        "plot_id,stand_id,date,baf_sqft_per_ac\n" + "".join(f"{k},1,2024-10-01,10\n" for k in range(6))
    )
    rows = [(k % 6, kind, dbh) for k, kind in enumerate(KINDS * 3) for dbh in (7 + 2 * (k % 3),)]
    trees = "".join(f"{plot},{n},{kind},{dbh}\n" for n, (plot, kind, dbh) in enumerate(rows))
    (home / "trees.csv").write_text("plot_id,tree,species,dbh_in\n" + trees)
    (home / "tally.csv").write_text(
        "tree,stand_id,species,dbh_in\n" + "".join(f"{n},1,{kind},14\n" for n, kind in enumerate(KINDS))
    )
    return home


@pytest.mark.parametrize(
    "typed", [["scale"], ["cruise"], ["grow"], ["cut"], ["fell", "--all"], ["why", "cords"], ["why", "heat"]]
)
def test_every_kind_goes_through_every_verb_with_finite_numbers(kinds_place, typed):
    """JSON without NaN or infinity, ranges round the cords; a species table holds kinds by those within them."""
    verb, *more = typed
    args = [verb, *more[:1], str(kinds_place), *more[1:]] if verb == "why" else [verb, str(kinds_place), *more]
    done = CliRunner().invoke(main, [*args, "--json", "--as-of", "2026-11-25"])
    assert done.exit_code == 0, done.output

    def refuse(word):
        raise AssertionError(f"{word} in the answer of {verb}")

    told = json.loads(done.stdout, parse_constant=refuse)
    if verb == "scale":
        assert set(NARROW) == {row["species"] for row in told["species"]}
        assert "unknown hardwood shared out" in " ".join(row["cords"]["why"] for row in told["species"])
        assert all(row["cords"]["value"] > 0 for row in told["species"])
        assert told["totals"]["cords"]["low"] < told["totals"]["cords"]["value"] < told["totals"]["cords"]["high"]


PLOTS = pd.DataFrame({"plot_id": list("abcdefgh"), "stand_id": "1", "kind": "prism", "baf_sqft_per_ac": 10.0})
STANDS = gpd.GeoDataFrame(
    {"stand_id": ["1"], "parcel_id": ["home"], "cover": ["oak"], "acres": [20.0]},
    geometry=[box(-89.40, 46.10, -89.396, 46.103)],
    crs="EPSG:4326",
)


def stood(species, region=LAKE):
    """What stands where the same trees, two to five a plot, are of some species in turn."""
    names_of = [species] if isinstance(species, str) else list(species)
    plots = [p for n, p in enumerate(PLOTS["plot_id"]) for _ in range(2 + n % 4)]
    dbh = 6.0 + np.arange(len(plots)) % 9
    trees = pd.DataFrame({"plot_id": plots, "species": [names_of[n % len(names_of)] for n in range(len(plots))]})
    trees = trees.assign(dbh_in=dbh, height_ft=30.0 + 3.0 * dbh, count=1, count_twice=False, alive=True)
    words = {"division": "210", "solid_cuft_per_cord": 79.0, "log_rule": "international_quarter"}
    return standing(STANDS, PLOTS, trees, **words, form_class=None, level=0.9, region=region)


def width(estimate):
    """High over low."""
    return estimate.high / estimate.low


@pytest.mark.parametrize("kind", KINDS)
def test_the_range_of_a_kind_is_wider_than_that_of_each_of_its_species(kind):
    """Cords of the same trees, as the kind and as each of its species; of board feet the part no plot can mend."""
    as_kind, each = stood(kind), [stood(one) for one in LAKE.species.members(kind)[:8]]
    for what in ("cords by all", "cords by stand_id", "bdft by all"):
        (ours,) = as_kind.totals[what].values()
        theirs = [next(iter(one.totals[what].values())) for one in each]
        assert all(width(shared_only(ours)) > width(shared_only(one)) for one in theirs if one.low), what
        spread = LAKE.species.spread(kind, "volume_spread")
        assert dict(ours.shared)["kinds of several species"] == pytest.approx(spread)
    ours, theirs = (one.totals["cords by all"]["all"] for one in (as_kind, each[0]))
    wider = replace(ours, shared=theirs.shared)
    assert width(ours) > width(scale(wider, 1.0, "cords"))


def test_a_species_beside_a_kind_it_cannot_be_keeps_its_own_range():
    """Balsam fir beside unknown hardwood: the error of the kind is the kind's, the fir keeps its own range."""
    both, alone = stood(["balsam fir", "unknown hardwood"]), stood(["balsam fir", "sugar maple"])
    of = "cords by species"
    fir, beside = (one.totals[of]["balsam fir"] for one in (both, alone))
    assert fir.value == pytest.approx(beside.value) and dict(fir.shared) == pytest.approx(dict(beside.shared))
    assert width(fir) == pytest.approx(width(beside), rel=0.05)  # what one tree is worth differs a little
    assert dict(both.totals[of]["unknown hardwood"].shared)["kinds of several species"] == pytest.approx(
        LAKE.species.spread("unknown hardwood", "volume_spread")
    )
    part = dict(both.totals["cords by all"]["all"].shared)["kinds of several species"]
    assert 0.2 < part / LAKE.species.spread("unknown hardwood", "volume_spread") < 0.8
    assert "kinds of several species" not in dict(alone.totals["cords by all"]["all"].shared)


def test_a_kind_is_shared_out_over_its_species_and_nothing_else_changes():
    """Red maple takes the unknown hardwoods beside it in sums by species; cords in all go by the kind."""
    told, kind = stood(["red maple", "unknown hardwood"]), stood("unknown hardwood")
    assert set(told.totals["cords by species"]) == {"red maple"}
    red, whole = told.totals["cords by species"]["red maple"], told.totals["cords by all"]["all"]
    assert red.value == pytest.approx(whole.value)
    assert dict(red.shared)["kinds of several species"] == pytest.approx(dict(whole.shared)["kinds of several species"])
    assert dict(red.shared)["kinds shared out"] > 0.05
    mine = told.trees["species"] == "unknown hardwood"
    pd.testing.assert_series_equal(told.trees.loc[mine, "cords"], kind.trees.loc[mine, "cords"])


@pytest.fixture
def one_member(tmp_path):
    """A region in which a kind has white oak as its only member."""
    (tmp_path / "region.toml").write_text('name = "ours"\nbased_on = "base"\n')
    rows = LAKE.table("species").query("species == 'oak'")
    own = rows.assign(species="our oak", members="white oak", volume_spread=0.0, weight_spread=0.0)
    own.to_csv(tmp_path / "species.csv", index=False)
    return Region("ours", (tmp_path, *shipped("base").folders))


def test_a_kind_of_one_member_is_that_member_in_everything(one_member):
    """Volume, weight, wood, growth, drying, marking, decay, deer and range are those of white oak to the last digit."""
    r, pair = one_member, ("our oak", "white oak")
    dbh, height = np.array([2.0, 7.0, 13.0, 31.0]), np.array([20.0, 52.0, 70.0, 95.0])
    wood = [stem_cuft_westfall_2024(dbh, height, one, region=r) for one in pair]
    np.testing.assert_array_equal(*wood)
    pd.testing.assert_frame_equal(*(dry_lb_westfall_2024(dbh, height, one, region=r) for one in pair))
    for table in (
        "wood_properties_miles_2009",
        "growth_anchors",
        "marking_species",
        "deer_regen_groups",
        "decay_classes",
    ):
        rows = r.species.rows(table).drop(columns=["source", "where", "seen"])
        a, b = (rows.loc[one].dropna().to_dict() for one in pair)
        assert a == b, table
    np.testing.assert_array_equal(*(anchors([one], r) for one in pair))
    np.testing.assert_array_equal(*(equations([one], fitted=True, region=r)[0] for one in pair))
    assert len({months_to_dry(one, 4, region=r) for one in pair}) == 1
    assert len({rules_for([one], region=r).order[0] for one in pair}) == 1
    assert len({preference_table(r).get(one) for one in pair}) == 1
    ours, theirs = (stood(one, r).totals["cords by all"]["all"] for one in pair)
    assert (ours.value, ours.low, ours.high) == (theirs.value, theirs.low, theirs.high)


SIZES = [(6.0, 50.0), (10.0, 60.0), (16.0, 70.0)]


def off(kind, of):
    """Species, sizes and divisions of a kind: what each holds over what the kind does, less one."""
    out = []
    for division in ("210", "M210"):
        for dbh, height in SIZES:
            each = [of(dbh, height, one, division) for one in (*LAKE.species.members(kind), kind)]
            out.append(np.array(each[:-1]) / each[-1] - 1.0)
    return np.array(out)


def _cuft(dbh, height, species, division):
    return stem_cuft_westfall_2024(dbh, height, species, division, region=LAKE)


def _lb(dbh, height, species, division):
    return dry_lb_westfall_2024(dbh, height, species, division, region=LAKE)["total_lb"].iloc[0]


@pytest.mark.parametrize("kind", KINDS)
def test_the_spreads_in_the_table_are_those_of_the_equations(kind):
    """Root mean square at 6, 10 and 16 inches in both divisions of our regions; the mean of a genus is unbiased."""
    row = LAKE.table("species").set_index("species").loc[kind]
    for column, of in (("volume_spread", _cuft), ("weight_spread", _lb)):
        found = off(kind, of)
        assert row[column] == pytest.approx(np.sqrt((found**2).mean()), abs=6e-4)
        assert abs(found.mean()) < (1e-9 if kind in MEANS else 0.1)


@pytest.mark.parametrize("kind", KINDS)
def test_true_cords_and_weight_lie_within_the_range_nine_times_in_ten(kind):
    """300 woods, each of a mix of its own, most of it one or two species, measured as the kind.

    The range is that of a count without sampling error, the kind's spread alone. It is made from species weighed alike;
    a wood of one species alone is the hardest case, and stays within it in three of four or more.
    """
    draw = np.random.default_rng(11)
    members = LAKE.species.members(kind)
    dbh = np.round(np.clip(draw.lognormal(np.log(10.0), 0.3, 60), 5.0, 24.0), 1)
    height = np.round(22.0 + 3.3 * dbh)
    for of, spread in ((_cuft_all, "volume_spread"), (_lb_all, "weight_spread")):
        each = np.array([of(dbh, height, one) for one in members])
        ours = of(dbh, height, kind).sum()
        e = interval(ours, "x", se=0.0, df=np.inf, n=60, shared={"kind": LAKE.species.spread(kind, spread)})
        mixes = draw.dirichlet(np.full(len(members), 0.3), 300)
        true = np.array([each[draw.choice(len(members), 60, p=mix), np.arange(60)].sum() for mix in mixes])
        pure = each.sum(axis=1)
        assert ((true >= e.low) & (true <= e.high)).mean() >= 0.87, spread
        assert ((pure >= e.low) & (pure <= e.high)).mean() >= 0.75, spread


def _cuft_all(dbh, height, species):
    return stem_cuft_westfall_2024(dbh, height, species, region=LAKE)


def _lb_all(dbh, height, species):
    return dry_lb_westfall_2024(dbh, height, species, region=LAKE)["total_lb"].to_numpy()


def test_a_kind_lasts_dries_and_is_wanted_only_as_all_its_species_are():
    """White oaks last, oaks not surely; red oaks dry slowly; a need for oak takes any oak, one for red oak no oak."""
    woods = pd.Series(["white oak group", "oak", "red oak group", "unknown softwood", "northern white-cedar"])
    assert lasts(woods, region=LAKE).tolist() == [True, False, False, False, True]
    assert months_to_dry("red oak group", 4, region=LAKE) == pytest.approx(
        months_to_dry("northern red oak", 4, region=LAKE), abs=1.5
    )
    assert months_to_dry("oak", 4, region=LAKE)[0] > months_to_dry("unknown hardwood", 4, region=LAKE)[0]
    asked = pd.Series(["white oak", "oak", "red oak group", "sugar maple", "northern red oak"])
    assert of_woods(asked, "oak", region=LAKE).tolist() == [True, True, True, False, True]
    assert of_woods(asked, "red oak", region=LAKE).tolist() == [False, False, False, False, True]


def test_deer_take_a_kind_as_the_middle_of_its_species_and_a_wish_goes_for_all_of_them():
    """Maples are preferred, preferred, second and second: second. A wish for maple is one for each without its own."""
    assert preference_table(LAKE)["maple"] == "second" and preference_table(LAKE)["spruce"] == "avoided"
    for wishes in ({"maple": "avoided", "red maple": "third"}, {"red maple": "third", "maple": "avoided"}):
        own = preference_table(LAKE, wishes)
        assert (own["sugar maple"], own["red maple"], own["maple"]) == ("avoided", "third", "avoided")


def test_heat_of_a_kind_has_wider_assumptions():
    """A house on maple: 1 + 1.645 x its weight spread wider at either end than one on a wood of the same heat."""
    needs = {"oil_gal": 700.0}
    plain, kind = (cords_needed(needs, {one: 1.0}, region=LAKE) for one in ("red maple", "maple"))
    more = 1 + 1.6449 * LAKE.species.spread("maple", "weight_spread")
    assert (kind.high / kind.value) / (plain.high / plain.value) == pytest.approx(more, rel=1e-3)
    assert (kind.value / kind.low) / (plain.value / plain.low) == pytest.approx(more, rel=1e-3)


def test_the_ceilings_draw_with_the_error_of_the_kinds(kinds_place, tmp_path):
    """The same woods in a region that says its kinds have no spread: the cut by area has a narrower range."""
    home = shutil.copytree(kinds_place, tmp_path / "sure", ignore=shutil.ignore_patterns("out"))
    (home / "ours").mkdir()
    (home / "ours" / "region.toml").write_text('name = "ours"\nbased_on = "lake_states"\n')
    rows = LAKE.table("species").query("members.notna()").assign(volume_spread=0.0)
    rows.to_csv(home / "ours" / "species.csv", index=False)
    (home / "place.toml").write_text((home / "place.toml").read_text().replace("lake_states", "ours"))
    wide, narrow = (
        json.loads(CliRunner().invoke(main, ["cut", str(one), "--json", "--as-of", "2026-11-25"]).stdout)
        for one in (kinds_place, home)
    )
    ours, theirs = (one["ceilings"]["area"] for one in (wide, narrow))
    assert ours["high"] / ours["low"] > 1.01 * theirs["high"] / theirs["low"]


def test_how_a_kind_was_worked_is_said_with_its_species():
    """The tree table, and why: a genus by the mean of its species, a hardwood nobody named by its group."""
    trees = pd.DataFrame({"species": ["maple", "unknown hardwood", "sugar maple"], "dbh_in": 12.0, "height_ft": 60.0})
    told = volumes(trees, region=LAKE)
    assert told["level_used"].tolist() == ["mean of its species", "group", "species and division"]
    assert not told["beyond_range"].any()
    rows = _equations(trees.assign(counted_only=False), "210", region=LAKE)
    by = {row["species"]: row for row in rows}
    assert by["maple"]["equation"].startswith("Westfall and others 2024, mean of sugar maple, red maple, silver maple")
    assert by["unknown hardwood"]["equation"].endswith("model 1, group")
    assert "read" in by["maple"]["seen"] and by["unknown hardwood"]["seen"]


def test_a_kind_within_another_word_is_no_wood_of_a_note():
    """Ash is not in a note of washed logs; a maple that was blown down is a maple."""
    lines = [("washed out logs", ""), ("blown down maple", "maple"), ("Aspens from the line", "aspen")]
    day = "2026-02-10"
    ledger = pd.DataFrame(
        {"line": range(3), "date": day, "kind": "firewood", "amount": 2.0, "unit": "cord", "parcel_id": "home"}
    ).assign(text=[text for text, _ in lines])
    told = pile(wood_lines(ledger, date(2026, 11, 25)), (), 79.0, region=LAKE).frame()
    assert told["species"].tolist() == [kind for _, kind in lines]
