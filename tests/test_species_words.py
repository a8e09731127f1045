"""Species as people say them: what is read, what is asked, what is offered; kinds of several species and their ranges.

The words of data/species_words_read.csv are those of extension lists, floras and a federal table, each with its source
and the Latin name the source gives it; the wrong ones of data/species_words_refused.csv are our own slips.
"""

import json
import random
import shutil
import string
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
from woodlot.errors import InputError, PlaceError
from woodlot.estimate import interval, scale, shared_only
from woodlot.place import read
from woodlot.region import Region, names, shipped
from woodlot.species import spaced
from woodlot.stand.marking import rules_for
from woodlot.stand.plots import trees_per_ac_prism
from woodlot.tree.growth import anchors, equations
from woodlot.tree.mass import dry_lb_westfall_2024
from woodlot.tree.volume import volumes
from woodlot.tree.westfall import stem_cuft_westfall_2024
from woodlot.wood.drying import months_to_dry, stacks
from woodlot.wood.heating import cords_needed
from woodlot.wood.products import lasts, of_woods
from woodlot.wood.standing import standing

DATA = Path(__file__).parent / "data"
READ = pd.read_csv(DATA / "species_words_read.csv", dtype=str)
REFUSED = pd.read_csv(DATA / "species_words_refused.csv", dtype=str, keep_default_na=False)
LAKE = shipped("lake_states")
KINDS = [name for name in LAKE.species.listed if len(LAKE.species.members(name)) > 1]
#: Kinds scaled as the mean of their species; the other two by the equation of a group.
MEANS = [kind for kind in KINDS if kind not in LAKE.species.unnamed]


def tallied(small_place, words, column="species"):
    """The small place with a tree of 12 inches for each word, nothing else measured."""
    small_place.thin()
    lines = "".join(f'1,{n},"{word}",12\n' for n, word in enumerate(words))
    (small_place.folder / "trees.csv").write_text(f"plot_id,tree,{column},dbh_in\n{lines}", encoding="utf-8")
    return small_place.folder


def stopped(folder):
    """The faults of a place, as (file, row, column, found, remedy)."""
    with pytest.raises(PlaceError) as wrong:
        read(folder)
    return [(f.file, f.row, f.column, f.found, f.remedy) for f in wrong.value.faults]


# What is read


@pytest.mark.parametrize("region", ["lake_states", "northeast"])
def test_three_hundred_words_are_read_as_their_sources_say(small_place, region):
    """338 words of 47 sources through the reading of a place: each is the kind with its source's Latin name."""
    assert len(READ) > 300 and READ["source"].notna().all() and READ["source"].nunique() > 40
    small_place.change("place.toml", 'region = "lake_states"', f'region = "{region}"')
    place = read(tallied(small_place, READ["word"]))
    latin = shipped(region).table("species").set_index("species")["scientific_name"]
    told = pd.Series(latin.reindex(place.trees["species"]).to_numpy(), index=READ["word"])
    wrong = told[told.to_numpy() != READ["scientific_name"].to_numpy()]
    # in New England both of these are said of another tree than at the lakes, by a source of its own
    assert set(wrong.index) <= ({"juniper", "hornbeam"} if region == "northeast" else set()), wrong


@pytest.mark.parametrize(
    ("written", "kind"),
    [
        ("316", "red maple"),
        ("0316", "red maple"),
        ("316.0", "red maple"),
        ("ACRU", "red maple"),
        ("oak, red", "northern red oak"),
        ("Maple (Hard)", "sugar maple"),
        ("beech tree", "american beech"),
        ("Hickory sp.", "hickory"),
        ("acer spp", "maple"),
        ("HM", "sugar maple"),
        ("unk hwd", "unknown hardwood"),
        ("hardwood", "unknown hardwood"),
        ("Conifer", "unknown softwood"),
        ("red oak group", "red oak group"),
    ],
)
def test_one_word_one_kind(small_place, written, kind):
    """Federal numbers as spreadsheets write them, symbols, words turned round, genera, trees nobody named."""
    assert read(tallied(small_place, [written])).trees["species"].tolist() == [kind]


