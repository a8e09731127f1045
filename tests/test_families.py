"""Eight invented families, from their raw files to a plan by the commands that a new user types.

``tests/families/NAME/raw`` is what the family has, ``truth.toml`` what is true of it and what is typed. The truth is
made with the files, by other ways than woodlot's: acres by the ellipsoid, trees counted as they were drawn.
"""

import json
import shlex
import shutil
import subprocess
import sys
import tomllib
from hashlib import sha256
from pathlib import Path

import numpy as np
import pyproj
import pytest
from click.testing import CliRunner

from woodlot import place
from woodlot.cli import main

HOME = Path(__file__).parent / "families"
NAMES = sorted(path.parent.name for path in HOME.glob("*/truth.toml"))
#: The day on which all of it is asked; verbs that write in the family's folder know no other day than today.
DAY = ["--as-of", "2026-11-30"]
DATED = ("walk", "cruise", "herd", "hunt", "plan", "sheet", "fell")
SQUARE_M_PER_ACRE = 4046.8564224


def prints(folder: Path) -> dict[str, tuple[str, int]]:
    """What would tell that a file was touched."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {str(p.relative_to(folder)): (sha256(p.read_bytes()).hexdigest(), p.stat().st_mtime_ns) for p in files}


def acres(shapes) -> np.ndarray:
    """Acres by the ellipsoid."""
    earth = pyproj.Geod(ellps="WGS84")
    return np.array([abs(earth.geometry_area_perimeter(shape)[0]) / SQUARE_M_PER_ACRE for shape in shapes])


class Family:
    """A family at its table: raw files in a folder, commands typed one after the other."""

    def __init__(self, name: str, table: Path):
        """Lay out the raw files as they lie in the family's computer."""
        self.truth = tomllib.loads((HOME / name / "truth.toml").read_text(encoding="utf-8"))
        self.raw = table / self.truth["folder"]
        shutil.copytree(HOME / name / "raw", self.raw)
        self.before = prints(self.raw)
        self.screens: dict[str, str] = {}
        self.walked: dict = {}

    def type(self, line: str) -> None:
        """One command; the screen is kept under its verb. Behind a # stands what it must say, and whether it stops."""
        verb, *more = shlex.split(line, comments=True)[1:]
        says = line.partition("  # ")[2]
        told = CliRunner().invoke(main, [verb, *more, *(DAY if verb in DATED else [])])
        screen = " ".join((told.stdout + told.stderr).split())
        assert told.exception is None or isinstance(told.exception, SystemExit), (line, repr(told.exception))
        assert told.exit_code == says.startswith("stops: "), (line, screen)
        assert says.removeprefix("stops: ") in screen, (line, screen)
        self.screens[verb] = screen
        if verb == "walk":
            self.home = Path(more[0])
            self.walked = self.walked or json.loads(CliRunner().invoke(main, ["walk", more[0], "--json", *DAY]).stdout)


@pytest.fixture
def family(request, tmp_path, monkeypatch) -> Family:
    """One family, all of its commands typed."""
    monkeypatch.chdir(tmp_path)
    played = Family(request.param, Path())
    for line in played.truth["commands"].replace("\\\n", "").splitlines():
        played.type(line)
    return played


def check_raw_files(family: Family) -> None:
    """No byte and no time of a raw file changed, and none is gone."""
    after = prints(family.raw)
    assert {name: after.get(name) for name in family.before} == family.before


def check_ground(family: Family) -> None:
    """Acres of each parcel, as brought, to a thousandth; acres by the deed, legal words, the region."""
    truth, parcels = family.truth, family.walked["parcels"]
    np.testing.assert_allclose(sorted(one["acres"] for one in parcels), truth["parcel_acres"], rtol=1e-3)
    assert family.walked["region"] == truth["region"]
    if "deed_acres" in truth:
        np.testing.assert_allclose([one["deed_acres"] for one in parcels], truth["deed_acres"], rtol=1e-6)
        assert all(legal in (one["legal"] or "") for legal, one in zip(truth["legal"], parcels, strict=True))


def check_covers(family: Family, read: place.Place) -> None:
    """Acres of each cover, as it was understood, to two thousandths of what was drawn."""
    stands = read.stands.assign(drawn=acres(read.stands.geometry)).groupby("cover")["drawn"].sum()
    assert stands.to_dict() == pytest.approx(family.truth["cover_acres"], rel=2e-3)


def check_home_ground(family: Family, read: place.Place) -> None:
    """Acres of the house lot, off the woods."""
    home = read.features[read.features["kind"] == "home_ground"]
    assert acres(home.geometry).sum() == pytest.approx(family.truth["home_ground_acres"], rel=2e-3)


