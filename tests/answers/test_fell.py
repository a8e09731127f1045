"""The typed answer of ``woodlot fell``: one thing for screen, sheet and --json."""

import datetime as dt
from dataclasses import fields, replace

import pytest

from woodlot.answers import fell_types as types
from woodlot.answers.as_json import as_json
from woodlot.answers.fell import fell_answer, fell_words
from woodlot.answers.fell_types import FellAnswer
from woodlot.errors import NoAnswer
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
    starts = [cut.from_ft for tree in answer.sheet for cut in tree.cuts[:1]]
    assert min(starts) == 0.0 and all(cut.from_ft < cut.to_ft for tree in answer.sheet for cut in tree.cuts)
    assert all(part.cuft_low < part.cuft < part.cuft_high for part in answer.parts if part.cuft)
    cords = {part.part: part.cords for part in answer.parts if part.cords is not None}
    assert list(cords) == ["firewood from stems", "firewood from limbs"]
    assert answer.left.stem_firewood_cords + answer.left.limb_firewood_cords < sum(cords.values())
    assert 0 < answer.worth_of_longest_first < 1
    assert sum(answer.heights.values()) == len(answer.trees) == 120


def test_sheet_and_screen_have_the_same_words(answer):
    """Posts, trees for others and cautions stand on the sheet as they are in the answer."""
    words = fell_words(answer, False)
    sheet = buck_sheet.html(answer, words)
    for text in (words.posts, words.not_by_hand, *answer.cautions, fell.SHEET):
        assert text and text.replace("'", "&#x27;") in sheet
    assert "† from memory." in sheet and words.not_for_lines == "" and words.becomes == fell.becomes(False)


def test_a_line_that_falls_short_says_so_in_the_answer(lake):
    """Three hundred stout posts: the words are those of the reason."""
    post = {"product": "post", "number": 300, "length_ft": 8, "top_in": 7}
    answer = fell_answer(replace(lake, place=replace(lake.place, needs={"pieces": [post]})))
    (need,) = answer.needs
    assert answer.met is False and need.short == need.wanted - need.got > 0
    assert need.words.startswith(f"{need.got:g} of 300 posts; ")


def test_ground_to_be_cleared(lake):
    """Every tree falls, what is left is of all of them, and those for others give nothing to the list; it is said."""
    answer = fell_answer(lake, whole=True, stand="1")
    words = fell_words(answer, True)
    assert answer.fell == tuple(range(len(answer.trees))) and all(not tree.cuts for tree in answer.sheet if tree.why)
    assert (words.to_fell, words.not_for_lines) == (fell.EVERY_TREE, fell.NOT_FOR_LINES)
    assert words.becomes == fell.becomes(True)
    cords = {part.part: part.cords for part in answer.parts}
    left = (answer.left.stem_firewood_cords, answer.left.limb_firewood_cords)
    assert left == (cords["firewood from stems"], cords["firewood from limbs"])
    assert {piece.line for piece in answer.pieces} >= {-1, 0}


def test_stems_go_to_the_chipper_where_chips_are_asked_for_and_only_there(lake):
    """Two hundred cubic yards: some stems are chips; none where nobody asks for chips."""
    chips = fell_answer(replace(lake, place=replace(lake.place, needs={"chips_cuyd": 200})))
    assert "chips" in {tree.rest for tree in chips.sheet}
    cords = fell_answer(replace(lake, place=replace(lake.place, needs={"firewood_cord": 2})))
    assert {tree.rest for tree in cords.sheet} == {"firewood"}


def test_cautions_are_of_the_trees_there(lake):
    """The tallest dead tree of 68 ft closes 136 feet, 1.3 acres; without dead ones no circle; a hung tree its own."""
    answer = fell_answer(lake)
    tallest = max(tree.height_ft for tree in answer.trees if not tree.alive)
    (circle,) = [text for text in answer.cautions if "two tree lengths to hand felling" in text]
    assert (
        f"{2 * tallest:.0f} feet round" in circle and f"{3.14159265 * (2 * tallest) ** 2 / 43560:.1f} acres" in circle
    )
    tally = lake.place.tally
    living = replace(lake, place=replace(lake.place, tally=tally[tally["alive"].astype(bool)]))
    sound = fell_answer(living)
    assert not any("two tree lengths to hand felling" in text for text in sound.cautions) and sound.not_by_hand == ()
    marks = tally.assign(mark=["hung"] + [""] * (len(tally) - 1))
    hung = fell_answer(replace(lake, place=replace(lake.place, tally=marks)))
    assert len(set(hung.cautions) - set(answer.cautions)) == 1
    assert hung.not_by_hand[0].why == "hung in another tree"


def test_a_tally_without_such_a_stand_names_those_it_has(lake):
    """Counts by stand; trees without one are counted too; one tree is one tree."""
    tally = lake.place.tally.iloc[:4].assign(stand_id=["1", "1", "3", None])
    some = replace(lake, place=replace(lake.place, tally=tally))
    with pytest.raises(
        NoAnswer, match="no tree in stand 2; it has 2 trees in stand 1, 1 tree in stand 3, 1 tree without"
    ):
        fell_answer(some, stand="2")


def test_a_leaning_tree_has_no_cuts_on_the_sheet_and_its_ash_is_not_moved_unsaid(lake):
    """Without a list every tree is on the sheet, the leaning one without cuts; ash far from home asks for care."""
    tally = lake.place.tally[lake.place.tally["species"].eq("white ash") & lake.place.tally["alive"].astype(bool)]
    far = lake.measured.parcels.set_index("parcel_id")["miles_from_home"].idxmax()
    tally = tally.assign(mark="lean", parcel_id=far)
    answer = fell_answer(replace(lake, place=replace(lake.place, tally=tally, needs={})))
    assert len(answer.sheet) == len(tally) > 0 and {tree.why for tree in answer.sheet} == {"leaning"}
    assert all(not tree.cuts for tree in answer.sheet) and len(answer.pieces) > 0
    miles = lake.measured.parcels.set_index("parcel_id")["miles_from_home"][far]
    assert any(f"{miles:.1f} miles" in text for text in answer.cautions)


def test_the_way_to_each_cut_on_the_sheet_by_hand():
    """Three feet of stem go to the stove below a pole, feet and inches to its upper cut; what is over is the rest."""
    pole, post = types.Cut("pole", 12.0, 3.0, 15.5, 6.04), types.Cut("post", 7.0, 15.5, 22.5, 4.4)
    assert buck_sheet._cuts((pole, post), "firewood") == (
        "firewood to 3′; <b>pole 12 ft</b> to 15′6″ (6.0 in); <b>post 7 ft</b> to 22′6″ (4.4 in); rest firewood"
    )
    assert buck_sheet._cuts((), "chips") == "all for chips"
