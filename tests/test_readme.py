"""The README's commands are run, not believed."""

import re
import shlex
import shutil
from pathlib import Path

import geopandas as gpd
import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot.cli import VERBS, main

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```\n(.*?)```", README, flags=re.S)
LINES = [line for block in BLOCKS for line in block.splitlines() if line.strip()]


def test_the_two_commands_stand_alone_on_their_lines():
    """One fenced line installs and runs the job on a sample; one installs with the test extras and runs pytest."""
    first, second = (block.strip() for block in BLOCKS[:2])
    assert first == "python3 -m pip install . && woodlot plan sample_parcels/otter_lake"
    assert second == 'python3 -m pip install ".[test]" && python3 -m pytest'


@pytest.mark.slow
def test_every_woodlot_line_of_the_readme_runs(tmp_path, samples, monkeypatch):
    """In a folder with a copy of the samples and a family's two files, in the order of the page."""
    shutil.copytree(samples, tmp_path / "sample_parcels", ignore=shutil.ignore_patterns("out"))
    monkeypatch.chdir(tmp_path)
    outline = gpd.read_file(samples / "first_forty" / "parcels.geojson").geometry
    gpd.GeoDataFrame({"Name": ["Our forty"]}, geometry=outline).to_file("Our land.kml", driver="KML", layer="ours")
    trees = {"Plot": [1, 1, 2, 3], "BAF": 10, "Species": ["maple", "basswood", "oak", "maple"], "DBH": [12, 9, 14, 8]}
    pd.DataFrame(trees).to_excel("cruise.xlsx", index=False)
    ran = []
    for line in LINES:
        command = line.split("&&")[-1].strip()
        if not command.startswith("woodlot "):
            continue
        done = CliRunner().invoke(main, shlex.split(command)[1:])
        ran.append(command)
        assert done.exit_code == 0, f"{command}\n{done.output}"
    assert len(ran) >= 4
    assert "full cords" in done.output
    assert (tmp_path / "sample_parcels" / "otter_lake" / "out" / "map.html").is_file()


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_is_in_the_readme_or_is_how_you_start(verb):
    """A verb that the page does not name is one that nobody finds."""
    assert re.search(rf"\bwoodlot {verb}\b|`{verb}`", README), verb
