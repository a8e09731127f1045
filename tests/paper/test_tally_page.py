"""The phone's tally sheet: what is tapped in the woods is what the place reads."""

import csv
import io
import json
import math
import re
from dataclasses import replace

import pandas as pd
import pytest

from woodlot.answers.measuring import HeightsWanted, Measuring, StandHeights
from woodlot.answers.stand_types import SpeciesOfStand
from woodlot.columns import header
from woodlot.errors import InputError
from woodlot.paper import tally_page
from woodlot.region import shipped

#: Two trees on every third point; two maples' and an ash's heights wanted in stand 1.
KINDS = (HeightsWanted("sugar maple", 1, 2), HeightsWanted("black ash", 0, 1))
HEIGHTS = StandHeights("1", 1, 1, 0.14, KINDS, "Stand 1: 1 height measured.", "2 of sugar maple and 1 of black ash")
MEASURING = Measuring(2, 3, 4.0, "measure about 2 trees on every third point", "", (HEIGHTS,))


@pytest.fixture(scope="module")
def file(answers, tmp_path_factory):
    """The tally page on disk."""
    path = tmp_path_factory.mktemp("tally") / "tally.html"
    path.write_text(tally_page.html(answers, shipped("lake_states"), MEASURING), encoding="utf-8")
    return path


def test_same_inputs_same_bytes(answers, file):
    """The page is the same when made again, small, and asks for nothing."""
    assert tally_page.html(answers, shipped("lake_states"), MEASURING) == file.read_text(encoding="utf-8")
    assert file.stat().st_size < 100_000


def test_a_place_without_stands_is_refused(answers):
    """A tally needs a stand to be in."""
    with pytest.raises(InputError, match="no stand"):
        tally_page.html(replace(answers, stands=()), shipped("lake_states"), MEASURING)


def test_hostile_names_stay_words(answers):
    """A stand's parcel or the place's name with a tag in it adds no tag."""
    evil = "</script><script>x()</script>"
    parcels = tuple(replace(p, name=evil) for p in answers.parcels)
    html = tally_page.html(replace(answers, name=evil, parcels=parcels), shipped("lake_states"), MEASURING)
    assert html.count("<script") == tally_page.html(answers, shipped("lake_states"), MEASURING).count("<script")


def test_kinds_that_are_shared_out_stay_on_the_buttons(answers):
    """Sums hold no kind of several species any more; who wrote it finds it behind the four that the stand has most of.

    Six buttons are sure on a phone, one of them for a tree that is only counted: the kind is never behind them.
    """
    many = [SpeciesOfStand(name, 1.0, 12.5) for name in sorted(shipped("lake_states").table("species")["species"])[:8]]
    of = replace(answers, stands=(replace(answers.stands[0], species=tuple(many)), *answers.stands[1:]))
    few = tally_page.html(of, shipped("lake_states"), MEASURING)
    more = tally_page.html(of, shipped("lake_states"), replace(MEASURING, kinds=("unknown hardwood",)))
    before, after = (
        [
            one["kinds"]
            for one in json.loads(re.search(r"<script[^>]*json[^>]*>(.*?)</script>", page, re.S)[1])["stands"]
        ]
        for page in (few, more)
    )
    assert max(map(len, before)) == 7 and not any("unknown hardwood" in kinds for kinds in before)
    for old, new in zip(before, after, strict=True):
        assert new == ([*old[:4], "unknown hardwood", *old[4:]][:7] if old else [])


# --- in the browser ---------------------------------------------------------------------------------------------------


def press(page, where, words):
    """Tap the keys of a number."""
    for key in str(words):
        page.tap(f'#{where} .key:text-is("{key}")')


def saved(page, table, folder):
    """The text of a file that the page saves."""
    with page.expect_download() as told:
        page.tap(f"#save-{table}")
    assert told.value.suggested_filename == f"{table}.csv"
    told.value.save_as(folder / f"{table}.csv")
    return (folder / f"{table}.csv").read_text(encoding="utf-8")


