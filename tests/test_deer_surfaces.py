"""Wherever deer are told, what to mind stands beside it: screens, --json, sheets, phone page, map, GPX, KML, report.

And every one of them tells the same: the number of the fall, does and bucks at most, the chances, ten years of meat,
whether the next forest comes up.
"""

import json
import re
import shutil
from html import unescape

import pytest
from click.testing import CliRunner

from woodlot.cli import VERBS, main
from woodlot.plan.cautions import SIGN, STAND, TAKEN, of_deer, short_of_deer
from woodlot.region import shipped

DAY = "--as-of 2026-11-25"
LAW = "Season, tags and zone are the state's. This plan gives no right to take a deer."
#: Verb -> a run of it that would tell of deer, where it does.
RUNS = {
    "walk": f"walk P {DAY}",
    "cruise": f"cruise P {DAY}",
    "scale": f"scale P {DAY}",
    "grow": f"grow P {DAY}",
    "cut": f"cut P {DAY}",
    "fell": f"fell P {DAY}",
    "herd": f"herd P --all {DAY}",
    "hunt": f"hunt P --all {DAY}",
    "what-if": f"what-if P {DAY}",
    "plan": f"plan P {DAY}",
    "group": f"group P {DAY}",
    "note": "note P deer --sex-age doe --date 2026-11-21",
    "why": f"why take P {DAY}",
}
#: Verbs that tell of no deer that is there or may be taken: files, lines, what was written down.
NO_DEER = {"start", "bring", "mend", "sheet", "book", "map", "bundle"}
#: Words by which a screen or a page tells how many deer there are, or may be taken.
TOLD = re.compile(
    r"deer a square mile|(?:does?|bucks?) (?:this season|at most|a year|every)|No (?:more )?(?:doe|buck)s?[:;,.]"
    r"|next doe|venison|pellet groups|to take a deer"
)
TELLS = ("herd", "hunt", "group", "plan", "note", "why")


@pytest.fixture(scope="module")
def folder(tmp_path_factory, samples):
    """A forty with a line of pellets and browse, a blind, a doe in the ledger, and its plan and sheets in out/."""
    home = shutil.copytree(samples / "first_forty", tmp_path_factory.mktemp("deer") / "forty")
    at = [(-88.961 + 0.0003 * i, 45.873) for i in range(12)]
    rows = [
        f"A{i},A,{2024 + y}-04-20,4,{(i + y) % 2},175,forty,{x:.6f},{y_:.6f}"
        for y in range(3)
        for i, (x, y_) in enumerate(at)
    ]
    head = "plot_id,line,date,radius_ft,groups,days,parcel_id,lon,lat"
    (home / "pellets.csv").write_text("\n".join([head, *rows, ""]))
    head = "plot_id,line,date,species,stems,browsed,parcel_id,lon,lat"
    rows = [f"A{i},A,2026-04-20,red maple,6,2,forty,{x:.6f},{y:.6f}" for i, (x, y) in enumerate(at)]
    (home / "browse.csv").write_text("\n".join([head, *rows, ""]))
    with (home / "place.toml").open("a") as file:
        file.write("\n[needs]\nmeat_lb = 60\n")
    (home / "tally.csv").write_text("tree,stand_id,species,dbh_in,height_ft\n1,1,sugar maple,12,60\n")
    blind = {"type": "Point", "coordinates": [-88.959, 45.8735]}
    made = {"type": "Feature", "properties": {"kind": "deer_stand", "name": "north blind"}, "geometry": blind}
    (home / "features.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": [made]}))
    for run in ("note P deer --sex-age doe --date 2025-11-20 --at -88.960 45.874", f"plan P {DAY}", f"sheet P {DAY}"):
        assert CliRunner().invoke(main, run.replace("P", str(home), 1).split()).exit_code == 0
    return home


@pytest.fixture(scope="module")
def short():
    """Topic -> what to mind in short, of the table itself."""
    return short_of_deer(shipped("lake_states"))


