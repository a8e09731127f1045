"""The typed answer of ``woodlot fell``: one thing for screen, sheet and --json."""

import datetime as dt
from dataclasses import fields, replace

import pytest

from woodlot.answers.as_json import as_json
from woodlot.answers.fell import fell_answer, fell_words
from woodlot.answers.fell_types import FellAnswer
from woodlot.paper import buck_sheet
from woodlot.say import fell
from woodlot.wood.need_lines import lines

#: What follows from a list of needs, and is not there without one.
OF_NEEDS = ["met", "standing_cuft", "gap_pct", "proven", "stopped"]


@pytest.fixture(scope="module")
def lake(samples, shelf):
    """The sample clearing."""
    return shelf.season(shelf.read(samples / "otter_lake", as_of=dt.date(2026, 11, 25)))


@pytest.fixture(scope="module")
def answer(lake):
    """What its trees become, the house's needs met."""
    return fell_answer(lake)


def test_keys_are_the_fields_in_their_order(lake, answer):
    """With a list of needs all of them; without one those that follow from it are left out, and every tree falls."""
    names = [field.name for field in fields(FellAnswer)]
    assert list(as_json(answer)) == names
    bare = fell_answer(replace(lake, place=replace(lake.place, needs={})))
    assert list(as_json(bare)) == [name for name in names if name not in OF_NEEDS]
    assert bare.needs == () and bare.fell == tuple(range(len(bare.trees))) and len(bare.sheet) == len(bare.trees)
    assert fell_words(bare, False).to_fell == fell.NOTHING_ASKED
    assert "words" not in as_json(answer)


def test_the_answer_agrees_with_itself(lake, answer):
    """Trees on the sheet are those to fell; lines are those of place.toml; parts sum to what each tree becomes."""
    assert [tree.tree for tree in answer.sheet] == [answer.trees[at].tree for at in answer.fell]
    assert [need.line for need in answer.needs] == [
        line.name for line in lines(lake.place.needs, region=lake.place.region)
    ]
    assert answer.met and all(need.words == "" for need in answer.needs)
    of = {part.part: part.cuft for part in answer.parts if part.cuft is not None}
    for part in ("stump", "sawlog", "firewood from stems"):
        key = f"{part.replace(' ', '_')}_cuft"
        assert sum(tree[key] for tree in answer.per_tree) == pytest.approx(of[part])
    assert {tree.position for tree in answer.trees if not tree.alive} == {tree.position for tree in answer.not_by_hand}
    assert all(0 <= cut.from_ft < cut.to_ft for tree in answer.sheet for cut in tree.cuts)
    assert sum(answer.heights.values()) == len(answer.trees) == 120


def test_sheet_and_screen_have_the_same_words(answer):
    """Posts, trees for others and cautions stand on the sheet as they are in the answer."""
    words = fell_words(answer, False)
    sheet = buck_sheet.html(answer, words)
    for text in (words.posts, words.not_by_hand, *answer.cautions, fell.SHEET):
        assert text and text.replace("'", "&#x27;") in sheet
    assert "† from memory." in sheet and words.not_for_lines == ""


def test_a_line_that_falls_short_says_so_in_the_answer(lake):
    """Three hundred stout posts: the words are those of the reason."""
    post = {"product": "post", "number": 300, "length_ft": 8, "top_in": 7}
    answer = fell_answer(replace(lake, place=replace(lake.place, needs={"pieces": [post]})))
    (need,) = answer.needs
    assert answer.met is False and need.short == need.wanted - need.got > 0
    assert need.words.startswith(f"{need.got:g} of 300 posts; ")
