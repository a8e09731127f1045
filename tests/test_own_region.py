"""A region that lies beside the family's own files is found by every chapter."""

import json
import shutil

import pytest
from click.testing import CliRunner

from woodlot.cli import VERBS, main
from woodlot.region import shipped


@pytest.mark.slow
@pytest.mark.usefixtures("once")
def test_every_verb_finds_the_regions_folder_beside_the_files(samples, tmp_path):
    """The region holds one choice of its own (85 cubic feet in a cord); the rest comes from the one it is based on."""
    home = tmp_path / "woods"
    shutil.copytree(samples / "otter_lake", home, ignore=shutil.ignore_patterns("out"))
    (home / "hills").mkdir()
    (home / "hills" / "region.toml").write_text(
        'name = "hills"\nbased_on = "lake_states"\n[choices]\nsolid_cuft_per_cord = 85.0\n'
    )
    told = (home / "place.toml").read_text()
    told = told.replace('region = "lake_states"', 'region = "hills"').replace("solid_cuft_per_cord = 79\n", "")
    (home / "place.toml").write_text(told)
    for verb in VERBS.keys() - {"start", "bring", "mend", "note", "book", "why"}:  # no region, or more asked
        done = CliRunner().invoke(main, [verb, str(home), "--as-of", "2026-11-25"])
        assert done.exit_code == 0, f"{verb}: {done.output}"
    done = CliRunner().invoke(main, ["scale", str(home), "--json", "--as-of", "2026-11-25"])
    own = json.loads(done.stdout)
    usual = CliRunner().invoke(main, ["scale", str(samples / "otter_lake"), "--json", "--as-of", "2026-11-25"])
    assert own["solid_cuft_per_cord"] == 85.0
    ratio = own["totals"]["cords"]["value"] / json.loads(usual.stdout)["totals"]["cords"]["value"]
    assert abs(ratio - 79 / 85) < 1e-9


@pytest.mark.slow
def test_a_kind_of_tree_of_the_familys_own_goes_through_every_verb(samples, tmp_path):
    """One row in the list, one of its wood, one word: tallied by its nickname, it is scaled, cut and bucked."""
    home = shutil.copytree(samples / "otter_lake", tmp_path / "woods", ignore=shutil.ignore_patterns("out"))
    (home / "hills").mkdir()
    (home / "hills" / "region.toml").write_text('name = "hills"\nbased_on = "lake_states"\n')
    marks = {"source": "ours", "where": "our own woods", "seen": "chosen"}
    names = {"species": "ginkgo", "scientific_name": "ginkgo biloba"}
    wood = {"species": "ginkgo", "wood_sg": 0.42}
    word = {"word": "ague tree", "kind": "ginkgo", "form": "name"}
    told = {"species": names, "wood_properties_miles_2009": wood, "species_words": word}
    for table, more in told.items():
        rows = shipped("base").table(table)
        one = rows[rows["species"] == "sugar maple"] if "species" in rows else rows.head(1)
        one.assign(**more, **marks).to_csv(home / "hills" / f"{table}.csv", index=False)
    place_toml = (home / "place.toml").read_text()
    (home / "place.toml").write_text(place_toml.replace('region = "lake_states"', 'region = "hills"'))
    for name in ("trees.csv", "tally.csv"):
        (home / name).write_text((home / name).read_text().replace("sugar maple", "Ague tree", 25))
    for verb in VERBS.keys() - {"start", "bring", "mend", "note", "book", "why"}:
        done = CliRunner().invoke(main, [verb, str(home), "--as-of", "2026-11-25"])
        assert done.exit_code == 0, f"{verb}: {done.output}"
    answers = json.loads((home / "out" / "answers.json").read_text())
    (own,) = [s for s in answers["species"] if s["species"] == "ginkgo"]
    assert own["cords"]["value"] > 50
    assert {"key": "ours", "text": "ours, as the family's own region says.", "seen": "chosen"} in answers["sources"]