@pytest.fixture
def phone(open_page, file):
    """The page on a phone by touch, with no network."""
    return open_page(file, phone=True)


@pytest.mark.browser
def test_a_plot_is_tallied_and_the_place_reads_it(phone, tmp_path, made_up, frames):
    """Four trees, one doubtful, one dead with rot, one only counted, then an empty plot: read back row by row."""
    from woodlot import place

    home = tmp_path / "home"
    place.start(home)
    parcels, stands, _ = frames
    parcels[["parcel_id", "name", "deed_acres", "geometry"]].to_file(home / "parcels.geojson", driver="GeoJSON")
    stands[["stand_id", "parcel_id", "cover", "geometry"]].to_file(home / "stands.geojson", driver="GeoJSON")
    phone.select_option("#set-stand", "1")
    phone.fill("#set-plot", "1-a")
    phone.tap("#begin")
    press(phone, "trees", "14.2")
    phone.tap("#trees .add")
    phone.tap("#trees .species button:text-is('black ash')")
    press(phone, "trees", "12.4")
    phone.tap("#trees .measure")
    assert phone.text_content("#trees .feet") == "34.1 feet"
    phone.tap("#trees .is-in")
    press(phone, "trees", "9")
    phone.tap("#trees .add")
    phone.tap("#trees .list button >> nth=0")
    phone.fill("#d-merch", "24")
    phone.fill("#d-logs", "2")
    phone.tap("#detail-keep")
    assert "longer than the stem" in phone.text_content("#detail .trouble")
    phone.fill("#d-logs", "1.5")
    phone.fill("#d-cull", "20")
    phone.select_option("#d-dead", "yes")
    phone.tap("#detail-keep")
    phone.tap("#trees .add")
    assert phone.text_content("#trees .basal") == "40"
    assert phone.text_content("#trees .in") == "4"
    press(phone, "trees", "5")
    phone.tap("#trees .add")
    phone.tap("#trees .undo")
    assert phone.text_content("#trees .in") == "4"
    phone.tap("#trees .finish")
    phone.fill("#set-plot", "1-b")
    phone.tap("#begin")
    assert phone.locator("#trees .finish").is_disabled()
    phone.tap("#trees .none")
    saved(phone, "plots", home)
    saved(phone, "trees", home)
    read = place.read(home)
    assert list(read.plots["plot_id"]) == ["1-a", "1-b"]
    assert list(read.plots["kind"]) == ["prism", "prism"]
    assert list(read.plots["baf_sqft_per_ac"]) == [10, 10]
    trees = read.trees
    assert list(trees["plot_id"]) == ["1-a"] * 4
    assert list(trees["species"]) == ["sugar maple", "black ash", "black ash", "black ash"]
    assert list(trees["dbh_in"].fillna(-1)) == [14.2, 12.4, 9.0, -1]
    assert list(trees["merch_ft"].fillna(-1)) == [-1, -1, 24, -1]
    assert list(trees["logs_16ft"].fillna(-1)) == [-1, -1, 1.5, -1]
    assert list(trees["cull_pct"].fillna(-1)) == [-1, -1, 20, -1]
    assert list(trees["alive"]) == [True, True, False, True]
    assert list(trees["count"]) == [1, 1, 1, 1]
    assert phone.complaints == [] and len(phone.asked) == 1


@pytest.mark.browser
def test_running_basal_area_by_hand(phone, answers):
    """Two trees at factor 10 are 20 sq ft. Stand 1 had 8 plots with 21.3 x 4.9 = 104.4: (8 x 104.4 + 20) / 9 = 95."""
    phone.tap("#begin")
    assert phone.text_content("#trees .so-far") == "stand so far: 104, from 8 plots"
    for inches in ("10", "11"):
        press(phone, "trees", inches)
        phone.tap("#trees .add")
    assert phone.text_content("#trees .basal") == "20"
    phone.tap("#trees .finish")
    phone.tap("#begin")
    assert phone.text_content("#trees .so-far") == "stand so far: 95, from 9 plots"


