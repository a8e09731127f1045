"""The trial that holds the numbers of two environments to one another finds what differs."""

import json
import runpy
from pathlib import Path

import pytest

TRIAL = runpy.run_path(str(Path(__file__).parent / "trials" / "same_numbers.py"))


@pytest.fixture
def two(tmp_path):
    """A function that lays two answers of a verb into two folders and compares them: exit code."""

    def compare(one, other, file="otter_lake.scale.json"):
        for name, answer in (("one", one), ("two", other)):
            (tmp_path / name).mkdir(exist_ok=True)
            (tmp_path / name / file).write_text(json.dumps(answer), encoding="utf-8")
        return TRIAL["main"](tmp_path / "one", tmp_path / "two")

    return compare


def test_numbers_may_differ_by_a_millionth_and_words_by_nothing(two, capsys):
    """0.9 of a millionth passes, 1.1 does not; crumbs beside 0 pass; a word, a missing key and yes for 1 do not."""
    assert two({"a": [1000.0, 0]}, {"a": [1000.0009, 1e-10]}) == 0
    assert "2 values, 2 of them numbers, at most 9.0e-07 apart; 0 differ" in capsys.readouterr().out
    assert two({"a": [1000.0]}, {"a": [1000.0011]}) == 1
    assert "otter_lake.scale.json /a/0: 1000.0 | 1000.0011" in capsys.readouterr().out
    assert [two({"a": x}, {"a": y}) for x, y in (("b", "c"), (1, True), (None, 0), ("b", "b"))] == [1, 1, 1, 0]
    assert two({"a": 1}, {"a": 1, "b": None}) == 1 and two({"a": 1, "b": 2}, {"a": 1}) == 1


def test_another_plan_of_a_search_is_told_and_passes(two, capsys):
    """Of cut and fell only."""
    assert two({"a": 1}, {"a": 2}, "first_forty.cut.json") == 0
    assert "first_forty.cut.json /a: 1 | 2" in capsys.readouterr().out


def test_two_folders_of_other_files_are_not_compared(tmp_path):
    """Nor two empty ones."""
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
    with pytest.raises(SystemExit, match="none at all"):
        TRIAL["compared"](tmp_path / "one", tmp_path / "two")
    (tmp_path / "one" / "a.json").write_text("{}", encoding="utf-8")
    with pytest.raises(SystemExit, match=r"a\.json"):
        TRIAL["compared"](tmp_path / "one", tmp_path / "two")
