"""``woodlot fell`` on the sample clearing: the screen, the sheet, what is short, a tally without trees."""

import json
import re
import shutil
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.region import shipped

SAMPLE = Path(__file__).parent.parent.parent / "sample_parcels" / "otter_lake"
PIECES = """
[[needs.pieces]]
product = "posts"
number = 300
length_ft = 8
top_in = 7
lasting = true
"""


@pytest.fixture
def lake(tmp_path):
    """A copy of the sample place without what was made of it."""
    home = tmp_path / "lake"
    shutil.copytree(SAMPLE, home, ignore=shutil.ignore_patterns("out"))
    return home


def run(*arguments):
    """A run of woodlot that must not stop."""
    told = CliRunner().invoke(main, [str(a) for a in arguments])
    assert told.exit_code == 0, told.output
    return told.output


def test_the_sample_clearing(lake):
    """What the trees become, the needs met, what is left, dead trees apart, no forbidden words, a sheet."""
    told = run("fell", lake, "--as-of", "2026-11-25")
    for words in (
        "all of them would become",
        "For the house, fell",
        "firewood from limbs",
        "cubic yards",
        "Before you",
    ):
        assert words in told
    assert max(len(line) for line in told.splitlines()) <= 80 and "\n\n\n" not in told and "Rot was" not in told
    assert "Not for hand felling without a professional" in told and "dead ash" in told
    assert not re.search(r"optimal|confidence|error|N/A|!| safe\b", told)
    sheet = (lake / "out" / "buck_sheet.html").read_text(encoding="utf-8")
    assert "http" not in sheet and "<svg" in sheet
    again = run("fell", lake, "--as-of", "2026-11-25")
    assert again == told