def test_what_was_understood_is_told_once_over_all_files_with_its_mark(small_place):
    """Rows of trees and cores count together; a reading from memory says so, one that was read does not."""
    small_place.change("trees.csv", "1,1,sugar maple", "1,1,HM")
    small_place.change("cores.csv", ",sugar maple,", ",HM,")
    said = [one for one in read(small_place.folder).warnings if "were understood so" in one]
    assert len(said) == 1 and said[0].count('"hm"') == 1
    assert '"hm" is sugar maple (2 rows; from memory)' in said[0] and '"popple" is aspen (1 row)' in said[0]


@pytest.mark.parametrize("word", ["popple", "aspen", "soft maple", "ash", "elm", "cherry", "willow", "oak", "pine"])
def test_a_genus_is_no_species_and_its_remark_says_how_wide_it_is(small_place, word):
    """Words that once stood for one species stand for their kind, with the spread of its row."""
    place = read(tallied(small_place, [word]))
    (kind,) = place.trees["species"]
    spread = LAKE.table("species").set_index("species").loc[kind, "volume_spread"]
    (said,) = [one for one in place.warnings if "known only as a kind" in one]
    assert f"{kind} (1 row): {len(LAKE.species.members(kind))} species, cords {spread:.0%}, weight" in said


# What is asked


@pytest.mark.parametrize(
    ("region", "word", "kinds"),
    [
        ("northeast", "hm", "eastern hemlock or sugar maple"),
        ("lake_states", "bw", "american basswood or paper birch"),
        ("northeast", "sm", "soft maple or sugar maple"),
        ("lake_states", "silver birch", "paper birch or yellow birch"),
    ],
)
def test_a_word_of_two_meanings_is_asked_and_said_once(small_place, region, word, kinds):
    """Both kinds are named with the row of words.csv that settles it; with that row it is read."""
    small_place.change("place.toml", 'region = "lake_states"', f'region = "{region}"')
    folder = tallied(small_place, [word, "sugar maple", word])
    first = kinds.split(" or ")[0]
    remedy = f"It may be {kinds}. Write which, or say it once in words.csv: species,{word},{first}."
    assert stopped(folder) == [("trees.csv", row, "species", word, remedy) for row in (2, 4)]
    (folder / "words.csv").write_text(f"about,written,meant\nspecies,{word},{kinds.split(' or ')[1]}\n")
    assert read(folder).trees["species"].tolist() == [kinds.split(" or ")[1], "sugar maple", kinds.split(" or ")[1]]


@pytest.mark.parametrize("word", ["unknown", "?", "unk", "other", "0999", "na", "none", "-", "x"])
def test_a_tree_nobody_knows_is_asked_hardwood_or_softwood(small_place, word):
    """A fault with the question, for every way in which people write that they did not know."""
    ((*_, found, remedy),) = stopped(tallied(small_place, [word]))
    assert found == word and remedy.startswith("Was it a hardwood or a softwood? Write which")
    assert f"species,{word},unknown hardwood" in remedy


def test_kinds_nobody_knows_may_stand_among_seedlings(small_place):
    """An unknown seedling is kept as written, and said: it counts for nothing."""
    small_place.change("browse.csv", "beaked hazel", "unknown")
    place = read(small_place.folder)
    assert "unknown" in set(place.browse["species"]) and any(
        "unknown: not on the tree list" in w for w in place.warnings
    )


# What is offered


def test_wrong_words_are_refused_with_the_right_offer_or_none(small_place):
    """90 slips and things that are no tree: none is read, none gets a wrong offer, 60 or more get the right one."""
    faults = stopped(tallied(small_place, REFUSED["word"]))
    assert [fault[3] for fault in faults] == REFUSED["word"].tolist()
    offers = [f[4].partition("Closest: ")[2].partition(".")[0] if "Closest: " in f[4] else "" for f in faults]
    offers = [f"{one}." if one.endswith("spp") else one for one in offers]
    told = pd.DataFrame({"word": REFUSED["word"], "want": REFUSED["offer"], "offer": offers})
    told.loc[told["word"] == "mapple", "offer"] = " or ".join(LAKE.species.closest("mapple"))
    wrong = told[(told["offer"] != "") & (told["offer"] != told["want"])]
    assert wrong.empty, wrong
    assert ((told["offer"] == told["want"]) & (told["want"] != "")).sum() >= 60
    assert not told.loc[told["want"] == "", "offer"].any()


