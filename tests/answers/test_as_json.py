"""Answers are written as JSON and read back; a change of their fields is a new schema, and an old file still reads."""

import copy
import json
from dataclasses import dataclass, field, fields, is_dataclass
from pathlib import Path
from typing import get_args

import pytest

from woodlot.answers.as_json import LEFT_OUT, as_json, bare, field_lines, field_types, from_json
from woodlot.answers.types import SCHEMA, Answers
from woodlot.deer.answer import Deer
from woodlot.errors import InputError
from woodlot.estimate import Estimate, Number
from woodlot.say.reasons import plain

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def kept():
    """Answers of schema 1 as a plan wrote them, its lists cut short."""
    return json.loads((HERE / "schema_1.json").read_text(encoding="utf-8"))


def test_a_kept_file_is_read_back_whole(kept):
    """Every field of every kind of answer comes back, typed; written again it is the same file."""
    answers = from_json(Answers, kept)
    assert answers.schema == 1
    assert isinstance(answers.deer, Deer) and isinstance(answers.totals.cords, Number)
    assert answers.stands[0].how == "borrowed" and answers.stands[0].borrowed_cords_per_ac is not None
    assert answers.stands[1].cut.this_winter and answers.stands[1].borrowed_cords_per_ac is None
    assert answers.deer.food is not None and answers.deer.food.cuts is not None
    again = json.dumps(as_json(answers), ensure_ascii=False, indent=1) + "\n"
    assert again == (HERE / "schema_1.json").read_text(encoding="utf-8")


@pytest.mark.parametrize("schema", range(1, SCHEMA + 1))
def test_a_file_of_every_schema_is_read(schema):
    """What a plan wrote before fields were added is read, and written again as it was."""
    text = (HERE / f"schema_{schema}.json").read_text(encoding="utf-8")
    answers = from_json(Answers, json.loads(text))
    assert answers.schema == schema and (answers.first_plots is not None) == (schema >= 2)
    since_3 = (answers.wished, answers.sugarbushes, answers.this_winter, answers.wants)
    assert [part is not None for part in since_3] == [schema >= 3] * 4
    assert json.dumps(as_json(answers), ensure_ascii=False, indent=1) + "\n" == text


def kinds(hint, met):
    """Every kind of answer within a type, by its name."""
    if not is_dataclass(bare(hint)):
        for part in get_args(hint):
            kinds(part, met)
    elif bare(hint).__name__ not in met:
        met[bare(hint).__name__] = bare(hint)
        for part in field_types(hint).values():
            kinds(part, met)
    return met


@pytest.mark.parametrize("schema", range(1, SCHEMA))
def test_what_came_after_a_schema_may_be_missing(schema):
    """Of kinds that its files hold no field is gone or of another type, and those added since need not be there."""
    here, now = kinds(Answers, {}), set(field_lines(Answers))
    then = (HERE / f"schema_{schema}_fields.txt").read_text(encoding="utf-8").splitlines()
    assert [line for line in then if line not in now] == [f"Answers.schema: Literal[{', '.join('123'[:schema])}]"]
    known = {}
    for line in then:
        kind, _, name = line.partition(":")[0].partition(".")
        known.setdefault(kind, set()).add(name)
    new = [(kind, one) for kind, names in known.items() for one in fields(here[kind]) if one.name not in names]
    assert len(new) > 10 and [(kind, one.name) for kind, one in new if one.metadata != LEFT_OUT] == []


def test_a_change_of_fields_raises_the_schema():
    """Names, types and order of all fields are those kept beside the number: a change needs a new number and file."""
    file = HERE / f"schema_{SCHEMA}_fields.txt"
    assert file.is_file(), f"keep the fields and a small file of schema {SCHEMA}"
    assert field_lines(Answers) == file.read_text(encoding="utf-8").splitlines(), "raise SCHEMA in answers/types.py"