def test_json_holds_the_same_plan_and_the_sheet_carries_every_tree(lake):
    """Trees to fell in JSON are those on the sheet; dead trees are never among them; lines add up."""
    told = json.loads(run("fell", lake, "--json", "--csv", lake / "parts.csv"))
    sheet = (lake / "out" / "buck_sheet.html").read_text(encoding="utf-8")
    assert sheet.count("class='n'") == len(told["fell"]) > 5
    dead = {row["position"] for row in told["trees"] if not row["alive"]}
    assert dead and dead.isdisjoint(told["fell"])
    away = {row["position"]: row["tree"] for row in told["not_by_hand"]}
    assert dead < set(away) and {away[at] for at in set(away) - dead} == {"57"}  # an ash at risk
    for line in told["needs"]:
        assert line["short"] == pytest.approx(max(line["wanted"] - line["got"], 0.0), abs=1e-5)
    assert told["gap_pct"] <= 1.0
    rows = (lake / "parts.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 1 + len(told["trees"])


def test_rot_that_nobody_judged_is_said(lake):
    """Five trees without a share of rot: counted on the screen."""
    tally = pd.read_csv(lake / "tally.csv", dtype=str)
    tally.loc[:4, "cull_pct"] = None
    tally.to_csv(lake / "tally.csv", index=False)
    assert "Rot was not judged on 5 trees: gross there, no defect taken off." in " ".join(run("fell", lake).split())


def test_what_cannot_be_had_is_said(lake):
    """Three hundred stout posts of lasting wood are not there: the screen says how many and the nearest."""
    place = lake / "place.toml"
    place.write_text(place.read_text(encoding="utf-8") + PIECES, encoding="utf-8")
    told = " ".join(run("fell", lake).split())
    assert re.search(r"\d of 300 posts; these trees have \d+ of that size at most", told)


def test_all_puts_every_tree_on_the_sheet_but_leaves_dead_ones_to_others(lake):
    """Ground to be cleared: every tree is listed, dead trees only in the box that is not for hand felling."""
    told = json.loads(run("fell", lake, "--all", "--json"))
    assert len(told["fell"]) == len(told["trees"])
    sheet = (lake / "out" / "buck_sheet.html").read_text(encoding="utf-8")
    assert sheet.count("class='n'") == len(told["trees"]) - len(told["not_by_hand"])
    assert {line["purpose"] for line in told["needs"] if line["short"]} == {"garden fence"}
    assert all(not row["cuts"] for row in told["sheet"] if row["why"])


@pytest.mark.parametrize("more", [(), pytest.param(("--all",), marks=pytest.mark.slow)])
def test_posts_are_of_cedar_and_their_years_are_said(lake, more):
    """The clearing's cedars give the twelve posts, fir, basswood and maple none; screen and sheet say the years."""
    told = json.loads(run("fell", lake, "--json", *more))
    species = {row["position"]: row["species"] for row in told["trees"]}
    posts = [piece for piece in told["pieces" if more else "sheet"] if more and piece["kind"] == "post"]
    posts = posts or [cut | {"stem": row} for row in told["sheet"] for cut in row["cuts"] if cut["product"] == "post"]
    woods = {species[p["stem"]] if more else p["stem"]["species"] for p in posts}
    assert woods == {"northern white-cedar"} and len(posts) >= 12
    assert [row["species"] for row in told["posts"]] == ["northern white-cedar"]
    assert told["posts"][0]["posts"] == len(posts)
    said = " ".join(run("fell", lake, *more).split())
    assert "some far less: northern white-cedar 8 to 15 m. m: from memory." in said
    sheet = (lake / "out" / "buck_sheet.html").read_text(encoding="utf-8")
    assert "northern white-cedar 8 to 15 †. † from memory." in sheet


@pytest.mark.slow
def test_a_familys_own_prices_decide_what_stems_become(lake):
    """Prices in the family's own region: poles at 50 each beside logs at next to nothing."""

    def poles():
        told = json.loads(run("fell", lake, "--json"))
        return sum(piece["kind"] == "pole" for piece in told["pieces"])

    own = lake / "ours"
    own.mkdir()
    (own / "region.toml").write_text('name = "ours"\nbased_on = "lake_states"\n', encoding="utf-8")

    rows = shipped("lake_states").table("products").assign(price=0.001)
    rows.loc[rows["kind"] == "pole", "price"] = 50.0
    rows.to_csv(own / "products.csv", index=False)
    place = lake / "place.toml"
    dear = poles()
    place.write_text(place.read_text(encoding="utf-8").replace('"lake_states"', '"ours"'), encoding="utf-8")
    assert poles() > dear


def test_a_place_without_a_tally_says_what_to_do(small_place):
    """No tally.csv: one sentence, exit 1, no sheet."""
    (small_place.folder / "tally.csv").unlink()
    told = CliRunner().invoke(main, ["fell", str(small_place.folder)])
    assert told.exit_code == 1 and "no tree in tally.csv" in told.output.lower().replace("\n", " ")
    assert not (small_place.folder / "out").exists()


def test_a_stand_that_the_tally_does_not_name_is_answered_with_those_it_does(lake):
    """Stand 2 has no tree in the tally of 28 trees, all of them in stand 1: said with the count, exit 1, no sheet."""
    told = CliRunner().invoke(main, ["fell", str(lake), "--stand", "2"])
    said = " ".join(told.stderr.split())
    assert told.exit_code == 1 and not (lake / "out").exists()
    assert "tally.csv has no tree in stand 2; it has " in said and "in stand " in said.split("; it has ")[1]
    told = CliRunner().invoke(main, ["fell", str(lake), "--parcel", "kettle"])
    assert told.exit_code == 1 and "no tree in parcel kettle; it has " in " ".join(told.stderr.split())


@pytest.mark.browser
def test_the_sheet_prints_on_half_a_letter_page(lake, chromium):
    """Chromium prints it 5.5 x 8.5 in, a page for every ten trees or fewer."""
    run("fell", lake)
    trees = (lake / "out" / "buck_sheet.html").read_text("utf-8").count("<tr")
    page = chromium.new_page()
    page.goto((lake / "out" / "buck_sheet.html").as_uri())
    wide = page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    data = page.pdf(prefer_css_page_size=True)
    page.close()
    assert wide
    assert b"/MediaBox [0 0 396 612]" in data
    assert 1 <= len(re.findall(rb"/Type\s*/Page[^s]", data)) <= 1 + trees / 10
