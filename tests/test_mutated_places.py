"""A small draw of places after rough handling, and every hand-in that once broke something, as small as it broke it."""

import importlib.util
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from woodlot.cli import VERBS

TRIALS = Path(__file__).parent / "trials"
KEPT = sorted(path for path in (Path(__file__).parent / "data" / "mutated").iterdir() if path.is_dir())


def _trial(name):
    """A trial, and what lies beside it, under the names by which they open each other."""
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, TRIALS / f"{name}.py")
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


*_, mutations, mutated = map(
    _trial,
    (
        "hand_ins",
        "hand_in_shapes",
        "hand_in_wishes",
        "hand_in_axes",
        "hand_in_matrix",
        "mutation_values",
        "mutation_shapes",
        "mutations",
        "mutated_places",
    ),
)


@pytest.mark.parametrize("level", mutations.LEVELS)
def test_places_of_a_level_are_read_or_refused_in_words(level, tmp_path):
    """No other error, nothing changed; the longer run is the trial's."""
    for seed in range(900_000, 900_006):
        wrong = mutated.reads(mutated.put(mutations.mutated(level, seed)[1], tmp_path / "place"))[1]
        assert wrong == [], f"--replay {level} {seed}"


@pytest.mark.slow
@pytest.mark.parametrize(("level", "seed"), [("row", 900_003), ("cell", 900_001), ("geometry", 900_001)])
def test_every_verb_on_a_place_after_rough_handling(level, seed, tmp_path):
    """A number or words, never a traceback, and the hand-ins as they were."""
    assert mutated.verbs(mutated.put(mutations.mutated(level, seed)[1], tmp_path / "place")) == []


@pytest.mark.parametrize("kept", KEPT, ids=lambda path: path.name)
def test_what_once_broke_is_answered_or_told(kept, tmp_path):
    """By reading, and by the verb that the folder is named for."""
    files = {path.name: path.read_bytes() for path in kept.iterdir()}
    verb = kept.name.partition(".")[0]
    folder = mutated.put(files, tmp_path / "place")
    assert mutated.reads(folder)[1] == []
    assert verb == "read" or verb in VERBS
    assert mutated.verbs(folder, (verb,)) == []


def test_the_same_seed_gives_the_same_bytes_and_each_level_changes_something():
    """So that a failure can be looked at again."""
    for level in mutations.LEVELS:
        assert mutations.mutated(level, 7) == mutations.mutated(level, 7)
        assert any(before != after for before, after in (mutations.mutated(level, seed) for seed in range(3)))


def test_every_verb_is_asked(tmp_path):
    """None is left out when one is added."""
    assert {asked[0] for asked in mutated.asked_of(tmp_path)} == set(VERBS)


def test_an_error_a_hang_and_a_changed_file_are_seen(tmp_path, monkeypatch):
    """Else a run in which nothing is wrong says nothing."""
    folder = mutated.put(mutations.mutated("row", 1)[0], tmp_path / "place")

    def broken(*_, **__):
        (folder / "plots.csv").write_text("gone")
        raise KeyError("x")

    def forever(*_, **__):
        while True:
            pass

    monkeypatch.setattr(mutated.place, "read", broken)
    assert {one.kind for one in mutated.reads(folder)[1]} == {"traceback", "changed"}
    monkeypatch.setattr(mutated, "MOST_S", 1)
    monkeypatch.setattr(mutated.place, "read", forever)
    assert [one.kind for one in mutated.reads(folder)[1]] == ["hang"]
    monkeypatch.setattr(CliRunner, "invoke", forever)
    assert [one.kind for one in mutated.verbs(folder, ("book",))] == ["hang"]


def test_a_failure_is_kept_as_small_as_it_fails():
    """One file, one row of it."""
    files = {"a.csv": b"x\n1\n2\nbad\n3\n", "b.csv": b"x\n1\n", "c.geojson": b'{"features": []}'}
    small = mutated.smallest(files, lambda some: b"bad" in some.get("a.csv", b""))
    assert small == {"a.csv": b"bad\n"}
