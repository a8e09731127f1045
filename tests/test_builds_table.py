"""builds.csv and [[builds]]: own lists act and are checked whole; a build nobody knows is offered the nearest."""

import datetime as dt
import json
import shutil
from html import escape

import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.place import read

DAY = dt.date(2026, 11, 25)
HEAD = "build,piece,number,product,length_ft,top_in,butt_in,sawn_in,in_ground,straight,wood\n"


@pytest.fixture
def forty(samples, tmp_path):
    """A function: the small sample with more in place.toml and rows of builds.csv."""
    home = tmp_path / "forty"
    shutil.copytree(samples / "first_forty", home, ignore=shutil.ignore_patterns("out"))
    plain = (home / "place.toml").read_text(encoding="utf-8")

    def made(toml="", rows=""):
        (home / "place.toml").write_text(f"{plain}\n{toml}", encoding="utf-8")
        if rows:
            (home / "builds.csv").write_text(HEAD + rows, encoding="utf-8")
        return home

    return made


def faults_of(home):
    """(file, row, column, remedy) of each fault."""
    with pytest.raises(PlaceError) as stopped:
        read(home, as_of=DAY)
    return [(one.file, one.row, one.column, one.remedy) for one in stopped.value.faults]


def test_an_own_build_is_read_with_its_pieces(forty):
    """Its words in any letters and blanks; what stands in earth is of lasting wood; a ready list stays beside it."""
    home = forty(
        '[[builds]]\nname = "Wood Shed"\nnumber = 2\n[[builds]]\nname = "gate"',
        "wood shed,corner post,4,post,10,6,,,yes,,\n"
        "Wood  shed,plate,2,pole,12,,,,no,beam,\n"
        "wood shed,sill,2,sawlog,10,,,6x6,,,\n",
    )
    shed, gate = read(home, as_of=DAY).to_build
    assert [(p["piece"], p["number"], p["in_ground"]) for p in shed["pieces"]] == [
        ("corner post", 4.0, True),
        ("plate", 2.0, False),
        ("sill", 2.0, False),
    ]
    assert shed["number"] == 2.0 and [p["piece"] for p in gate["pieces"]] == ["gate post", "brace rail"]


def test_every_bad_row_and_name_is_told_in_one_pass(forty):
    """Rows of builds.csv and entries of place.toml together, each with what would be right."""
    home = forty(
        '[[builds]]\nname = "trelis"\n[[builds]]\nname = "shed"\n[[wants]]\nproduct = "post"\nnumber = -2',
        "shed,a,0,post,8,,,,,,\n"
        "x,a,1,firewood,8,,,,,,\n"
        "x,b,1,pole,8,4,,8x8,,,\n"
        "x,c,1,sawlog,8,,,8 by 8,,bent,\n"
        "x,c,-1,post,8,6,4,,maybe,,ceder\n",
    )
    told = faults_of(home)
    place = [(column, remedy) for file, _, column, remedy in told if file == "place.toml"]
    assert [column for column, _ in place] == [
        "wants, number 1, number",
        "builds, number 1, name",
        "builds, number 2, name",
    ]
    assert "Did you mean trellis?" in place[1][1] and "It has no piece." in place[2][1]
    rows = {(row, column) for file, row, column, _ in told if file == "builds.csv"}
    assert rows >= {(3, "product"), (4, "top_in"), (4, "product"), (5, "sawn_in"), (5, "straight")}
    assert rows >= {(6, "number"), (6, "in_ground"), (6, "butt_in"), (6, "wood")}
    assert {row for row, _ in rows} == {3, 4, 5, 6}


def test_own_ready_lists_of_a_region_act_and_are_checked(forty):
    """Rows of build_pieces.csv of their own region: another number acts, a word nobody reads is refused."""
    home = forty('[[builds]]\nname = "fence"')
    (home / "place.toml").write_text(
        (home / "place.toml").read_text(encoding="utf-8").replace('"lake_states"', '"ours"'), encoding="utf-8"
    )
    (home / "ours").mkdir()
    (home / "ours" / "region.toml").write_text('name = "ours"\nbased_on = "lake_states"\n', encoding="utf-8")
    from woodlot.region import home as regions

    whole = (regions() / "base" / "build_pieces.csv").read_text(encoding="utf-8").splitlines()
    row = next(line for line in whole if line.startswith("fence,line post,"))
    own = home / "ours" / "build_pieces.csv"
    own.write_text("\n".join([whole[0], row.replace(",9,post,", ",12,post,")]) + "\n", encoding="utf-8")
    assert [piece["number"] for piece in read(home, as_of=DAY).to_build[0]["pieces"]] == [12]
    own.write_text("\n".join([whole[0], row.replace(",9,post,", ",9,stick,")]) + "\n", encoding="utf-8")
    assert [(file, row, column) for file, row, column, _ in faults_of(home)] == [
        ("ours/build_pieces.csv", 2, "product")
    ]


