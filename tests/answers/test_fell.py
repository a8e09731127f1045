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
OF_NEEDS = [
    "met", "standing_cuft", "cost", "gap_pct", "proven", "stopped", "heat_mmbtu", "surplus_logs", "surplus_bdft",
    "burnt_bdft",
]  # fmt: skip


@pytest.fixture(scope="module")
def lake(samples, shelf):
    """The sample clearing without words on its trees and without wants and builds."""
    read = shelf.read(samples / "otter_lake", as_of=dt.date(2026, 11, 25))
    return shelf.season(replace(read, wants=[], to_build=[], tally=read.tally.assign(quality=None)))


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
    short = [need for need in answer.needs if need.short]
    assert [need.product for need in short] == ["chips"] and "limbs and tops alone" in short[0].words
    assert answer.met is False and all(need.words == "" for need in answer.needs if not need.short)
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
    (fire,) = [need for need in answer.needs if need.product == "firewood"]
    assert fire.mmbtu_got == pytest.approx(answer.heat_mmbtu) and fire.short == 0.0
    assert 0.97 * fire.mmbtu_wanted <= fire.mmbtu_got < fire.mmbtu_wanted
    assert all(cut.asked or cut.product != "pole" for tree in answer.sheet for cut in tree.cuts)
    logs = [cut for tree in answer.sheet for cut in tree.cuts if cut.grade]
    assert answer.surplus_logs == sum(not cut.asked for cut in logs) and {cut.grade for cut in logs} <= {1, 2, 3}
    assert sum(answer.heights.values()) == len(answer.trees) == 120


def test_sheet_and_screen_have_the_same_words(answer):
    """Posts, trees for others and cautions stand on the sheet as they are in the answer."""
    words = fell_words(answer, False)
    sheet = buck_sheet.html(answer, words)
    for text in (words.posts, words.not_by_hand, words.heat, *answer.cautions, fell.SHEET, fell.GRADES):
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


def test_stems_go_to_the_chipper_only_where_the_line_says_so(lake):
    """Thirty cubic yards beside firewood: of limbs and tops; with chip_stems some stems are chips too."""

    def rests(**more):
        asked = {"firewood_cord": 2, "pieces": [{"product": "chips", "number": 30} | more]}
        return {t.rest for t in fell_answer(replace(lake, place=replace(lake.place, needs=asked))).sheet}

    assert rests() == {"firewood"} and "chips" in rests(chip_stems=True)


def test_words_that_cut_a_stem_short_stand_on_screen_and_sheet(lake):
    """A crook without its place, a fork with its height, a seam with both ends; the purpose of a line by its piece."""
    tally = lake.place.tally.iloc[:40].assign(quality="", defect_from_ft=float("nan"), defect_to_ft=float("nan"))
    tally.loc[tally.index[1:4], "quality"] = ["crook", "fork", "seam"]
    tally.loc[tally.index[2:4], "defect_from_ft"] = [30.0, 12.0]
    tally.loc[tally.index[3], "defect_to_ft"] = 14.0
    place = replace(lake.place, tally=tally, needs={"firewood_cord": 0.5})
    answer = fell_answer(replace(lake, place=place), whole=True)
    words = fell_words(answer, True)
    for text in (
        "2 (american basswood): crook noted, place not: logs to 8 ft, at best grade 3, posts to 7 ft, no poles, 85% of",
        "3 (paper birch): fork noted at 30 ft: pieces end 1 ft under it",
        "4 (northern white-cedar): seam noted from 12 to 14 ft: nothing is cut across it",
    ):
        assert text in words.short
    sheet = buck_sheet.html(answer, words)
    for text in ("crook noted, place not", "at best grade", "for the pile"):
        assert text in sheet
    assert answer.surplus_logs and words.surplus.startswith(f"{answer.surplus_logs} logs that nobody asked for go")


def test_the_purpose_of_a_line_stands_by_its_pieces(lake):
    """Posts for the garden fence: on the sheet and in the table."""
    post = {"product": "post", "number": 2, "length_ft": 7, "top_in": 4, "purpose": "garden fence"}
    answer = fell_answer(replace(lake, place=replace(lake.place, needs={}, wants=[post])))
    assert "for garden fence)" in buck_sheet.html(answer, fell_words(answer, False))
    assert answer.needs[0].purpose == "garden fence" and answer.met


@pytest.mark.parametrize(
    ("logs", "bdft", "said"),
    [
        (0, 0.0, ""),
        (1, 43.0, "A log that nobody asked for goes to the pile, 43 board feet, to sell or saw; not to the stove."),
        (2, 90.0, "2 logs that nobody asked for go to the pile, 90 board feet, to sell or saw; not to the stove."),
    ],
)
def test_logs_for_the_pile_are_said(logs, bdft, said):
    """None, one, two."""
    assert fell.surplus(logs, bdft) == said


def test_heat_and_burnt_logs_are_said():
    """Heat beside cords, a cord of the mix; board feet burnt from ten on."""
    assert fell.heat(113.0, 6.0, 2.0).startswith("The firewood holds 110 million Btu, gross: 16 a cord of this mix")
    assert fell.heat(None, 6.0, 2.0) == fell.burnt(9.0) == "" and fell.burnt(60.0).startswith("About 60 board feet")


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
    """Three feet of stem go to the stove below a pole, feet and inches to its upper cut; what is over is the rest;
    what a piece is for and the best that its size allows stand by it.
    """
    pole = types.Cut("pole", 12.0, 3.0, 15.5, 6.04, 0, "", True)
    post = types.Cut("post", 7.0, 15.5, 22.5, 4.4, 0, "fence", True)
    log = types.Cut("sawlog", 8.0, 0.0, 8.0 + 4 / 12, 12.0, 2, "", False)
    assert buck_sheet._cuts((log,), "chips") == (
        "<b>sawlog 8 ft</b> to 8′4″ (12.0 in, at best grade 2 by its size, for the pile); rest chips"
    )
    assert buck_sheet._cuts((pole, post), "firewood") == (
        "firewood to 3′; <b>pole 12 ft</b> to 15′6″ (6.0 in); <b>post 7 ft</b> to 22′6″ (4.4 in, for fence); "
        "rest firewood"
    )
    assert buck_sheet._cuts((), "chips") == "all for chips"


def test_rot_that_a_word_names_is_judged(lake):
    """Of four trees without a share two are called rotten: rot was not judged on the other two."""
    words = ["rot", "butt rot", "crook", ""]
    tally = lake.place.tally.iloc[:4].assign(quality=words, cull_pct=float("nan"))
    place = replace(lake.place, tally=tally, needs={"firewood_cord": 0.1})
    assert fell_answer(replace(lake, place=place)).cull_not_judged == 2