def run(folder, words, *more):
    """What a run says, on one line."""
    result = CliRunner().invoke(main, [*(str(folder) if word == "P" else word for word in words.split()), *more])
    assert result.exit_code == 0, result.output
    return result.output


def out(folder, name):
    """A written file as it is read: without marks of HTML."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", (folder / "out" / name).read_text(encoding="utf-8"))).split())


def test_the_short_form_is_of_the_table(short):
    """Each short line is of a row with a long one; law stands first; what can hurt is in it."""
    assert next(iter(short)) == "law" and short["law"] == LAW
    assert {*SIGN, *STAND, *TAKEN} <= {*short} and all(text.endswith(".") for text in short.values())
    assert len(of_deer(shipped("lake_states"))) >= len(short) and LAW in of_deer(shipped("lake_states"))[0]
    assert list(short_of_deer(shipped("lake_states"), STAND)) == ["law", "shot", "stand"]


def test_every_verb_is_walked():
    """A new verb is run here, or it is said that it tells of no deer."""
    assert {*RUNS} | NO_DEER == {*VERBS} and not {*RUNS} & NO_DEER


@pytest.mark.parametrize("verb", RUNS)
def test_a_screen_that_tells_of_deer_says_what_to_mind(folder, verb, once):
    """On the screen; those that are known to tell of deer do."""
    said = " ".join(run(folder, RUNS[verb]).split())
    assert bool(TOLD.search(said)) == (verb in TELLS), said
    assert (LAW in said) == (verb in TELLS), said


@pytest.mark.parametrize("verb", TELLS)
def test_json_says_what_the_screen_says(folder, verb, once):
    """Every sentence to mind that --json holds stands on the screen too, and the law is among them."""
    words = RUNS[verb].replace(" --all", "")
    said, held = " ".join(run(folder, words).split()), json.loads(run(folder, words, "--json"))
    if verb == "plan":
        mind = [one["text"] for one in held["deer_cautions"]]
    else:
        mind = held["sentences"][-1:] if verb == "why" else held["cautions"]
    assert any(LAW in one for one in mind) and all(" ".join(one.split()) in said for one in mind)


def test_the_herd_tells_what_is_doubtful_of_its_counts(folder, once):
    """A last count of years ago is said on the herd's own screen and with --json, not beside the hunt alone."""
    doubt, words = "The last count of how many there are is of 2026", "herd P --as-of 2033-11-25"
    assert doubt in " ".join(run(folder, words).split())
    assert any(one.startswith(doubt) for one in json.loads(run(folder, words, "--json"))["cautions"])
    assert doubt not in " ".join(run(folder, f"herd P {DAY}").split())


@pytest.mark.parametrize(
    ("name", "topics"),
    [("tally_sheets.html", {*SIGN, *STAND}), ("tally_phone.html", SIGN), ("map.html", ()), ("report.html", ())],
)
def test_what_is_carried_says_what_to_mind(folder, short, name, topics):
    """Sheets what they are for; map and report all of it."""
    said = out(folder, name)
    for topic in topics or short:
        assert short[topic] in said, topic


def test_each_deer_sheet_has_the_law(folder):
    """Pellets, browse and cameras: the half of each kind."""
    text = (folder / "out" / "tally_sheets.html").read_text(encoding="utf-8")
    halves = text.split("<div class='half'>")
    for title in ("Deer sign: one line", "Browsed stems: one line", "Deer seen: one camera or stand"):
        assert all(LAW in unescape(half) for half in halves if title in half), title
        assert any(title in half for half in halves)


def test_each_page_of_the_report_that_tells_of_deer_has_the_law(folder):
    """By the words of the page: first page, the parcel with its blind and line, the deer, the charts."""
    text = (folder / "out" / "report.html").read_text(encoding="utf-8")
    pages = [
        " ".join(unescape(re.sub(r"<[^>]+>", " ", one)).split()) for one in text.split("<section class='page'>")[1:]
    ]
    shown = [page for page in pages if "What taking does risks" in page or "Before you cut:" in page]
    assert len(shown) >= 2 and all(LAW in page for page in shown)
    told = [page for page in pages if TOLD.search(page) and "How the numbers were made" not in page]
    assert len(told) >= 3 and all(LAW in page for page in told)