@pytest.mark.browser
def test_a_fixed_plot_needs_diameters_by_hand(phone):
    """One 12-in tree on a 24-ft circle: .005454 x 144 / (pi 24^2 / 43,560) = .7854 / .04154 = 18.9 sq ft an acre."""
    phone.select_option("#set-kind", "fixed")
    phone.tap("#begin")
    assert "radius" in phone.text_content("#setup .trouble")
    phone.fill("#set-radius", "24")
    phone.tap("#begin")
    phone.tap("#trees .add")
    assert phone.text_content("#trees .in") == "0"
    assert phone.locator("#trees .measure").is_disabled()
    press(phone, "trees", "12")
    phone.tap("#trees .add")
    assert phone.text_content("#trees .basal") == "19"
    assert math.pi / 576 * 144 / (math.pi * 24**2 / 43560) == pytest.approx(18.906, abs=5e-4)


@pytest.mark.browser
def test_pellets_and_stems_are_counted_and_read(phone, tmp_path):
    """A line of three pellet plots with a zero, then stems on a plot: saved with the place's columns."""
    phone.tap("text=deer pellets")
    phone.tap("#begin")
    for groups in (2, 0, 11):
        press(phone, "deer", groups)
        phone.tap("#deer .add")
    assert phone.text_content("#deer .basal") == "13"
    assert phone.text_content("#deer .plot") == "Plot A04"
    phone.tap("#deer .finish")
    phone.tap("text=browsed stems")
    phone.fill("#set-line", "B")
    phone.tap("#begin")
    press(phone, "deer", "8")
    phone.tap("#deer .add")
    press(phone, "deer", "9")
    assert phone.locator("#deer .add").is_disabled(), "more browsed than there are"
    phone.tap("#deer .clear")
    press(phone, "deer", "8")
    phone.tap("#deer .add")
    press(phone, "deer", "3")
    phone.tap("#deer .add")
    phone.tap("#deer .finish")
    pellets = pd.read_csv(_text(saved(phone, "pellets", tmp_path)))
    browse = pd.read_csv(_text(saved(phone, "browse", tmp_path)))
    assert list(pellets.columns) == header("pellets") and list(browse.columns) == header("browse")
    assert list(pellets["plot_id"]) == ["A01", "A02", "A03"]
    assert list(pellets["groups"]) == [2, 0, 11]
    assert list(pellets["radius_ft"]) == [4, 4, 4] and list(pellets["parcel_id"]) == ["P1"] * 3
    assert browse[["plot_id", "stems", "browsed"]].to_numpy().tolist() == [["B01", 8, 3]]
    assert phone.complaints == []


def _text(words):
    import io

    return io.StringIO(words)


@pytest.mark.browser
def test_every_tap_is_kept(phone):
    """The page closed in the middle of a plot opens on that plot with its trees."""
    phone.tap("#begin")
    press(phone, "trees", "14.2")
    phone.tap("#trees .add")
    assert re.fullmatch(r"saved \d\d:\d\d", phone.text_content("#trees .saved"))
    phone.again()
    assert phone.text_content("#trees .in") == "1"
    assert phone.text_content("#trees .list .size") == "14.2"


@pytest.mark.browser
def test_half_a_tree_is_there_again(phone):
    """Digits not added yet, the kind that was chosen, and the question of a doubtful tree outlive the page."""
    phone.tap("#begin")
    phone.tap("#trees .species button:text-is('black ash')")
    press(phone, "trees", "12.4")
    phone.again()
    assert phone.text_content("#trees .shown b") == "12.4"
    assert phone.text_content("#trees .species [aria-pressed=true]") == "black ash"
    phone.tap("#trees .measure")
    phone.again()
    assert phone.text_content("#trees .feet") == "34.1 feet"
    phone.tap("#trees .is-in")
    assert phone.text_content("#trees .list .size") == "12.4"
    phone.again()
    assert phone.text_content("#trees .shown b") == "–"
    assert phone.complaints == []