def json_of(home, *words):
    """What a verb answers."""
    done = CliRunner().invoke(main, [*words, str(home), "--as-of", str(DAY), "--json"])
    assert done.exit_code == 0, done.output
    return json.loads(done.output)


TALLY = "tree,species,dbh_in,height_ft\n1,northern white-cedar,11,45\n2,sugar maple,10,60\n3,balsam fir,8,45\n"
LISTS = (
    '[needs]\nfirewood_cord = 2\nfirewood_of = "red oak"\n'
    '[[wants]]\nproduct = "post"\nnumber = 200\npurpose = "goats"\nby = 2026-06-01\n'
    '[[builds]]\nname = "trellis"\nasked = 2026-01-01\n'
)


def test_fell_cut_and_plan_show_the_same_list(forty):
    """With what a note draws down; the posts are late by their day; fell asks for what is left."""
    home = forty(LISTS)
    (home / "tally.csv").write_text(TALLY, encoding="utf-8")
    note = ["note", str(home), "--kind", "post", "--amount", "3", "--date", "2026-09-01", "--text", "for the trellis"]
    assert CliRunner().invoke(main, note).exit_code == 0
    fell, cut, plan = (json_of(home, verb) for verb in ("fell", "cut", "plan"))
    assert fell["wants"] == cut["wants"] == plan["wants"]
    assert [(one["asked"], one["made"], one["left"], one["late"]) for one in plan["wants"]] == [
        (2.0, 0.0, 2.0, False),
        (200.0, 0.0, 200.0, True),
        (2.0, 2.0, 0.0, False),
        (2.0, 1.0, 1.0, False),
        (2.0, 0.0, 2.0, False),
    ]
    assert [(need["wanted"], need["purpose"]) for need in fell["needs"]] == [
        (2.0, ""),
        (200.0, "goats"),
        (1.0, "trellis: line post"),
        (2.0, "trellis: brace"),
    ]
    (row,) = [row for row in plan["rows"] if row["topic"] == "wants"]
    assert row["number"].startswith("201 posts, 2 poles and 2.0 cords of firewood")
    assert "200 posts for goats, by 1 Jun 2026, and its day has gone by." in row["why"]
    assert "2,000 posts" not in json.dumps(plan)
    report = (home / "out" / "report.html").read_text(encoding="utf-8")
    assert all(escape(one["words"]) in report for one in plan["wants"][:2])
    screens = [CliRunner().invoke(main, [verb, str(home), "--as-of", str(DAY)]).output for verb in ("fell", "cut")]
    assert all("What the house wants" in screen and "late" in screen for screen in screens)


def test_wants_are_listed_where_nothing_is_measured(forty):
    """An outline alone: the list stands, nothing is drawn on it, the plan says there is no number yet."""
    home = forty(LISTS)
    for name in ("plots.csv", "trees.csv"):
        (home / name).unlink(missing_ok=True)
    plan = json_of(home, "plan")
    assert [one["left"] for one in plan["wants"]] == [2.0, 200.0, 2.0, 2.0, 2.0]
    assert [row["topic"] for row in plan["rows"]].count("wants") == 1


def test_why_builds_lists_the_pieces_with_their_marks_and_no_span(forty):
    """What is asked for first; every ready list; own rows say so; nothing is called strong enough."""
    home = forty('[[builds]]\nname = "gate"', "gate,post,2,post,9,7,,,yes,,\n")
    told = json_of(home, "why", "builds")
    assert told["sentences"][0] == "2 posts for gate: post, once."
    rows = told["tables"]["Pieces of one"]
    assert {row["build"] for row in rows} >= {"trellis", "arbor", "fence", "steps", "greenhouse frame", "chicken coop"}
    assert [row["seen"] for row in rows if row["build"] == "gate"] == ["your own"]
    assert all(row["seen"] for row in rows) and "size for a load by a table or a builder" in told["sentences"][-1]