def check_trees(family: Family, read: place.Place) -> None:
    """Trees, those without a height, their kinds, and that units were turned: the mean diameter and height."""
    truth = family.truth
    trees = read.tally if "tally" in truth else read.trees
    assert len(trees) == truth.get("tally", truth["trees"])
    assert trees["species"].value_counts().to_dict() == truth.get("species", {})
    if len(trees):
        assert trees["dbh_in"].mean() == pytest.approx(truth["mean_dbh_in"], rel=1e-6)
    if "merch_ft" in truth:
        assert trees["merch_ft"].sum() == pytest.approx(truth["merch_ft"], rel=1e-6)
    if "heights" in truth:
        assert trees["height_ft"].count() == truth["heights"]
        assert trees["height_ft"].mean() == pytest.approx(truth["mean_height_ft"], rel=1e-6)
    assert len(read.plots) == truth["plots"]
    assert len(set(read.plots["plot_id"]) - set(read.trees["plot_id"])) == truth.get("empty_plots", 0)
    for column in ("radius_ft", "baf_sqft_per_ac"):
        if column in truth:
            np.testing.assert_allclose(read.plots[column], truth[column], rtol=1e-5)


def check_deer_sign(family: Family, read: place.Place) -> None:
    """Pellet plots and groups, stems and those browsed; the herd has a number."""
    truth = family.truth
    assert (len(read.pellets), read.pellets["groups"].sum()) == (truth["pellet_plots"], truth["pellet_groups"])
    assert (read.browse["stems"].sum(), read.browse["browsed"].sum()) == (truth["stems"], truth["browsed"])


def check_ledger(family: Family, read: place.Place) -> None:
    """Notes that went in, and the cords of firewood among them."""
    lines, truth = read.ledger, family.truth
    assert len(lines) == truth["notes"]
    full = lines[(lines["kind"] == "firewood") & (lines["unit"].fillna("cord") == "cord")]
    assert full["amount"].sum() == pytest.approx(truth["firewood_cords"])
    assert (lines["kind"] == "deer").sum() == truth.get("deer_taken", 0)


def check_answer(family: Family) -> None:
    """A number with its range where trees were measured on plots; where none were, the words "No number yet"."""
    answers = json.loads((family.home / "out" / "answers.json").read_text(encoding="utf-8"))
    cords = answers["totals"]["cords"]
    said = next(row["number"] for row in answers["rows"] if row["title"] == "What stands")
    assert f"What stands: {said}" in family.screens["plan"]
    if family.truth["headline"] == "range":
        assert 0 < cords["low"] < cords["value"] < cords["high"] and said.endswith(" full cords")
    else:
        assert cords["value"] is None and said == "No number yet"
    assert (family.home / "out" / "map.html").is_file() and (family.home / "out" / "report.html").is_file()


@pytest.mark.slow
@pytest.mark.parametrize("family", NAMES, indirect=True)
def test_from_raw_files_to_a_plan(family):
    """What is true of the family is what was understood, and no raw file was touched."""
    read = place.read(family.home)
    check_raw_files(family)
    check_ground(family)
    check_trees(family, read)
    told = {check_covers: "cover_acres", check_home_ground: "home_ground_acres"}
    for check, key in (told | {check_deer_sign: "pellet_plots", check_ledger: "notes"}).items():
        if key in family.truth:
            check(family, read)
    check_answer(family)


def test_the_families_are_eight_small_and_unlike():
    """Under 200 kB each and a megabyte in all; no two have the same kinds of files."""
    sizes = {name: sum(file.stat().st_size for file in (HOME / name / "raw").iterdir()) for name in NAMES}
    assert len(NAMES) == 8 and max(sizes.values()) < 200_000 and sum(sizes.values()) < 1_000_000
    kinds = {name: tuple(sorted(file.suffix.lower() for file in (HOME / name / "raw").iterdir())) for name in NAMES}
    assert len(set(kinds.values())) == len(NAMES), kinds


def test_the_script_writes_the_same_files_again(tmp_path):
    """Truth and files come out the same, byte for byte; a GeoPackage and a photo may be packed otherwise elsewhere."""
    subprocess.run([sys.executable, str(HOME / "make_families.py"), str(tmp_path)], check=True, timeout=60)
    made = {path.relative_to(tmp_path) for path in tmp_path.rglob("*") if path.is_file()}
    kept = {path.relative_to(HOME) for name in NAMES for path in (HOME / name).rglob("*") if path.is_file()}
    assert made == kept
    for file in (file for file in kept if file.suffix not in (".gpkg", ".JPG")):
        assert (tmp_path / file).read_bytes() == (HOME / file).read_bytes(), file