def test_the_deer_page_says_it_at_length(folder):
    """The page that is hunted by has the long form, the kitchen in it."""
    assert all(text in out(folder, "report.html") for text in of_deer(shipped("lake_states")))


def test_map_cards_say_what_to_mind(folder, short):
    """A doe's card, the questions of browse and food, the blind."""
    text = (folder / "out" / "map.html").read_text(encoding="utf-8")
    woods = json.loads(re.search(r'<script type="application/json" id="woods">(.*?)</script>', text, re.S)[1])
    cards = [note["card"] for note in woods["notes"] if note["tag"] == "deer"]
    assert cards and all(card["cautions"] == [" ".join(short[topic] for topic in TAKEN)] for card in cards)
    minds = {q["key"]: q["mind"] for q in woods["questions"]}
    assert {key for key, mind in minds.items() if mind} == {"browse", "food"} and LAW in minds["food"]
    (blind,) = (f for f in woods["features"] if f["kind"] == "deer_stand")
    assert blind["mind"] == " ".join(short[topic] for topic in STAND)


@pytest.mark.parametrize("name", ["woods.gpx", "woods.kml"])
def test_points_of_deer_say_what_to_mind(folder, short, name):
    """Deer plots, the doe that was taken and the blind; and the whole file, whose words begin as those of the blind."""
    text = unescape((folder / "out" / name).read_text(encoding="utf-8"))
    for topics, count in ((SIGN, 12), (STAND, 2), (TAKEN, 1), (short, 1)):
        assert text.count(" ".join(short[topic] for topic in topics)) == count, topics


# --- the same numbers in every room

#: What of --json a room tells word for word: a way through hunt --json (deer), or through herd --json (forest).
TELLS_THE_SAME = {
    "hunt": ("words", "take.does_words", "take.bucks_words", "take.wish_words", "take.neighbors_words", "risk.words"),
    "herd": ("words", "forest.words", "forest.steps.0.words", "evidence.rows.0.words", "measure_next.0"),
    "plan": ("words", "take.does_words", "take.bucks_words", "risk.words"),
    "why take": ("take.does_words", "take.bucks_words", "take.neighbors_words"),
    "why deer": ("words",),
    "first page": ("words", "take.does_words", "take.bucks_words", "risk.words"),
    "deer page": (
        *("words", "take.does_words", "take.bucks_words", "take.wish_words", "take.neighbors_words", "risk.words"),
        *("forest.words", "forest.steps.0.words", "evidence.rows.0.words", "measure_next.0"),
    ),
}
#: Numbers that are told in many rooms, by the words around them.
SAME = {
    "fall": r"(\d+) deer a square mile in fall 2026 (\d+) to (\d+), (\d+)%",
    "halved": r"neighbors hunt, you do not, (\d+) in 100; you too, (\d+)",
    "meat": r"can give about ([\d,.]+) of the (\d+) pounds you want each year",
    "share": r"share is ((?:about )?(?:one|no|\d) (?:doe|buck)[^.;,]*)[.;,]",
}


@pytest.fixture(scope="module")
def held(folder):
    """What the deer are in --json: of the hunt, with the next forest and the counts of the herd."""
    hunt, herd = (json.loads(run(folder, f"{verb} P {DAY}", "--json")) for verb in ("hunt", "herd"))
    return hunt | {key: herd[key] for key in ("forest", "evidence")}


@pytest.fixture(scope="module")
def rooms(folder):
    """Name of a room -> all that it says, on one line without hard spaces."""
    said = {name: run(folder, RUNS.get(name, f"{name} P {DAY}")) for name in ("hunt", "herd", "plan")}
    said |= {f"why {topic}": run(folder, f"why {topic} P {DAY}") for topic in ("take", "deer")}
    pages = (folder / "out" / "report.html").read_text(encoding="utf-8").split("<section class='page'>")
    said["first page"] = pages[1]
    said["deer page"] = next(page for page in pages if "<h1>Deer</h1>" in page)
    said["map"] = (folder / "out" / "map.html").read_text(encoding="utf-8")
    return {name: plain(text) for name, text in said.items()}