def test_between_two_genera_both_are_named(small_place):
    """One slip from maple and from apple: the fault names both and takes neither."""
    ((*_, remedy),) = stopped(tallied(small_place, ["mapple"]))
    assert "Closest: apple spp. or maple. Which of them is for you to say." in remedy


def _slip(word, draw):
    """A word with one letter too many, missing, wrong, or two swapped."""
    at, letter = draw.randrange(1, len(word) - 1), draw.choice(string.ascii_lowercase)
    ways = [word[:at] + letter + word[at:], word[:at] + word[at + 1 :], word[:at] + letter + word[at + 1 :]]
    return draw.choice([*ways, word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :]])


def test_a_slip_is_never_offered_as_another_genus_alone():
    """1,500 seeded slips in plain names: what is offered holds the name, or its genus; the rest gets nothing."""
    species, draw, offered = LAKE.species, random.Random(7), 0
    for _ in range(1500):
        name = draw.choice(species.listed)
        slip = _slip(name, draw)
        if species.means(slip) or not (near := species.closest(slip)):
            continue
        offered += 1
        assert set(species.members(name)) & {m for kind in near for m in species.members(kind)}, (name, slip, near)
    assert offered > 1000


def test_several_of_one_genus_are_offered_as_their_genus():
    """One letter from black oak and from jack oak is a red oak; no code is ever an offer; teak is like nothing."""
    species = LAKE.species
    assert species.closest("back oak") == ("red oak group",)
    assert species.closest("red mple") == ("red maple",)
    codes = set(LAKE.table("species_words").query("form == 'code'")["word"].map(spaced))
    assert not codes & set(species._written) - {spaced(name).replace(" ", "") for name in species.listed}
    with pytest.raises(InputError, match="there is no species 'teak'; species look like"):
        species.name("teak")


# The family's own words

OWN = "about,written,meant\nspecies,hm,hemlock\nspecies,big stuff,white pine\nspecies,pucker brush,beaked hazel\nspecies,willow,black willow\n"


def test_the_familys_own_words_act_in_every_table(small_place):
    """Trees, tally, cores, browse, seedlings, the stand's site species and deer.preference."""
    folder = small_place.folder
    (folder / "words.csv").write_text(OWN)
    for file in ("trees", "tally", "cores", "browse", "seedlings"):
        rows = pd.read_csv(folder / f"{file}.csv", dtype=str, keep_default_na=False)
        rows.loc[0, "species"] = "HM"
        rows.to_csv(folder / f"{file}.csv", index=False)
    small_place.maps["stands.geojson"]["features"][0]["properties"]["site_species"] = "Big-Stuff"
    small_place.draw()
    small_place.change("place.toml", "[deer]\n", '[deer]\npreference = { hm = "third", "pucker brush" = "avoided" }\n')
    place = read(folder)
    firsts = [getattr(place, table)["species"].iloc[0] for table in ("trees", "tally", "cores", "browse", "seedlings")]
    assert firsts == ["eastern hemlock"] * 5
    small_place.change("browse.csv", "beaked hazel", "willow")
    assert "black willow" in set(read(folder).browse["species"])
    assert place.stands["site_species"].iloc[0] == "eastern white pine"
    assert place.deer.preference == {"eastern hemlock": "third", "beaked hazel": "avoided"}
    assert any('"hm" is eastern hemlock (5 rows; by words.csv)' in one for one in place.warnings)


def test_an_own_word_that_means_nothing_is_a_fault_of_words_csv(small_place):
    """Its row and what was likely meant; of two meanings both; the rows that use it say nothing more."""
    folder = tallied(small_place, ["sugar maple"])
    (folder / "words.csv").write_text("about,written,meant\nspecies,hm,hemlok\nspecies,x,bw\nspecies,y,teak\n")
    assert stopped(folder) == [
        ("words.csv", 2, "meant", "hemlok", "Not in the lake_states list. Closest: eastern hemlock."),
        ("words.csv", 3, "meant", "bw", "It may be american basswood or paper birch. Write which."),
        ("words.csv", 4, "meant", "teak", "Not in the lake_states list."),
    ]