@pytest.mark.browser
def test_a_page_that_is_only_opened_writes_nothing(open_page, file):
    """What another window kept meanwhile is not written over by one that was opened and not touched."""
    phone = open_page(file, phone=True, own=True)
    phone.tap("#begin")
    press(phone, "trees", "12")
    phone.context.add_init_script(
        "const put = Storage.prototype.setItem; window.put = [];"
        "Storage.prototype.setItem = function (key, text) { window.put.push(key); put.call(this, key, text); };"
    )
    phone.again()
    assert phone.text_content("#trees .shown b") == "12"
    assert phone.evaluate("window.put") == ["woodlot tally: Marten Hollow probe"]
    press(phone, "trees", "3")
    assert phone.evaluate("window.put.length") == 2


@pytest.mark.browser
def test_half_a_plot_is_there_again(phone):
    """What is typed before a plot begins outlives the page and a look at another sheet, until the plot begins."""
    phone.select_option("#set-kind", "fixed")
    phone.fill("#set-radius", "24")
    phone.fill("#set-plot", "old oak")
    phone.fill("#set-line", "B")
    phone.fill("#set-slope", "12")
    phone.select_option("#set-stand", "2")
    for leave in (lambda: phone.again(), lambda: (phone.tap("text=deer pellets"), phone.tap("text=tree plots"))):
        leave()
        left = [phone.input_value(f"#set-{name}") for name in ("stand", "plot", "line", "kind", "radius", "slope")]
        assert left == ["2", "old oak", "B", "fixed", "24", "12"]
        assert phone.locator("#set-radius").is_visible() and phone.locator("#set-factor").is_hidden()
    phone.tap("#begin")
    assert phone.text_content("#trees .plot") == "Plot old oak"
    phone.tap("#trees .change")
    assert [phone.input_value(f"#set-{name}") for name in ("plot", "line", "slope")] == ["old oak", "B", "12"]
    phone.tap("#begin")
    phone.tap("#trees .none")
    assert phone.input_value("#set-plot").startswith("2-") and phone.input_value("#set-slope") == ""
    phone.tap("#begin")
    phone.tap("#trees .change")
    phone.select_option("#set-stand", "1")
    assert phone.input_value("#set-plot").startswith("1-"), "a name the page gave goes with the stand"
    key = "woodlot tally: Marten Hollow"
    phone.evaluate(
        """key => { const kept = JSON.parse(localStorage.getItem(key));
        kept.setup.trees["set-stand"] = "gone"; localStorage.setItem(key, JSON.stringify(kept)); }""",
        key,
    )
    phone.again()
    assert phone.input_value("#set-stand") == "2", "a stand that is no longer there is not put back"
    assert phone.complaints == []


@pytest.mark.browser
def test_a_place_that_was_taken_outlives_the_page(open_page, file, tmp_path):
    """The phone's position, taken before the plot begins, goes with it after the page was closed."""
    at = {"latitude": 45.7328, "longitude": -89.4095, "accuracy": 6}
    phone = open_page(file, phone=True, geolocation=at, permissions=["geolocation"])
    phone.tap("text=take my place")
    phone.locator("#setup [role=status]", has_text="place taken").wait_for()
    phone.again()
    assert phone.text_content("#setup [role=status]") == "place taken"
    phone.tap("#begin")
    phone.tap("#trees .change")
    assert phone.text_content("#setup [role=status]") == "place taken"
    phone.tap("#begin")
    phone.tap("#trees .none")
    plots = pd.read_csv(_text(saved(phone, "plots", tmp_path)))
    assert plots[["lon", "lat"]].to_numpy().tolist() == [[-89.4095, 45.7328]]
    phone.tap("#begin")
    phone.tap("#trees .change")
    assert phone.text_content("#setup [role=status]") == "", "the next plot has a place of its own"