def plain(text):
    """Words without marks, brackets, hard spaces, word joiners, line ends and curled apostrophes."""
    text = unescape(re.sub(r"<[^>]+>", " ", text)).replace("\u2060", "").replace("\u00a0", " ").replace("’", "'")
    return " ".join(re.sub(r"[()]", "", text).split())


def at(held, way):
    """The value of --json at a way through it."""
    for step in way.split("."):
        held = held[int(step)] if step.isdigit() else held[step]
    return held


@pytest.mark.parametrize("room", TELLS_THE_SAME)
def test_every_room_says_what_json_says(rooms, held, room):
    """Sentence by sentence, and none of them is empty."""
    for way in TELLS_THE_SAME[room]:
        words = plain(at(held, way))
        assert len(words) > 20, way
        for sentence in re.split(r"(?<=\.) ", words):
            assert sentence.rstrip(".") in rooms[room], way


@pytest.mark.parametrize("kind", SAME)
def test_a_number_is_the_same_in_every_room_that_tells_it(rooms, held, kind):
    """All that is found by its words is what --json says, in the hunt at least and in one more room."""
    found = {room: set(re.findall(SAME[kind], text)) for room, text in rooms.items()}
    told = re.findall(SAME[kind], plain(json.dumps(held, ensure_ascii=False)))
    assert found["hunt"] and {room for room, ones in found.items() if ones} - {"hunt"}
    for room, ones in found.items():
        assert ones <= set(told), room


def test_the_sentences_are_those_of_the_numbers(folder, held):
    """The number of the fall, the chances and the meat in words are those that --json holds as numbers."""
    herd, take, risk = json.loads(run(folder, f"herd P {DAY}", "--json")), held["take"], held["risk"]
    fall, ten = herd["fall_per_sqmi"], take["ten_years"]
    ((value, low, high, level),) = re.findall(SAME["fall"], plain(held["words"]))
    assert [int(x) for x in (value, low, high)] == [float(f"{fall[k]:.2g}") for k in ("value", "low", "high")]
    assert int(level) == round(100 * fall["level"])
    ((alone, too),) = re.findall(SAME["halved"], risk["words"])
    chances = [risk[way]["halved_10"] for way in ("no_hunting", "you_too")]
    assert [int(alone), int(too)] == [int(f"{100 * x:.0f}") for x in chances]
    (pounds,) = re.findall(r"In ten years about [^:]+: ([\d,.]+) pounds", take["wish_words"])
    ((a_year, wanted),) = re.findall(SAME["meat"], plain(take["wish_words"]))
    assert float(pounds.replace(",", "")) == float(f"{ten['meat_lb']['value']:.2g}")
    assert float(a_year) == float(f"{ten['meat_lb']['value'] / 10:.2g}") and int(wanted) == 60
    kept = json.loads((folder / "out" / "answers.json").read_text(encoding="utf-8"))["deer"]
    assert {key: kept[key] for key in ("words", "take", "risk")} == {
        key: held[key] for key in ("words", "take", "risk")
    }
    assert kept["forest"] == herd["forest"] and kept["fall_per_sqmi"] == fall


def test_does_and_bucks_at_most_are_the_same_in_every_room(folder, rooms, held):
    """In figures of the take on the hunt, the plan and page 1; none is "None this season" in all of them."""
    does, bucks = held["take"]["does"], held["take"]["bucks"]
    named = [f"{n} {one}{'s' * (n != 1)}" for n, one in ((does, "doe"), (bucks, "buck"))]
    for room in ("hunt", "plan", "first page"):
        told = re.findall(r"(\d+ (?:does?|bucks?))(?: and (\d+ bucks?))? at most", rooms[room])
        assert {one for pair in told for one in pair if one} <= set(named), room
        assert bool(told) == bool(does or bucks) and ("None this season" in rooms[room]) != bool(told), room
