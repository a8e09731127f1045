"""Thin hand-ins, which are the usual ones: what `walk` accepts, every verb can use, and all of them say the same."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot.cli import VERBS, main

DAY = "2026-11-25"
pytestmark = pytest.mark.usefixtures("once")
WEST, SOUTH, LON, LAT = -89.40, 46.10, 0.0052, 0.0036  # about a quarter mile each way


def square(column=0.0, row=0.0, wide=1.0):
    """A square of about forty acres as rings of a GeoJSON polygon, quarter miles east and north of the corner."""
    x, y = WEST + column * LON, SOUTH + row * LAT
    return [[[x, y], [x + LON * wide, y], [x + LON * wide, y + LAT], [x, y + LAT], [x, y]]]


def drawn(*shapes, many=False):
    """A GeoJSON of (properties, rings); many: the rings of several polygons."""
    kind = "MultiPolygon" if many else "Polygon"
    made = [{"type": "Feature", "properties": p, "geometry": {"type": kind, "coordinates": r}} for p, r in shapes]
    return json.dumps({"type": "FeatureCollection", "features": made})


def kml(**shapes):
    """The same as a phone saves it: names and rings."""
    ring = (
        "<Polygon><outerBoundaryIs><LinearRing><coordinates>{}</coordinates></LinearRing></outerBoundaryIs></Polygon>"
    )
    marks = "".join(
        f"<Placemark><name>{name}</name>{ring.format(' '.join(f'{x},{y},0' for x, y in rings[0]))}</Placemark>"
        for name, rings in shapes.items()
    )
    head = '<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
    return f"{head}{marks}</Document></kml>"


def noted(*lines):
    """A ledger of lines: kind, amount, unit, and what stands behind them."""
    told = [f"{n},2026-11-04,,,{line}" for n, line in enumerate(lines, start=1)]
    return "\n".join(
        ["line,date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects,check", *told, ""]
    )


HOME = {"parcels.geojson": drawn(({"parcel_id": "home"}, square()))}
HALVES = {"stands.geojson": drawn(({"stand_id": "1"}, square(wide=0.5)), ({"stand_id": "2"}, square(0.5, wide=0.5)))}
PLOTS = {
    "plots.csv": "plot_id,stand_id,kind,baf_sqft_per_ac\na,1,prism,10\nb,1,prism,10\nc,1,prism,10\n",
    "trees.csv": "plot_id,species,dbh_in,count\na,sugar maple,14,9\nb,sugar maple,15,11\nb,ash,12,1\nc,beech,13,10\n",
}
PELLETS = {"pellets.csv": "plot_id,radius_ft,groups,days\n" + "".join(f"{n},4,{n % 2},180\n" for n in range(30))}
AWAY = {"stands.geojson": drawn(({"stand_id": "1", "cover": "oak"}, square(3)), ({"stand_id": "2"}, square(wide=0.5)))}
CROSSING = {
    "parcels.geojson": drawn(({"parcel_id": "a"}, square()), ({"parcel_id": "b"}, square(1))),
    "stands.geojson": drawn(({"stand_id": "1", "cover": None}, square(0.5))),
}
FAR = {
    "parcels.geojson": drawn(({"parcel_id": "a"}, square()), ({"parcel_id": "b"}, square(120, -90))),
    "stands.geojson": drawn(({"stand_id": "1"}, square()), ({"stand_id": "2", "cover": "oak"}, square(120, -90))),
}
PIECES = {
    "parcels.geojson": drawn(({"parcel_id": "home"}, [square(), square(3)]), many=True),
    "stands.geojson": drawn(({"stand_id": "1"}, [square(wide=0.5), square(3)]), many=True),
}
FILES = {
    "parcels alone": HOME,
    "stands without cover": HOME | HALVES,
    "three plots, no cover": HOME | HALVES | PLOTS,
    "a plot without a tree": HOME | HALVES | {"plots.csv": "plot_id,stand_id,radius_ft\n1,1,37\n"},
    "a cover of one's own": HOME | PLOTS | {"stands.geojson": drawn(({"stand_id": "1", "cover": "a mix"}, square()))},
    "a stand outside every parcel": HOME | AWAY | PLOTS,
    "all stands outside": HOME | PLOTS | {"stands.geojson": drawn(({"stand_id": "1"}, square(3)))},
    "a stand across a line": CROSSING | PLOTS,
    "two parcels far apart": FAR | PLOTS,
    "a parcel in two pieces": PIECES | PLOTS,
    "outlines of a phone": {"parcels.kml": kml(home=square()), "stands.kml": kml(North=square(wide=0.5))},
    "pellets alone": HOME | PELLETS,
    "pellets and stands": HOME | HALVES | PELLETS,
    "counts without a day": HOME | {"counts.csv": "method,hours,bucks,does\nsighting,5,1,2\ncamera,90,4,9\n"},
    "a void note": HOME | {"ledger.csv": noted("firewood,,2,cord,,,,,,", "void,,,,,,,,1,")},
    "one firewood note": HOME | {"ledger.csv": noted("firewood,,2.5,cord,,two loads,,,,")},
    "one deer": HOME | {"ledger.csv": noted("deer,doe,1,deer,,,,,,")},
    "logs by the rule": HOME | HALVES | PLOTS | {"ledger.csv": noted("sawlog,,300,bdft_doyle,,,,,,")},
}
#: place.toml choices, each with the rest of a small place.
SAID = {
    **{f"rule {rule}": f'[choices]\nlog_rule = "{rule}"\n' for rule in ("international_eighth", "doyle")},
    **{f"goal {goal}": f'[deer]\ngoal = "{goal}"\n' for goal in ("fewer", "let grow", "thin")},
    "home": "[home]\nlon = -89.398\nlat = 46.101\n",
    "needs": "[needs]\nfirewood_cord = 6\nposts = 4\nsawlogs_bdft = 100\nmeat_lb = 90\n",
}
#: What is typed before and after the folder; a verb that is not named here is run as it is, `start` makes places.
TYPED = {
    "why": (["cords"], []),
    "mend": ([], ["--within", "15", "--dry-run"]),
    "note": ([], ["--kind", "seen", "--text", "ice"]),
}
NEED = "[needs]\nfirewood_cord = 4\n"
#: What may stop a verb although the files are good: there is nothing of what it works on.
STOPS = {
    "fell": "No tree in tally.csv yet",
    "mend": "No two lines that may be one lie within 15 feet of each",
}


def made(folder: Path, files=HOME, told="", region="lake_states"):
    """A place of these files."""
    for name, text in ({"place.toml": f'name = "Thin"\nregion = "{region}"\n{told}'} | files).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def typed(verb, folder):
    """The ways in which a verb is typed: in words, and as JSON where it can."""
    known = {option for one in main.get_command(None, verb).params for option in one.opts}
    before, after = TYPED.get(verb, ([], []))
    if verb == "bundle":  # beside the place lie those of other tests
        after = ["--to", f"{folder}.zip"]
    words = [verb, *before, str(folder), *after, *(["--as-of", DAY] if "--as-of" in known else [])]
    return [words, [*words, "--json"]] if "--json" in known else [words]


def no_number(said):
    """JSON has no NaN."""
    raise AssertionError(f"{said} is no JSON")


def held(folder):
    """Every verb on one place: it answers, or stops in words for want of what it works on; JSON can be read."""
    out = {}
    last = ("note", "book")  # the ledger changes, and with it the place
    for verb in [*(one for one in VERBS if one not in ("start", "bring", *last)), *last]:
        for words in typed(verb, folder):
            done = CliRunner().invoke(main, words)
            assert done.exception is None or isinstance(done.exception, SystemExit), (words, repr(done.exception))
            if verb in STOPS and done.exit_code == 1:
                assert STOPS[verb] in done.stderr
                continue
            assert done.exit_code == 0, (words, done.output)
            if words[-1] == "--json":
                out[verb] = json.loads(done.stdout, parse_constant=no_number)
    lines = [one["words"] for one in out["walk"]["problems"]]
    assert [w for w in out["plan"]["warnings"] if w in lines] == lines
    assert set(out["walk"]["warnings"]) <= set(out["plan"]["warnings"])
    assert {s["stand_id"]: s["cover"] for s in out["walk"]["stands"]} == {
        s["stand_id"]: s["cover"] for s in out["plan"]["stands"]
    }


FAST = ("one firewood note", "a stand outside every parcel")


@pytest.mark.parametrize("name", [n if n in FAST else pytest.param(n, marks=pytest.mark.slow) for n in FILES])
def test_every_verb_uses_what_walk_accepts(name, tmp_path):
    """No traceback, no NaN, and what `walk` says of the files the plan says too."""
    held(made(tmp_path, FILES[name]))


@pytest.mark.slow
@pytest.mark.parametrize("name", SAID)
def test_every_verb_uses_what_place_toml_may_say(name, tmp_path):
    """Each word that place.toml takes is a word that every chapter knows."""
    held(made(tmp_path, HOME | HALVES | PLOTS | PELLETS, SAID[name]))


@pytest.mark.slow
@pytest.mark.parametrize(("lon", "lat"), [(-74.3, 44.2), (-71.4, 43.9)])
def test_every_verb_works_in_the_northeast(lon, lat, tmp_path):
    """Northern New York and New Hampshire, with the figures of that region."""
    east, north = (lon - WEST) / LON, (lat - SOUTH) / LAT
    files = {
        "parcels.geojson": drawn(({"parcel_id": "home"}, square(east, north))),
        "stands.geojson": drawn(({"stand_id": "1"}, square(east, north))),
    }
    held(made(tmp_path, files | PLOTS | PELLETS, region="northeast"))


@pytest.mark.slow
@pytest.mark.parametrize("maps", [["parcels"], ["parcels", "stands"]])
def test_every_verb_works_with_rasters_before_anybody_put_a_plot(maps, samples, tmp_path):
    """Outlines and the rasters of the sample, nothing measured."""
    woods = samples / "otter_lake"
    for name in [*(f"{one}.geojson" for one in maps), "canopy_height.tif", "elevation.tif", "land_cover.tif"]:
        shutil.copy(woods / name, tmp_path)
    held(made(tmp_path, {}))


def said(*words):
    """Standard output of one verb on one line."""
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exit_code == 0, done.output + str(done.exception)
    return " ".join(done.stdout.split())


def test_a_cut_in_a_stand_of_unknown_cover_says_by_which_rule(tmp_path):
    """Three plots, over the stocking to keep, no cover: its wood is counted as ever, the rule of its cut is named.

    With the cover written nothing of it is said. Screen and JSON say the same.
    """
    outline = square(wide=3)
    files = {"parcels.geojson": drawn(({"parcel_id": "home"}, outline)), **PLOTS}
    folder = made(tmp_path, files | {"stands.geojson": drawn(({"stand_id": "1"}, outline))}, NEED)
    rule = "Its cover is not known, so the rule for any other cover is used: write its cover first."
    cut = said("cut", folder, "--as-of", DAY)
    (job,) = json.loads(said("cut", folder, "--as-of", DAY, "--json"))["jobs"]
    assert job["words"] in cut and job["words"].endswith(rule) and cut.count(rule) == 1
    assert said("plan", folder, "--as-of", DAY).count(rule) == 1
    basal = said("cruise", folder, "--as-of", DAY).replace("cover not known", "?")
    made(folder, {"stands.geojson": drawn(({"stand_id": "1", "cover": "oak"}, outline))}, NEED)
    assert "Stand 1: " in said("cut", folder, "--as-of", DAY) and rule not in said("cut", folder, "--as-of", DAY)
    assert said("cruise", folder, "--as-of", DAY).replace("oak", "?") == basal


def test_deer_food_is_not_known_where_no_cover_is(tmp_path):
    """Not nought deer fed, and no silence: why, and with a cover a number."""
    folder = made(tmp_path, HOME | HALVES)
    assert "Food: Not known. No stand has a cover written, and there is no land cover raster." in said("herd", folder)
    made(folder, {"stands.geojson": drawn(({"stand_id": "1", "cover": "oak"}, square()))})
    assert "Food: for " in said("herd", folder)


def test_a_cut_in_a_stand_outside_every_parcel_says_where_it_lies(tmp_path):
    """The first screen of the plan names no parcel for it; no parcel has its cords, and the sum says so."""
    stand = drawn(({"stand_id": "1", "cover": "oak"}, square(3, wide=3)))
    folder = made(tmp_path, HOME | PLOTS | {"stands.geojson": stand}, NEED)
    told = said("plan", folder, "--as-of", DAY)
    assert "of stand 1, outside every parcel, " in told
    assert "lie outside every parcel and stand in no parcel's number." in told
    out = json.loads((folder / "out" / "answers.json").read_text(encoding="utf-8"))
    assert out["stands"][0]["parcel_id"] is None and out["parcels"][0]["cords"]["value"] is None
    assert out["totals"]["cords"]["value"] > 0 and out["totals"]["acres_no_parcel"] == out["stands"][0]["acres"]