@pytest.mark.browser
def test_half_the_words_on_a_tree_are_there_again(phone):
    """A tree's details that were typed and not kept are on the screen again; left on purpose they are gone."""
    phone.tap("#begin")
    for inches in ("14", "9"):
        press(phone, "trees", inches)
        phone.tap("#trees .add")
    phone.tap("#trees .list button >> nth=0")
    phone.fill("#d-height", "61")
    phone.select_option("#d-dead", "yes")
    phone.again()
    assert [phone.input_value(f"#d-{name}") for name in ("dbh", "height", "dead")] == ["9", "61", "yes"]
    phone.tap("text=leave it as it was")
    phone.tap("#trees .list button >> nth=0")
    assert [phone.input_value(f"#d-{name}") for name in ("dbh", "height", "dead")] == ["9", "", "no"]
    phone.fill("#d-height", "62")
    phone.again()
    phone.tap("#detail-keep")
    phone.again()
    assert phone.locator("#trees").is_visible()
    phone.tap("#trees .list button >> nth=0")
    assert phone.input_value("#d-height") == "62"
    phone.tap("text=leave it as it was")
    phone.tap("#trees .change")
    phone.fill("#p-slope", "30")
    phone.again()
    assert phone.input_value("#p-slope") == "30"
    phone.tap("#detail-keep")
    assert phone.text_content("#trees .in") == "2"
    phone.tap("#trees .list button >> nth=0")
    phone.fill("#d-height", "63")
    phone.tap("text=take this tree out")
    press(phone, "trees", "8")
    phone.tap("#trees .add")
    phone.again()
    phone.tap("#trees .list button >> nth=0")
    assert [phone.input_value(f"#d-{name}") for name in ("dbh", "height")] == ["8", ""]
    phone.tap("text=leave it as it was")
    press(phone, "trees", "5")
    phone.tap("#trees .change")
    phone.tap("text=throw this plot away")
    phone.tap("#begin")
    assert phone.text_content("#trees .shown b") == "–"
    assert phone.complaints == []


@pytest.mark.browser
def test_half_a_count_of_stems_is_there_again(phone, tmp_path):
    """Eight stems counted, three browsed typed, the kind chosen: all there when the page is opened again."""
    phone.tap("text=browsed stems")
    phone.select_option("#set-parcel", "P2")
    phone.fill("#set-line", "Q")
    phone.again()
    assert [phone.input_value(f"#set-{name}") for name in ("parcel", "line")] == ["P2", "Q"]
    phone.tap("#begin")
    assert phone.text_content("#deer .where") == "Corner forty, line Q"
    phone.tap("#deer .species button >> nth=1")
    kind = phone.text_content("#deer .species [aria-pressed=true]")
    press(phone, "deer", "8")
    phone.tap("#deer .add")
    press(phone, "deer", "3")
    phone.again()
    assert phone.text_content("#deer .shown b") == "3"
    assert phone.text_content("#deer .shown span") == "of 8 browsed"
    assert phone.text_content("#deer .species [aria-pressed=true]") == kind
    for end in (".next-plot", ".finish", ".change"):
        phone.tap(f"#deer {end}")
        assert phone.text_content("#deer .shown span") == "add it or clear it first"
    phone.tap("#deer .add")
    phone.tap("#deer .finish")
    assert phone.input_value("#set-line") == "A", "what was typed for the last line is used up"
    browse = pd.read_csv(_text(saved(phone, "browse", tmp_path)))
    assert browse[["species", "stems", "browsed"]].to_numpy().tolist() == [[kind, 8, 3]]