def test_the_fields_of_all_that_is_held_are_told():
    """What an answer holds in a tuple, a mapping or an option is walked too, each kind once, with its type."""
    lines = field_lines(Answers)
    assert lines[0] == "Answers.schema: Literal[1, 2, 3]"
    for line in (
        "Answers.stands: tuple[Stand, ...]",
        "Stand.age_yr: float | None",
        "Food.stands: Mapping[str, Number]",
        "LongRun.flat_pct: tuple[float, float]",
        "Number.kind: Literal['interval', 'assumptions', 'none']",
    ):
        assert lines.count(line) == 1, line


def test_no_file_of_an_older_schema_is_lost():
    """Each schema so far has its file and its fields."""
    for number in range(1, SCHEMA + 1):
        assert (HERE / f"schema_{number}.json").is_file() and (HERE / f"schema_{number}_fields.txt").is_file()


@pytest.mark.parametrize(
    ("way", "value", "said"),
    [
        (("schema",), 4, "Answers.schema: 4, must be one of 1, 2, 3"),
        (("stands", 0, "acres"), "ten", r"Answers.stands\[0\].acres: 'ten' is no float"),
        (("stands", 0, "plots"), 1.5, r"Answers.stands\[0\].plots: 1.5 is no int"),
        (("stands", 0, "plots"), True, r"Answers.stands\[0\].plots: True is no int"),
        (("stands", 0, "operable"), 1, r"Answers.stands\[0\].operable: 1 is no bool"),
        (("stands", 0, "acers"), 1.0, r"Answers.stands\[0\]: no field acers"),
        (("stands", 0), 7, r"Answers.stands\[0\]: 7 is not a mapping"),
        (("stands",), {}, "Answers.stands: {} is not a list"),
        (("totals", "cords", "kind"), "sure", "Answers.totals.cords.kind: 'sure', must be one of interval"),
        (("charts", "meat", "flat_pct"), [1.0], "Answers.charts.meat.flat_pct: 1 values, must be 2"),
        (("deer", "food", "stands"), [], r"Answers.deer.food.stands: \[\] is not a mapping"),
        (("deer", "food", "stands", "9"), 3, r"Answers.deer.food.stands\[9\]: 3 is not a mapping"),
        (("totals",), None, "Answers.totals: None is not a mapping"),
    ],
)
def test_what_is_no_answer_is_refused_with_the_way_to_it(kept, way, value, said):
    """A wrong kind of value, an unknown field, another schema."""
    bad = copy.deepcopy(kept)
    *path, last = way
    at = bad
    for step in path:
        at = at[step]
    at[last] = value
    with pytest.raises(InputError, match=said):
        from_json(Answers, bad)


def test_a_field_that_is_missing_is_named(kept):
    """All missing fields of one value at once; one that may be left out is not asked for."""
    bad = copy.deepcopy(kept)
    for name in ("name", "rows"):
        del bad[name]
    with pytest.raises(InputError, match="Answers: name, rows is missing"):
        from_json(Answers, bad)
    less = copy.deepcopy(kept)
    del less["charts"]["stock"]
    assert from_json(Answers, less).charts.stock is None


@dataclass(frozen=True)
class Tree:
    """A thing with a field that is always written and one that is left out where it holds nothing."""

    dbh_in: float | None
    crook: str | None = field(default=None, metadata=LEFT_OUT)


def test_only_a_field_that_is_marked_is_left_out():
    """Missing is null; what is marked is not written; tuples are lists, keys are words."""
    assert as_json(Tree(None)) == {"dbh_in": None}
    assert as_json(Tree(8.0, "low")) == {"dbh_in": 8.0, "crook": "low"}
    assert as_json({1: (Tree(2.0),)}) == {"1": [{"dbh_in": 2.0}]}


def test_an_estimate_is_told_without_what_it_was_reckoned_from():
    """Value, ends, unit, kind, level, n and why; nothing measured is a number that holds nothing."""
    e = Estimate(22.0, "cords", 17.0, 28.0, kind="interval", se=3.0, df=4.0, n=5, why="few plots")
    assert list(as_json(plain(e)).items()) == [
        ("value", 22.0),
        ("low", 17.0),
        ("high", 28.0),
        ("unit", "cords"),
        ("kind", "interval"),
        ("level", 0.9),
        ("n", 5),
        ("why", "few plots"),
    ]
    assert plain(None) == Number()