# Kinds of several species


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
    """JSON without NaN or infinity, ranges round the cords; a species table holds each kind."""
    verb, *more = typed
    args = [verb, *more[:1], str(kinds_place), *more[1:]] if verb == "why" else [verb, str(kinds_place), *more]
    done = CliRunner().invoke(main, [*args, "--json", "--as-of", "2026-11-25"])
    assert done.exit_code == 0, done.output

    def refuse(word):
        raise AssertionError(f"{word} in the answer of {verb}")

    told = json.loads(done.stdout, parse_constant=refuse)
    if verb == "scale":
        assert set(KINDS) == {row["species"] for row in told["species"]}
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


def test_a_species_beside_a_kind_keeps_its_own_range():
    """Red maple beside unknown hardwood: the error of the kind is the kind's, the species keeps its own range."""
    both, alone = stood(["red maple", "unknown hardwood"]), stood(["red maple", "sugar maple"])
    of = "cords by species"
    assert width(both.totals[of]["red maple"]) == pytest.approx(width(alone.totals[of]["red maple"]), rel=1e-12)
    assert dict(both.totals[of]["unknown hardwood"].shared)["kinds of several species"] == pytest.approx(
        LAKE.species.spread("unknown hardwood", "volume_spread")
    )
    part = dict(both.totals["cords by all"]["all"].shared)["kinds of several species"]
    assert 0.2 < part / LAKE.species.spread("unknown hardwood", "volume_spread") < 0.8
    assert "kinds of several species" not in dict(alone.totals["cords by all"]["all"].shared)


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
    rows = _equations(trees.assign(dbh_in=12.0), "210", region=LAKE)
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
    told = stacks(ledger, date(2026, 11, 25), region=LAKE)
    assert told["species"].tolist() == [kind for _, kind in lines]


# The tables of a region


@pytest.mark.parametrize("region", names())
def test_every_word_names_a_source_and_a_mark(region):
    """Each row of the words has a source that is listed; a row from memory says so."""
    rows = shipped(region).table("species_words")
    assert set(rows["source"]) <= set(shipped(region).table("sources")["key"])
    assert (rows.loc[rows["source"] == "memory", "seen"] == "memory").all()
    assert trees_per_ac_prism(12.0, 10.0) > 0


def test_a_word_of_their_own_region_acts_and_a_wrong_one_is_refused(small_place):
    """A family's own table settles a code of two meanings; a kind that is not on the list is a fault with its row."""
    folder = tallied(small_place, ["bw"])
    (folder / "ours").mkdir()
    (folder / "ours" / "region.toml").write_text('name = "ours"\nbased_on = "lake_states"\n')
    small_place.change("place.toml", 'region = "lake_states"', 'region = "ours"')
    table, head = folder / "ours" / "species_words.csv", "word,kind,form,source,where,seen\n"
    table.write_text(f"{head}bw,paper birch,code,ours,our key,chosen\n")
    assert read(folder).trees["species"].tolist() == ["paper birch"]
    table.write_text(f"{head}bw,white birchh,code,ours,our key,chosen\n")
    assert ("ours/species_words.csv", 2, "kind") in {fault[:3] for fault in stopped(folder)}


def test_start_lists_the_kinds_and_the_words_between_which_a_family_chooses(tmp_path):
    """columns.txt: every species once, each kind with its species, words of two meanings with both."""
    done = CliRunner().invoke(main, ["start", str(tmp_path / "woods"), "--region", "northeast"])
    assert done.exit_code == 0, done.output
    told = " ".join((tmp_path / "woods" / "columns.txt").read_text(encoding="utf-8").split())
    listed = told.partition("Species of northeast")[2].partition("Where a tree is not known")[0]
    known = shipped("northeast").species
    plain = [name for name in known.listed if known.members(name) == (name,) and name not in known.without_bark]
    assert [name for name in plain if name not in listed] == [] and "red oak group" not in listed
    assert "soft maple: red maple, silver maple" in told and "unknown hardwood: any of 68 species" in told
    assert "hm: eastern hemlock or sugar maple" in told and "unk:" not in told