@pytest.mark.browser
def test_a_number_not_added_stops_the_end_of_a_plot(phone):
    """A plot is not finished over digits that are no tree yet: they are added or cleared first."""
    phone.tap("#begin")
    press(phone, "trees", "14")
    for end in (".none", ".change"):
        phone.tap(f"#trees {end}")
        assert phone.text_content("#trees .shown") == "14 add it or clear it first"
    phone.tap("#trees .add")
    assert phone.text_content("#trees .shown") == "– inches"
    press(phone, "trees", "7")
    phone.tap("#trees .finish")
    assert phone.text_content("#trees .in") == "1"
    phone.tap("#trees .clear")
    phone.tap("#trees .finish")
    assert "1 tree" in phone.text_content("#done")


@pytest.mark.browser
def test_refused_storage_is_said(open_page, file, tmp_path):
    """Without storage the page says so at once and on the plot, and still saves the files."""
    phone = open_page(file, phone=True, own=True)
    phone.context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } });"
    )
    phone.reload()
    assert "keeps nothing when it closes" in phone.text_content("#keeping")
    phone.tap("#begin")
    phone.tap("#trees .none")
    assert saved(phone, "plots", tmp_path).count("\n") == 2
    assert saved(phone, "trees", tmp_path) == ",".join(header("trees")) + "\n"


@pytest.mark.browser
def test_a_word_is_one_tap_and_comes_into_the_file(phone, tmp_path):
    """On the tree counted last: a tap gives the word, a second takes it back, more offers all; details have it too."""
    phone.tap("#begin")
    assert not phone.locator("#trees .word").is_visible()
    words = []
    for inches, taps in (("14", ["crop"]), ("9", ["good", "good"]), ("11", ["at risk", "poor form"])):
        press(phone, "trees", inches)
        phone.tap("#trees .add")
        for word in taps:
            phone.tap(f"#trees .word button:text-is('{word}')")
        words.append(phone.locator("#trees .list li >> nth=0").text_content())
    assert ["crop" in words[0], "good" in words[1], "poor form" in words[2]] == [True, False, True]
    press(phone, "trees", "8")
    phone.tap("#trees .add")
    phone.tap("#trees .word button:text-is('more…')")
    phone.fill("#more input", "lean")
    phone.tap("#more div button:text-is('leaning')")
    assert phone.get_attribute("#trees .word button:text-is('leaning')", "aria-pressed") == "true"
    phone.tap("#trees .list button >> nth=2")
    phone.select_option("#d-word", "den")
    phone.tap("#detail-keep")
    phone.again()
    phone.tap("#trees .finish")
    rows = list(csv.DictReader(io.StringIO(saved(phone, "trees", tmp_path))))
    assert [row["quality"] for row in rows] == ["crop", "den", "poor form", "leaning"]
    assert phone.complaints == []


