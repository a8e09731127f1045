"""``woodlot what-if``: the plan beside its what-ifs on the screen, in --json and in --csv, and thin hand-ins."""

import json
import shutil
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.cli import main
from woodlot.trade import WHAT_IFS

pytestmark = pytest.mark.usefixtures("once")
SAMPLES = Path(__file__).parent.parent.parent / "sample_parcels"
OTTER = str(SAMPLES / "otter_lake")


def typed(*args):
    """A run of the verb on the sample's day."""
    return CliRunner().invoke(main, ["what-if", *args, "--as-of", "2026-11-25"])


def run(*args):
    """The same; anything but exit code 0 fails with its output."""
    told = typed(*args)
    assert told.exit_code == 0, told.output
    return told.stdout


@pytest.fixture(scope="module")
def forty(tmp_path_factory):
    """The small sample, whose family burns 6 cords a year and counted saplings on no plot."""
    home = shutil.copytree(SAMPLES / "first_forty", tmp_path_factory.mktemp("forty") / "forty")
    text = (home / "place.toml").read_text(encoding="utf-8")
    head = "[needs]\n" if "[needs]" in text else ""
    text = text.replace("[needs]", "[needs]\nfirewood_cord = 6") if head else f"{text}\n[needs]\nfirewood_cord = 6\n"
    (home / "place.toml").write_text(text, encoding="utf-8")
    return str(home)


def test_screen_json_and_csv_agree(forty, tmp_path):
    """All scenarios, the plan first; each sentence of the JSON on the screen; CSV rows; the same bytes again."""
    file = tmp_path / "what_ifs.csv"
    screen, text = run(forty), run(forty, "--json", "--csv", str(file))
    told = json.loads(text)
    flat = " ".join(screen.split())
    assert [row["scenario"] for row in told["scenarios"]] == ["plan", *WHAT_IFS]
    for row in told["scenarios"][1:]:
        assert " ".join(f"{row['words']} Not known: {row['unknown']}".split()) in flat
        assert row["stock_cords"]["low"] <= row["stock_cords"]["value"] <= row["stock_cords"]["high"]
    assert told["headline"] in flat and all(note in flat.replace("m From", "† From") for note in told["notes"])
    assert all(" ".join(caution.split()) in flat for caution in told["cautions"])
    rows = pd.read_csv(file)
    assert rows["scenario"].tolist() == ["plan", *WHAT_IFS]
    assert rows["stock_cords"].tolist() == [row["stock_cords"]["value"] for row in told["scenarios"]]
    assert rows["stock_cords"][1] != round(rows["stock_cords"][1], 2)
    assert run(forty, "--json") == text and max(map(len, screen.splitlines())) <= 80


def test_only_what_is_named_is_shown_in_its_order(forty, monkeypatch):
    """Names in any order and spelling; without PLACE in the folder itself; no caution where no tree falls by itself."""
    told = json.loads(run(forty, "dry decade", "less-firewood", "--json"))
    assert [row["scenario"] for row in told["scenarios"]] == ["plan", "less-firewood", "dry-decade"]
    assert told["cautions"] == []
    assert told["scenarios"][1]["more_cords"] >= 0.0
    monkeypatch.chdir(forty)
    here = json.loads(run("fence", "windstorm", "--json"))
    assert [row["scenario"] for row in here["scenarios"]] == ["plan", "deer-fenced", "windstorm"]
    assert len(here["cautions"]) == 3 and "hung tree" in here["cautions"][-1]


@pytest.mark.parametrize("place", ["first_forty", None])
def test_a_name_that_is_none_is_refused_with_the_list(forty, place):
    """Exit code 2 as for every word of a closed list, all names told, the nearest one asked for, no traceback."""
    told = typed(str(SAMPLES / place) if place else forty, "windstrom")
    assert told.exit_code == 2 and told.stdout == ""
    said = " ".join(told.stderr.split())
    assert all(name in said for name in WHAT_IFS) and "Did you mean windstorm?" in said and "Traceback" not in said


def test_without_a_need_two_scenarios_are_not_shown_and_told_why():
    """The small sample asks for no firewood: a row less for each, and one sentence."""
    told = json.loads(run(str(SAMPLES / "first_forty"), "--json"))
    shown = [row["scenario"] for row in told["scenarios"]]
    assert shown == ["plan", *(name for name in WHAT_IFS if "firewood" not in name)]
    assert "Not shown: less firewood and more firewood." in " ".join(told["notes"])
    assert told["scenarios"][0]["cut_cords"]["value"] == 0.0
    storm = told["scenarios"][-1]
    assert storm["changes"] and "do that before any other cut" in storm["words"] and "The house" not in storm["words"]


def test_outlines_alone_are_not_measured_enough(tmp_path):
    """A map of parcels: no scenario, no number, the one thing to do; a JSON without rows; exit code 0."""
    for name in ("parcels.geojson", "place.toml"):
        shutil.copy(SAMPLES / "first_forty" / name, tmp_path)
    screen = run(str(tmp_path))
    assert "You have not measured enough to say. Three plots in a stand" in " ".join(screen.split())
    assert "0" not in screen.split("\n", 1)[1] and "Not known" not in screen
    assert json.loads(run(str(tmp_path), "--json"))["scenarios"] == []


@pytest.mark.slow
def test_the_sample_says_what_it_cannot_know():
    """Ash that dies already, stands without plots, a tally on top, and years beyond any forecast."""
    flat = " ".join(run(OTTER, "ash-gone", "deer-fenced").split())
    parts = ("where ash dies already, which the plan counts on", "have no plots and are in none")
    for part in (*parts, "tally that fall this winter", "not a forecast"):
        assert part in flat, part
    assert "In the woods nothing moves" in flat and "felled without danger" in flat
