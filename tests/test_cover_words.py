"""Covers as people say them: what is read, what is asked, and that a strange word is never worse than none."""

import csv
import datetime as dt
import json
import shutil
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import covers, place
from woodlot.cli import main
from woodlot.deer.food import browse
from woodlot.errors import PlaceError
from woodlot.plan.residuals import residuals
from woodlot.region import shipped
from woodlot.stand.marking import structure_for
from woodlot.trade import NO_COVER

DAY = dt.date(2026, 11, 25)
#: Names and letters of published lists, as they stand there, with what each is here.
SAID = list(csv.DictReader((Path(__file__).parent / "covers_said.csv").open(encoding="utf-8")))
#: Everyday words whose covers used to change the answers without a word.
EVERYDAY = {
    "Oak hickory": "oak",
    "Popple": "aspen and birch",
    "red pine": "pine",
    "cedar": "cedar swamp",
    "balsam": "spruce and fir",
    "overgrown field": "brush and openings",
    "Ash swamp": "low, wet hardwoods",
    "maple": "northern hardwoods",
}
BASE = shipped("base")


def stands_of(small, *words, **more):
    """The small place with these words as covers of its stands, read."""
    for feature, word in zip(small.maps["stands.geojson"]["features"], words, strict=True):
        feature["properties"]["cover"] = word
    small.draw()
    for name, text in more.items():
        (small.folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return place.read(small.folder, as_of=DAY)


def read_as(small, word, **more):
    """The cover as which one word is read, and the remarks on covers."""
    told = stands_of(small, word, None, **more)
    return told.stands["cover"].iloc[0], [w for w in told.warnings if w.startswith("stands.geojson")]


def answer(folder, verb):
    """What a verb answers as JSON."""
    done = CliRunner().invoke(main, [verb, str(folder), "--json", "--as-of", DAY.isoformat()])
    assert done.exit_code == 0, done.output
    return done.stdout


@pytest.mark.parametrize("row", SAID, ids=lambda row: row["word"])
def test_a_name_of_a_published_list_is_read_or_asked(row):
    """One cover is taken; several are asked between, and all of them are named; letters and numbers are asked."""
    from woodlot.place.cover_words import spoken_words, understood

    meant = understood(row["word"], spoken_words(region=BASE))
    if row["covers"] in ("letter", "number"):
        assert not meant.sure
        return
    wanted = row["covers"].split("; ")
    assert set(meant.covers) == set(wanted) and meant.sure == (len(wanted) == 1)


#: Words of which the answers too are held to those of the plain cover, or of none; of the others what was read.
IN_EVERY_BYTE = ("popple", "oak hickory", "cedar", "swamp", "quobble")


@pytest.mark.parametrize(("word", "cover"), EVERYDAY.items())
def test_an_everyday_word_is_its_cover_in_every_byte(small_place, word, cover):
    """The same cut and the same herd as by the plain word; one remark tells how it was read."""
    small_place.thin("trees.csv", "pellets.csv")
    told = stands_of(small_place, word, word)
    assert told.stands["cover"].tolist() == [cover] * 2
    named = f'"{cover}"' if "," in cover else cover
    told_so = [w for w in told.warnings if f'"{word.lower()}" is read as {named} (2 stands' in w]
    assert len(told_so) == 1
    verbs = ("cut", "herd") if word in IN_EVERY_BYTE else ()
    ours = [answer(small_place.folder, verb) for verb in verbs]
    assert not [w for w in stands_of(small_place, cover, cover).warnings if "is read as" in w]
    assert ours == [answer(small_place.folder, verb) for verb in verbs]


@pytest.mark.parametrize("word", ["swamp", "H", "A", "71", "oak, aspen", "quobble", "a 0-5", "stand type"])
def test_a_word_that_is_asked_or_strange_is_as_no_word(small_place, word):
    """Read as no cover with one remark that names stands and an answer; every number is that of an empty cover."""
    small_place.thin("trees.csv", "pellets.csv")
    told = stands_of(small_place, word, word)
    assert told.stands["cover"].tolist() == [NO_COVER] * 2
    asked = [w for w in told.warnings if f'"{word.lower()}", stands 1, 2,' in w]
    assert len(asked) == 1 and "with a line in words.csv, such as cover," in asked[0]
    verbs = ("cut", "herd") if word in IN_EVERY_BYTE else ()
    ours = [answer(small_place.folder, verb) for verb in verbs]
    assert stands_of(small_place, None, None).stands["cover"].tolist() == [NO_COVER] * 2
    assert ours == [answer(small_place.folder, verb) for verb in verbs]


@pytest.mark.parametrize(
    ("word", "choices"),
    [
        ("swamp", 'cedar swamp, "low, wet hardwoods", spruce and tamarack swamp, brush and openings or marsh and bog'),
        ("northern hardwoods/hemlock", "northern hardwoods or hemlock"),
        ("oak, aspen", "oak or aspen and birch"),
        ("soft maple + ash", 'northern hardwoods or "low, wet hardwoods"'),
        ("h", '"low, wet hardwoods", hemlock or northern hardwoods'),
    ],
)
def test_what_may_be_one_or_the_other_is_asked(small_place, word, choices):
    """The remark names the covers, and a line of words.csv that would answer."""
    (said, *_) = read_as(small_place, word)[1]
    assert f'"{word}", stand 1, may be {choices}. ' in said


@pytest.mark.parametrize(
    ("word", "cover"),
    [
        ("The Aspen stand", "aspen and birch"),
        ("LOW WET HARDWOODS", "low, wet hardwoods"),
        ("maple & basswood", "northern hardwoods"),
        ("old oak", "oak"),
        ("hardwood swamp", "low, wet hardwoods"),
        ("tag alder swamp", "brush and openings"),
        ("young popples", "aspen and birch"),
        ("pine woods", "pine"),
        ("oak, uneven-aged", "oak, uneven-aged"),
        ("Tamarack-swamp", "spruce and tamarack swamp"),
        ("Hayfield", "field and grass"),
        ("House", "not woods"),
    ],
)
def test_words_around_a_cover_are_passed_over(small_place, word, cover):
    """Size, age, signs and plurals; of two words that which both may be."""
    assert read_as(small_place, word)[0] == cover


def test_a_strange_word_is_offered_what_is_like_it(small_place):
    """A slip of the pencil is not taken, its cover is offered."""
    cover, (said, *_) = read_as(small_place, "northen hardwods")
    assert cover == NO_COVER
    assert '"northen hardwods", stand 1, is no cover known here. Closest: northern hardwoods' in said
    assert said.endswith("such as cover,northen hardwods,northern hardwoods")


def test_one_remark_tells_all_that_was_read(small_place):
    """Words in order, each with its stands and what is to be known of it."""
    told = stands_of(small_place, "popple", "jack pine")
    note = "old jack pine is mostly cut whole, and the rule here thins it"
    said = (
        f'stands.geojson: "jack pine" is read as pine (1 stand; {note}), "popple" is read as aspen and birch (1 stand).'
    )
    assert [w for w in told.warnings if "is read as" in w] == [said]


HEAD = "about,written,meant\n"


def test_the_familys_own_words_go_before_the_table_but_not_before_covers(small_place):
    """A swamp, a letter and a word of the table mean what the family says; a cover stays itself."""
    words = HEAD + 'cover,Swamp,cedar swamp\ncover,h,"low, wet hardwoods"\ncover,popple,pine\ncover,oak,pine\n'
    for word, cover in {"swamp": "cedar swamp", "H": "low, wet hardwoods", "popple": "pine", "oak": "oak"}.items():
        assert read_as(small_place, word, words=words)[0] == cover
    assert read_as(small_place, "back forty", words=HEAD + "cover,Back Forty,red pine\n")[0] == "pine"


def test_an_own_word_that_means_no_one_cover_is_a_fault(small_place):
    """Every wrong row in one pass, with what may be meant."""
    words = HEAD + "cover,swamp,sedar swamp\ncover,back,oak\ncover,low,swamp\nspecies,pop,aspen\n"
    with pytest.raises(PlaceError) as stopped:
        read_as(small_place, "oak", words=words)
    told = [(f.file, f.row, f.column, f.found) for f in stopped.value.faults]
    assert told == [("words.csv", 2, "meant", "sedar swamp"), ("words.csv", 4, "meant", "swamp")]
    assert "cedar swamp" in stopped.value.faults[0].remedy and "marsh and bog" in stopped.value.faults[1].remedy


def own_region(small, **tables):
    """A region of the family's own beside its files."""
    (small.folder / "ours").mkdir()
    (small.folder / "ours" / "region.toml").write_text('name = "ours"\nbased_on = "lake_states"\n', encoding="utf-8")
    for name, text in tables.items():
        (small.folder / "ours" / f"{name}.csv").write_text(text, encoding="utf-8")
    small.change("place.toml", 'region = "lake_states"', 'region = "ours"')


TYPES = "cover,letter,as,growth,guide,evergreen,shelter,wet,woods,source,where,seen\n"
MARKS = "woodlot,our own,chosen\n"


def test_a_cover_of_the_familys_own_is_itself_and_goes_as_another(small_place):
    """A sugarbush with letter, rule and wet ground of its own; the rest is as the cover it goes as."""
    own_region(
        small_place,
        cover_types=TYPES + f"sugarbush,U,oak,,,,,yes,,{MARKS}",
        cut_rules=f"cover,way,leave_sqft_per_ac,why,source,where,seen\nsugarbush,thin,95,,{MARKS}",
    )
    told = stands_of(small_place, "Sugarbush", "oak")
    assert told.stands["cover"].tolist() == ["sugarbush", "oak"]
    of = residuals(told.stands, np.full(2, 100.0), region=told.region)
    assert of.keep.tolist() == [95.0, 75.0] and of.way.tolist() == ["thin", "thin"]
    assert of.low.tolist() == [95.0, 60.0] and of.open.tolist() == [False, True]
    said = [covers.said_of(told.stands["cover"], word, told.region).tolist() for word in ("letter", "growth", "wet")]
    assert said == [["U", "O"], ["remeasured", "remeasured"], ["yes", "no"]]
    food = browse(
        pd.DataFrame({"cover": ["sugarbush", "oak"], "acres": 1.0, "years": 3, "kind": "selection"}), told.region
    )
    assert food["lb_per_ac"].iloc[0] == food["lb_per_ac"].iloc[1] > 20
    assert not food[["no_row", "no_cut"]].to_numpy().any()


def test_what_an_own_cover_cannot_say_is_refused(small_place):
    """A cover it cannot go as, a way of growing, a guide, and a word of no cover: all faults in one pass."""
    own_region(
        small_place,
        cover_types=TYPES + f"ours,U,oka,fast,oak line,maybe,,,,{MARKS}",
        cover_words=f"word,covers,note,source,where,seen\npark,oak; parkland,,{MARKS}",
    )
    with pytest.raises(PlaceError) as stopped:
        stands_of(small_place, "oak", "oak")
    told = {(f.file, f.row, f.column, f.found) for f in stopped.value.faults}
    types = {("as", "oka"), ("growth", "fast"), ("guide", "oak line"), ("evergreen", "maybe")}
    assert told == {("ours/cover_types.csv", 2, *one) for one in types} | {
        ("ours/cover_words.csv", 2, "covers", "oak; parkland")
    }


def test_what_is_kept_lies_between_its_low_and_high(small_place):
    """A range that does not hold its figure is a fault; a table without the two columns is read."""
    head = "cover,way,leave_sqft_per_ac,leave_low,leave_high,why,source,where,seen\n"
    own_region(small_place, cut_rules=f"{head}oak,thin,75,80,90,,{MARKS}")
    with pytest.raises(PlaceError) as wrong:
        place.read(small_place.folder)
    assert [fault.column for fault in wrong.value.faults] == ["leave_sqft_per_ac"]


def decided(cover):
    """All that a cover decides, as one value."""
    of = residuals(pd.DataFrame({"cover": [cover]}), np.array([100.0]), region=BASE)
    keep, way, why = of.keep, of.way, of.rule
    shape = structure_for(cover, 80.0, region=BASE)
    food = browse(pd.DataFrame({"cover": [cover], "acres": 1.0, "years": -1, "kind": "none"}), BASE)
    said = tuple(covers.said_of([cover], word, BASE)[0] for word in covers.KIND)
    shaped = None if shape is None else tuple(np.round(shape, 6))
    return (str(keep[0]), way[0], why[0], shaped, *food[["lb_per_ac", "low", "high", "use_share"]].iloc[0], *said)


def test_every_cover_decides_something_of_its_own():
    """No two rows decide the same, and none decides what no cover does."""
    names = [*BASE.table("cover_types")["cover"], NO_COVER]
    assert len({decided(name) for name in names}) == len(names) == 16


def test_what_covers_are_is_what_their_names_say():
    """Evergreens, those that shelter deer, wet ground, and what is no woods; what goes as another is as that."""
    of = {word: [c for c in covers.known(BASE) if covers.are([c], word, BASE)[0]] for word in ("evergreen", "shelter")}
    assert of == {
        "evergreen": ["pine", "spruce and fir", "hemlock", "cedar swamp"],
        "shelter": ["spruce and fir", "hemlock", "cedar swamp"],
    }
    wet = ["cedar swamp", "spruce and tamarack swamp", "low, wet hardwoods", "marsh and bog"]
    assert [c for c in covers.known(BASE) if covers.are([c], "wet", BASE)[0]] == wet
    assert [c for c in covers.known(BASE) if not covers.are([c], "woods", BASE)[0]] == ["not woods"]
    grown = dict(zip(covers.known(BASE), covers.said_of(covers.known(BASE), "growth", BASE), strict=True))
    assert {c: way for c, way in grown.items() if way != "published"} == {
        "oak": "remeasured", "oak, uneven-aged": "remeasured", "pine": "pine", "aspen and birch": "aspen",
    }  # fmt: skip


def test_shelter_evergreens_and_guides_act_where_they_are_asked():
    """Hemlock shelters and is green in winter, tamarack neither; oak of any age goes by the oak lines."""
    import geopandas as gpd
    from shapely.geometry import box

    from woodlot.deer.forage import as_own
    from woodlot.deer.winter import conifer_share
    from woodlot.stand.guides import full_basal_sqft

    names = ["hemlock", "spruce and tamarack swamp"]
    ground = gpd.GeoDataFrame({"cover": names}, geometry=[box(0, 45, 1, 46), box(1, 45, 2, 46)], crs=4326)
    assert conifer_share(ground, BASE) == pytest.approx(0.5)
    pieces = pd.DataFrame({"stand_id": ["1", "2"], "cover": names, "acres": 1.0})
    assert as_own(pieces, 2.0, BASE)["evergreen_share"].tolist() == [1.0, 0.0]
    oak, older, pine = (full_basal_sqft(c, 10.0, 0.5, region=BASE) for c in ("oak", "oak, uneven-aged", "pine"))
    assert oak == older != pine


def test_covers_of_one_letter_are_one_row_of_the_legend():
    """Two kinds of oak share their swatch and its row; covers without a swatch of their own keep theirs."""
    from types import SimpleNamespace

    from woodlot.map.questions import _cover_keys

    told = [
        ("O", "oak"),
        ("O", "oak, uneven-aged"),
        ("?", "cover not known"),
        ("?", "park"),
        ("H", "northern hardwoods"),
    ]
    keys = _cover_keys([SimpleNamespace(stand_id=str(i), letter=a, cover=c) for i, (a, c) in enumerate(told)])
    assert keys["0"] == keys["1"] == ("O", "oak or oak, uneven-aged")
    assert [keys[i] for i in "234"] == told[2:]


def test_every_cover_has_rows_in_the_tables_that_are_by_cover():
    """A cover that goes as no other has a cut rule and deer food; words of the table mean covers that are there."""
    rows = BASE.table("cover_types")
    own = rows.loc[rows["as"].isna(), "cover"]
    assert (covers.rows_of("cut_rules", own, BASE) == own).all()
    assert (covers.rows_of("deer_browse_production", own, BASE) == own).all()
    named = BASE.table("cover_words")["covers"].str.split("; ").explode()
    assert set(named) <= set(rows["cover"])
    assert rows["letter"].dropna().is_unique


def test_no_cover_is_marked_by_the_structure_of_its_rule():
    """The rule for any other cover is as northern hardwoods, its structure too; oak and pine take all sizes alike."""
    other, hardwoods = (structure_for(c, 80.0, region=BASE) for c in (NO_COVER, "northern hardwoods"))
    assert other is not None and np.array_equal(other, hardwoods)
    assert structure_for("oak", 75.0, region=BASE) is None and structure_for("pine", 120.0, region=BASE) is None
    assert structure_for("oak, uneven-aged", 55.0, region=BASE) is not None


def test_what_is_no_woods_is_off_the_working_acres(small_place):
    """House ground has no working acre, no cut and no food; the other stand keeps its own."""
    from woodlot.stand.layout import lay_out

    small_place.thin("trees.csv", "pellets.csv")
    told = stands_of(small_place, "pond", "oak")
    laid = lay_out(told.stands, told.parcels, told.features, region=told.region)
    assert laid["acres"].iloc[0] == 0.0 and laid["home_ground_ac"].iloc[0] == laid["gross_ac"].iloc[0] > 19
    assert laid["acres"].iloc[1] == laid["gross_ac"].iloc[1] > 30
    for verb in ("cruise", "scale", "grow", "cut", "herd", "walk"):
        answer(small_place.folder, verb)
    assert json.loads(answer(small_place.folder, "cut"))["limit_cords_per_yr"] == 0.0


def test_no_plots_are_asked_for_where_nothing_is_ever_cut(small_place):
    """Of a hayfield of 40 acres and 20 of oak the oak is to be measured first; of a hayfield and a bog neither."""
    from woodlot.season import season

    small_place.thin()
    (small_place.folder / "plots.csv").unlink()
    small_place.maps["stands.geojson"]["features"][1]["properties"]["operable"] = True
    assert season(stands_of(small_place, "oak", "hayfield")).first_plots.first_stand == "1"
    assert season(stands_of(small_place, "oak", "pine")).first_plots.first_stand == "2"
    assert not len(season(stands_of(small_place, "bog", "hayfield")).first_plots.plots)


@pytest.mark.slow
def test_verbs_run_without_covers_and_with_all_of_them(samples, tmp_path):
    """The sample with the column left out, and with every new cover on a stand."""
    home = shutil.copytree(samples / "otter_lake", tmp_path / "woods", ignore=shutil.ignore_patterns("out"))
    drawn = json.loads((home / "stands.geojson").read_text(encoding="utf-8"))
    new = ["hemlock", "tamarack swamp", "hayfield", "marsh", "yard and house", "driveway", "oak, uneven-aged", "H"]
    for turn in (False, True):
        for at, feature in enumerate(drawn["features"]):
            feature["properties"].pop("cover", None)
            if turn:
                feature["properties"]["cover"] = new[at % len(new)]
        (home / "stands.geojson").write_text(json.dumps(drawn), encoding="utf-8")
        for verb in ("walk", "fell", "plan", "sheet"):  # plan asks the chapters of the other verbs
            done = CliRunner().invoke(main, [verb, str(home), "--as-of", DAY.isoformat()])
            assert done.exit_code == 0, f"{verb}: {done.output}"


def test_why_cover_tells_what_each_cover_decides(small_place):
    """A sentence a cover with its stands, a row with its figures and marks, the tables read; by one stand too."""
    small_place.thin()
    stands_of(small_place, "popple", "swamp")
    line = ["why", "cover", str(small_place.folder), "--as-of", DAY.isoformat()]
    told = json.loads(CliRunner().invoke(main, [*line, "--json"]).stdout)
    aspen, none = told["sentences"]
    assert aspen.startswith(
        "Aspen and birch, stand 1. Cut in patches (chosen). Grows by the stocking of full aspen where"
    )
    assert "18 pounds an acre uncut (4.5 to 36, assumptions; memory). Bare in winter, dry ground." in aspen
    assert none.startswith(
        "Cover not known, stand 2. Thinned by the rule for any other cover to leave 80 sq ft an acre"
    )
    assert "Deer food in winter counts as the ground around." in none
    row = told["tables"]["What each cover decides"][0]
    assert (row["rule"], row["way"], row["growth"], row["guide"]) == (
        "aspen and birch", "patches", "aspen", "relative density",
    )  # fmt: skip
    read = {one["table"] for one in told["tables"]["Figures read for it"]}
    assert read == {"cover_types", "cut_rules", "deer_browse_production", "structures"}
    screen = CliRunner().invoke(main, line).output
    assert "Aspen and birch, stand 1." in screen and "What each cover decides" in screen
    one = json.loads(CliRunner().invoke(main, [*line, "--stand", "2", "--json"]).stdout)
    assert one["stand"] == "2" and one["sentences"] == [none]


def test_the_list_of_columns_names_covers_with_their_words(tmp_path):
    """``start`` lays the words beside each cover, those that are asked left out."""
    assert CliRunner().invoke(main, ["start", str(tmp_path / "new"), "--region", "lake_states"]).exit_code == 0
    text = " ".join((tmp_path / "new" / "columns.txt").read_text(encoding="utf-8").split())
    part = text[text.index("Covers of stands") :]
    assert "aspen and birch: aspen," in part and ", popple," in part and "hemlock: eastern hemlock" in part
    assert " swamp, " not in part[: part.index("cedar swamp:")]


# One way to read covers: typed, in a name, brought

NAMES = {
    "Back forty - popple": "popple",
    "Stand 3: the wet hole": "the wet hole",
    "oak, aspen": "oak, aspen",
    "North ridge (hemlock)": "hemlock",
    "Grandpa's red pine by the road": "red pine",
    "Plantation - red pine 1968": "Plantation - red pine",
    "Plantation": "Plantation",
    "Plantation - big red pine by the road": "red pine",
    "1 - old field": "old field",
    "North 40 oak": "oak",
    "North forty": "",
    "7 - A": "",
}


@pytest.mark.parametrize(("name", "word"), NAMES.items())
def test_the_word_for_a_cover_within_a_name(name, word):
    """The name, or its part behind a dash, colon or bracket, else the longest of its words that is sure; no letter."""
    from woodlot.place.cover_words import known_words, word_in

    assert word_in(name, known_words(BASE, {"the wet hole": "cedar swamp"})) == word


@pytest.mark.parametrize(
    ("word", "kept"), [("popple", "aspen and birch"), ("swamp hole", "cedar swamp"), ("old field", NO_COVER)]
)
def test_a_word_is_the_same_cover_typed_in_a_kml_or_brought(small_place, tmp_path, word, kept):
    """By the region's table, by words.csv, and where several may be meant by nothing until it is answered."""
    import geopandas as gpd

    own = "about,written,meant\ncover,swamp hole,cedar swamp\n"
    assert read_as(small_place, word, words=own)[0] == kept
    folder = small_place.folder
    drawn = gpd.read_file(folder / "stands.geojson").iloc[:1]
    named = gpd.GeoDataFrame({"Name": [f"1 - {word}"]}, geometry=list(drawn.geometry), crs=4326)
    (folder / "stands.geojson").unlink()
    for table in ("plots", "trees", "tally", "cores"):
        (folder / f"{table}.csv").unlink(missing_ok=True)
    named.to_file(tmp_path / "new.kml", driver="KML")
    shutil.copy(tmp_path / "new.kml", folder / "stands.kml")
    assert place.read(folder, as_of=DAY).stands["cover"].iloc[0] == kept
    (folder / "stands.kml").unlink()
    run = ["bring", str(folder), str(tmp_path / "new.kml"), "--as", "stands"]
    done = CliRunner().invoke(main, run)
    if kept == NO_COVER:
        said = " ".join(done.output.split())
        assert (
            done.exit_code == 1 and '"old field" (1 row) may be field and grass or brush and openings or aspen' in said
        )
        done = CliRunner().invoke(main, [*run, "--cover", "old field=brush and openings"])
        kept = "brush and openings"
    assert done.exit_code == 0, done.output
    assert place.read(folder, as_of=DAY).stands["cover"].iloc[0] == kept