@pytest.mark.browser
def test_a_small_phone_holds_the_whole_pad(open_page, file):
    """At 360 x 640 every key and word is on the screen and 44 px high; nothing scrolls sideways."""
    page = open_page(file, viewport={"width": 360, "height": 640}, has_touch=True, is_mobile=True)
    page.tap("#begin")
    press(page, "trees", "14")
    page.tap("#trees .add")
    assert page.locator("#trees .word").is_visible()
    boxes = page.eval_on_selector_all(
        "#trees button",
        "all => all.map(b => b.getBoundingClientRect()).map(r => [r.width, r.height, r.bottom]).filter(r => r[0])",
    )
    assert len(boxes) > 20
    assert min(b[0] for b in boxes) >= 44 and min(b[1] for b in boxes) >= 44
    assert max(b[2] for b in boxes) <= 640
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.browser
def test_trees_are_counted_without_kind_or_size_and_come_into_the_files(phone, tmp_path):
    """Three taps of any kind (one of them dead, one twice), a measured maple: 4 alive, 1 dead in; then none is in.

    A tree of any kind cannot be measured; one that was looked at with the tape is only counted all the same.
    """
    phone.select_option("#set-stand", "1")
    phone.fill("#set-plot", "1-c")
    phone.tap("#begin")
    assert "Measure about 2 trees here" in phone.text_content("#trees .todo")
    phone.tap("#trees .species button:text-is('any kind')")
    for _ in range(2):
        phone.tap("#trees .add")
    press(phone, "trees", "12.4")
    phone.tap("#trees .add")
    assert phone.text_content("#trees .shown span") == "of which kind?"
    phone.tap("#trees .measure")
    assert phone.text_content("#trees .near") == "Measure it too within 17.1 feet."
    phone.tap("#trees .is-in")
    phone.tap("#trees .list button >> nth=0")
    phone.fill("#d-dbh", "9")
    phone.tap("#detail-keep")
    assert "needs its kind" in phone.text_content("#detail .trouble")
    phone.fill("#d-dbh", "")
    phone.select_option("#d-dead", "yes")
    phone.tap("#detail-keep")
    phone.tap("#trees .list button >> nth=1")
    phone.select_option("#d-twice", "yes")
    phone.tap("#detail-keep")
    phone.tap("#trees .species button:text-is('sugar maple')")
    press(phone, "trees", "14")
    phone.tap("#trees .add")
    assert "take its height" in phone.text_content("#trees .list li >> nth=0")
    assert phone.text_content("#trees .basal") == "50"
    phone.again()
    phone.tap("#trees .finish")
    phone.fill("#set-plot", "1-d")
    phone.tap("#begin")
    assert "a count is enough" in phone.text_content("#trees .todo")
    phone.tap("#trees .none")
    plots = list(csv.DictReader(io.StringIO(saved(phone, "plots", tmp_path))))
    assert [(row["plot_id"], row["live_in"], row["dead_in"]) for row in plots] == [("1-c", "4", "1"), ("1-d", "0", "")]
    trees = list(csv.DictReader(io.StringIO(saved(phone, "trees", tmp_path))))
    assert [(row["tree"], row["species"], row["dbh_in"]) for row in trees] == [("4", "sugar maple", "14")]
    assert phone.complaints == []


def stems(page, plot, of, bitten):
    """Count stems of the chosen kind on the open plot."""
    assert page.text_content("#deer .plot") == f"Plot {plot}"
    for count in (of, bitten):
        press(page, "deer", count)
        page.tap("#deer .add")


@pytest.mark.browser
def test_stems_of_a_kind_counted_in_two_goes_are_one_row(phone, tmp_path):
    """By hand: 8 of which 3, then 4 of which 1, are 12 of which 4; the place takes one row of a kind and plot."""
    phone.tap("text=browsed stems")
    phone.tap("#begin")
    stems(phone, "A01", 8, 3)
    stems(phone, "A01", 4, 1)
    phone.tap("#deer .next-plot")
    stems(phone, "A02", 5, 0)
    phone.tap("#deer .finish")
    browse = pd.read_csv(_text(saved(phone, "browse", tmp_path)))
    assert browse[["plot_id", "stems", "browsed"]].to_numpy().tolist() == [["A01", 12, 4], ["A02", 5, 0]]


@pytest.mark.browser
def test_a_name_that_stands_in_a_file_is_not_given_again(phone):
    """After the phone is emptied a second line A of the day goes on behind the first, and a plot has another name."""
    first = phone.input_value("#set-plot")
    phone.tap("#begin")
    phone.tap("#trees .none")
    phone.tap("text=deer pellets")
    phone.tap("#begin")
    for groups in (2, 0):
        press(phone, "deer", groups)
        phone.tap("#deer .add")
    phone.tap("#deer .finish")
    phone.tap("#empty")
    phone.tap("#empty")
    phone.again()
    phone.tap("text=tree plots")
    assert phone.input_value("#set-plot") != first
    phone.fill("#set-plot", first)
    phone.tap("#begin")
    assert phone.text_content("#setup .trouble") == f"There is a plot {first} already."
    phone.tap("text=deer pellets")
    phone.tap("#begin")
    assert phone.text_content("#deer .plot") == "Plot A03"
