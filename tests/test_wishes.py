"""Wishes of a family: read in every form, held on the ground, counted apart, told when a note breaks one."""

import datetime as dt
import json

import pytest
from click.testing import CliRunner

from woodlot import place, trade
from woodlot.answers.wishes import wished_wood, wishes_answer
from woodlot.cli import main
from woodlot.errors import PlaceError
from woodlot.ledger import as_cells
from woodlot.season import season

DAY = dt.date(2026, 11, 25)
WEST, SOUTH, LON, LAT = -89.40, 46.10, 0.0052, 0.0036  # about a quarter mile each way
HEAD = "line,date,parcel_id,stand_id,kind,sex_age,amount,unit,who,text,lon,lat,corrects,check\n"


def square(column=0.0, row=0.0, wide=1.0, tall=1.0):
    """A square of about forty acres, or a part of one, as a GeoJSON geometry."""
    x, y = WEST + column * LON, SOUTH + row * LAT
    right, top = x + LON * wide, y + LAT * tall
    return {"type": "Polygon", "coordinates": [[[x, y], [right, y], [right, top], [x, top], [x, y]]]}


def drawn(*shapes):
    """A GeoJSON of (properties, geometry)."""
    made = [{"type": "Feature", "properties": p, "geometry": g} for p, g in shapes]
    return json.dumps({"type": "FeatureCollection", "features": made})


PLOTS = {
    "plots.csv": "plot_id,stand_id,kind,baf_sqft_per_ac\n"
    + "".join(f"{stand}{n},{stand},prism,10\n" for stand in ("home", "far") for n in range(3)),
    "trees.csv": "plot_id,species,dbh_in,count\n"
    + "".join(f"{stand}{n},sugar maple,{13 + n},{9 + n}\n" for stand in ("home", "far") for n in range(3)),
}


@pytest.fixture
def thin(tmp_path):
    """A place of outlines alone, two parcels; ``thin(home=, far=, features=, **files)`` writes and names its folder."""

    def make(home=None, far=None, features=(), **files):
        shapes = [({"parcel_id": "home"} | (home or {}), square()), ({"parcel_id": "far"} | (far or {}), square(3))]
        told = {"place.toml": 'name = "Thin"\nregion = "lake_states"\n', "parcels.geojson": drawn(*shapes)}
        told |= {"features.geojson": drawn(*features)} if features else {}
        for name, text in (told | {name.replace("_", ".", 1): text for name, text in files.items()}).items():
            (tmp_path / name).write_text(text, encoding="utf-8")
        return tmp_path

    return make


def planned(folder, **more):
    """The season of a folder on the day."""
    return season(place.read(folder, as_of=DAY), **more)


def verb(*typed):
    """What a verb prints."""
    told = CliRunner().invoke(main, [str(one) for one in typed])
    assert told.exit_code == 0, told.output
    return told.stdout


def flat(text):
    """A screen on one line."""
    return " ".join(text.split())


# what is handed in


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("Never", "never cut"),
        ("do not cut", "never cut"),
        ("never_cut", "never cut"),
        ("sugar bush; view", "sugarbush, view"),
        ("leave snags and never cut", "never cut, leave dead trees"),
        ("scenic + den trees", "view, leave dead trees"),
    ],
)
def test_a_wish_is_read_as_families_write_it(thin, written, meant):
    """Other words, several with any mark between, in the order of the list."""
    assert place.read(thin(home={"wish": written}), as_of=DAY).parcels["wish"].iloc[0] == meant


def test_every_other_word_for_a_wish_is_read_as_it(thin):
    """No spelling is lost between the list and the cell."""
    words = [also for word in trade.WISHES.values() for also in (word.key, *word.also) if word.key != trade.KEEP]
    for at, word in enumerate(words):
        read = place.read(thin(home={"wish": word}), as_of=DAY).parcels["wish"].iloc[0]
        assert read == trade.key_of(word, trade.WISHES), (at, word)


@pytest.mark.parametrize(
    ("cells", "column", "remedy"),
    [
        ({"wish": "never cat"}, "wish", "Did you mean never cut?"),
        ({"wish": "keep"}, "wish", "Write the year in wish_until"),
        ({"wish_until": 2030}, "wish_until", "There is no wish here"),
        ({"wish_since": "2026-01-01"}, "wish_since", "There is no wish here"),
        ({"wish": "never cut, cut first"}, "wish", "cannot stand beside"),
        ({"wish": "keep", "wish_until": 20300}, "wish_until", "Larger than 2,200"),
    ],
)
def test_a_wish_that_cannot_act_is_a_fault(thin, cells, column, remedy):
    """Its row and column are named, and what would be right; one fault a cell."""
    with pytest.raises(PlaceError) as stopped:
        place.read(thin(home=cells), as_of=DAY)
    (fault,) = stopped.value.faults
    assert (fault.file, fault.row, fault.column) == ("parcels.geojson", 2, column) and remedy in fault.remedy


def test_a_wish_drawn_as_a_point_or_with_a_year_on_a_lake_is_a_fault(thin):
    """A wish wants an outline; a year belongs to a wish."""
    point = {"type": "Point", "coordinates": [WEST, SOUTH]}
    shapes = [({"kind": "never cut"}, point), ({"kind": "lake", "wish_until": 2030}, square(0.1, wide=0.1))]
    with pytest.raises(PlaceError) as stopped:
        place.read(thin(features=[*shapes, ({"kind": "keep"}, square(wide=0.1))]), as_of=DAY)
    assert [(f.row, f.column) for f in stopped.value.faults] == [(2, "geometry"), (3, "wish_until"), (4, "kind")]


def test_a_wish_that_has_ended_and_one_that_lies_nowhere_are_remarks(thin):
    """Both are said; neither holds."""
    folder = thin(home={"wish": "never cut", "wish_until": 2026}, features=[({"kind": "view"}, square(7))])
    read = place.read(folder, as_of=DAY)
    assert any("1 wish ended by 2026 (row 2)" in note for note in read.warnings)
    assert any("view lies in no stand" in note for note in read.warnings)
    assert not len(season(read).wishes.stands)


# what it holds on the ground


def test_outlines_alone_with_one_parcel_never_cut(thin):
    """The parcel's wish holds for the stand that it is; every verb says it, and none of it may be worked."""
    folder = thin(home={"wish": "never cut"})
    asked = planned(folder)
    (row,) = asked.wishes.stands.to_dict("records")
    assert (row["stand_id"], row["wish"], row["whole"]) == ("home", "never cut", True)
    work = asked.to_work.set_index("stand_id")
    assert work["workable_ac"]["home"] == 0 and work["workable_ac"]["far"] == pytest.approx(work["acres"]["far"])
    assert (work["wish"]["home"], work["wish"]["far"]) == ("never cut", "")
    assert "Stand home: Never cut, your wish." in verb("walk", folder, "--as-of", DAY)
    plan = flat(verb("plan", folder, "--as-of", DAY))
    assert "Your wishes: 39.8 acres never cut" in plan and "Never cut: stand home." in plan


def test_wood_that_is_never_cut_is_in_the_sum_and_in_no_cut(thin):
    """Three plots on each of two alike parcels: half the wood is shut, the ceilings are those of the other half."""
    free = planned(thin(**PLOTS_ARGS))
    shut = planned(thin(home={"wish": "never cut"}, **PLOTS_ARGS))
    assert shut.standing.totals["cords by all"]["all"].value == free.standing.totals["cords by all"]["all"].value
    (wood,) = wished_wood(shut)
    assert wood.cords.value == pytest.approx(shut.standing.totals["cords by stand_id"]["home"].value)
    assert wood.cords.low < wood.cords.value < wood.cords.high and wood.words.startswith("Of what stands, ")
    table = shut.ceilings.table.set_index("stand_id")
    assert not table["may"]["home"] and table["why"]["home"].key == "shut by wish" and table["may"]["far"]
    assert table["growth"]["home"].value == 0 and shut.ceilings.limit < free.ceilings.limit
    assert table["grows"]["home"].value == pytest.approx(
        free.ceilings.table.set_index("stand_id")["grows"]["home"].value
    )
    assert set(shut.cutting.schedule.entries["stand_id"]) <= {"far"}


PLOTS_ARGS = {name.replace(".", "_", 1): text for name, text in PLOTS.items()}


def test_shapes_that_overlap_count_once_by_hand(thin):
    """Two shapes of half and of the middle half of a parcel cover three quarters of it; the lake in them is no acre."""
    shapes = [({"kind": "never cut"}, square(wide=0.5)), ({"kind": "never cut"}, square(0.25, wide=0.5))]
    asked = planned(thin(features=shapes))
    acres = asked.measured.stands.set_index("stand_id")["acres"]["home"]
    (row,) = asked.wishes.stands.to_dict("records")
    assert row["acres"] == pytest.approx(0.75 * acres, rel=1e-4) and not row["whole"] and not row["rules"]
    assert asked.to_work["workable_ac"].iloc[0] == pytest.approx(0.25 * acres, rel=1e-3)
    with_lake = planned(thin(features=[*shapes, ({"kind": "lake"}, square(wide=0.25))]))
    dry = with_lake.measured.stands.set_index("stand_id")["acres"]["home"]
    assert dry == pytest.approx(0.75 * acres, rel=1e-4)
    assert with_lake.wishes.stands["acres"].iloc[0] == pytest.approx(0.5 * acres, rel=1e-4)


def test_a_shape_in_a_strip_is_off_the_worked_acres_once(thin):
    """A strip along water and a never-cut shape over the same ground are taken off once."""
    creek = {"type": "LineString", "coordinates": [[WEST, SOUTH + LAT / 2], [WEST + LON, SOUTH + LAT / 2]]}
    water = ({"kind": "stream", "name": "Creek", "width_ft": 8}, creek)
    bare, both = (
        planned(thin(features=[water])),
        planned(thin(features=[water, ({"kind": "never cut"}, square(wide=0.5))])),
    )
    strip = bare.seen.stands.set_index("stand_id")["both_ac"]["home"]
    acres = bare.measured.stands.set_index("stand_id")["acres"]["home"]
    assert 0 < strip < acres
    left = both.to_work.set_index("stand_id")["workable_ac"]["home"]
    assert left == pytest.approx((acres - strip) / 2, rel=1e-3)


def test_never_cut_ground_is_not_kept_besides(thin):
    """A parcel that is kept with a never-cut half: each half once, and both words with their acres."""
    asked = planned(
        thin(home={"wish": "keep", "wish_until": 2031}, features=[({"kind": "never cut"}, square(wide=0.5))])
    )
    rows = asked.wishes.stands.set_index("wish")
    acres = asked.measured.stands["acres"].iloc[0]
    assert rows["acres"].to_dict() == pytest.approx({"never cut": acres / 2, "keep": acres / 2}, rel=1e-4)
    assert asked.to_work["workable_ac"].iloc[0] == 0 and rows["until"]["keep"] == 2031


def test_the_last_year_of_several_shapes_is_told(thin):
    """Kept until 2028 here and until 2031 there: 2031; a view that stays beside one that ends: it stays."""
    kept = [({"kind": "keep", "wish_until": year}, square(at, wide=0.2)) for at, year in ((0.0, 2028), (0.5, 2031))]
    seen = [({"kind": "view"} | more, square(3 + at, wide=0.2)) for at, more in ((0, {}), (0.5, {"wish_until": 2030}))]
    rows = planned(thin(features=[*kept, *seen])).wishes.stands.set_index("wish")
    assert rows["until"].to_dict() == {"keep": 2031, "view": None}


def test_a_stand_has_its_own_wish_before_its_parcels(small_place):
    """The parcel's wish goes to stands without one."""
    small_place.maps["parcels.geojson"]["features"][0]["properties"]["wish"] = "never cut"
    small_place.maps["stands.geojson"]["features"][0]["properties"]["wish"] = "view"
    small_place.draw()
    assert planned(small_place.folder).wishes.stands["wish"].tolist() == ["view"]


def test_keep_ends_with_the_winter_of_its_year(thin):
    """Kept until 2027 in the winter of 2026-27: shut; a day after the first of May 2027: free."""
    folder = thin(home={"wish": "keep", "wish_until": 2027})
    assert len(season(place.read(folder, as_of=dt.date(2027, 4, 30))).wishes.stands) == 1
    assert len(season(place.read(folder, as_of=dt.date(2027, 5, 1))).wishes.stands) == 0


# what it changes of the cut


def test_a_view_has_no_patch_and_a_light_hand(thin):
    """Aspen comes back in patches only: nothing is cut. Maple: four fifths of its basal area stay."""
    stands = drawn(
        ({"stand_id": "home", "cover": "aspen and birch", "age_yr": 50, "wish": "view"}, square()),
        ({"stand_id": "far", "cover": "northern hardwoods", "wish": "view"}, square(3)),
    )
    table = planned(thin(stands_geojson=stands, **PLOTS_ARGS)).ceilings.table.set_index("stand_id")
    assert (table["way"]["home"], table["why"]["home"].key) == ("none", "patches in view")
    assert table["leave_sqft_per_ac"]["far"] == pytest.approx(0.8 * table["basal_sqft_per_ac"]["far"])


@pytest.mark.parametrize(("share", "rules"), [(0.45, False), (0.55, True)])
def test_a_wish_rules_a_stand_from_half_of_it_on(thin, share, rules):
    """A view over less than half of a stand is told, and the stand goes on by the rule of its cover."""
    stands = drawn(({"stand_id": "far", "cover": "northern hardwoods"}, square(3)))
    asked = planned(thin(features=[({"kind": "view"}, square(3, wide=share))], stands_geojson=stands, **PLOTS_ARGS))
    row = asked.ceilings.table.set_index("stand_id").loc["far"]
    raised = row["leave_sqft_per_ac"] == pytest.approx(0.8 * row["basal_sqft_per_ac"])
    work = asked.to_work.set_index("stand_id")
    assert (raised, work["wish"]["far"] == "view", "view" in work["wishes"]["far"]) == (rules, rules, rules)
    assert asked.wishes.of("view")["acres"]["far"] == pytest.approx(share * work["acres"]["far"], rel=1e-3)


def test_a_sugarbush_keeps_more_and_its_maples_last(thin):
    """What is left rises to the figure of the region; of a mixed stand maples go last; the job ends before the sap."""
    mixed = PLOTS_ARGS | {
        "trees_csv": "plot_id,species,dbh_in,count\n"
        + "".join(f"home{n},{kind},14,{8 + n}\n" for n in range(3) for kind in ("sugar maple", "basswood"))
    }
    stands = drawn(({"stand_id": "home", "cover": "northern hardwoods"}, square()))
    sweet = stands.replace('"cover"', '"wish": "sap bush", "cover"')
    toml = {"place_toml": 'name = "Thin"\nregion = "lake_states"\n[needs]\nfirewood_cord = 20\n'}
    plain, asked = (planned(thin(stands_geojson=one, **mixed, **toml)) for one in (stands, sweet))
    leave = {id(one): one.ceilings.table["leave_sqft_per_ac"].iloc[0] for one in (plain, asked)}
    assert leave[id(asked)] == asked.place.region.figure("defaults_sugarbush", "leave_sqft_per_ac") > leave[id(plain)]
    (job,), (before,) = asked.cutting.jobs, plain.cutting.jobs
    taken = job.trees.groupby("species")["cut"].sum()
    assert taken["sugar maple"] == 0 < taken["american basswood"]
    assert before.trees.groupby("species")["cut"].sum()["sugar maple"] > 0
    assert job.months == "November to February" and before.months == "November to March"
    assert any(dict(one.facts).get("of") == "sap_season" for one in job.cautions)
    assert "kept by wish" in {one.key for one in job.keep}


def test_what_is_cut_first_comes_before_an_equal(thin):
    """Two alike parcels: the one that the family wishes to cut first, whichever it is."""
    toml = {"place_toml": 'name = "Thin"\nregion = "lake_states"\n[needs]\nfirewood_cord = 3\n'}
    cover = {"home": {"cover": "northern hardwoods"}, "far": {"cover": "northern hardwoods"}}
    for first in ("home", "far"):
        shapes = {"home": square(), "far": square(3)}
        stands = drawn(
            *(
                (({"stand_id": one, **cover[one]} | ({"wish": "first"} if one == first else {})), shapes[one])
                for one in shapes
            )
        )
        entries = planned(thin(stands_geojson=stands, **PLOTS_ARGS, **toml)).cutting.schedule.entries
        assert entries.sort_values("period")["stand_id"].iloc[0] == first


def test_dead_trees_that_stay_are_told_on_the_job(thin):
    """Whoever goes to cut reads it."""
    stands = drawn(({"stand_id": "home", "cover": "northern hardwoods", "wish": "leave snags"}, square()))
    toml = {"place_toml": 'name = "Thin"\nregion = "lake_states"\n[needs]\nfirewood_cord = 3\n'}
    told = flat(verb("cut", thin(stands_geojson=stands, **PLOTS_ARGS, **toml), "--as-of", DAY))
    assert "Keep every standing dead tree, your wish." in told


# notes that break a wish


def test_a_note_that_breaks_a_wish_is_said_by_note_book_walk_and_plan(thin):
    """The same sentence everywhere, and at once."""
    today = dt.date.today()
    folder = thin(home={"wish": "never cut"})
    told = verb("note", folder, "--kind", "firewood", "--amount", 4, "--stand", "home")
    words = "Line 1 notes 4 cords of firewood cut in stand home, which is never cut by your wish."
    assert words in flat(told)
    for typed in (("book", folder), ("walk", folder, "--as-of", today)):
        assert words in flat(verb(*typed)), typed
    plan = json.loads(verb("plan", folder, "--as-of", today, "--json"))
    assert words in plan["warnings"]
    assert words in json.loads(verb("book", folder, "--json"))["warnings"]
    more = json.loads(
        verb("note", folder, "--kind", "post", "--amount", 1, "--at", WEST + LON / 2, SOUTH + LAT / 2, "--json")
    )
    assert "breaks" not in more, "a point alone says nothing of a parcel's wish"
    assert "breaks" not in json.loads(
        verb("note", folder, "--kind", "firewood", "--amount", 4, "--stand", "far", "--json")
    )


def lines(*rows):
    """A ledger of lines typed by hand."""
    return {"ledger_csv": HEAD + "".join(f"{n},{row}\n" for n, row in enumerate(rows, start=1))}


def broken(folder):
    """Numbers of the lines that are said to break a wish."""
    notes = place.read(folder, as_of=DAY).warnings
    return [int(note.split()[1]) for note in notes if "your wish" in note or "for now" in note]


def test_which_notes_break_a_wish(thin):
    """Felled wood of this winter in stand, parcel or shape; not what was cut before, burned or taken back."""
    inside, outside = f"{WEST + LON * 3.2},{SOUTH + LAT / 2}", f"{WEST + LON * 3.8},{SOUTH + LAT / 2}"
    ledger = lines(
        "2026-11-01,,home,firewood,,2,cord,,,,,,",  # in the stand
        "2026-11-01,home,,post,,2,piece,,,,,,",  # on the parcel, all of which is shut
        "2026-04-30,,home,firewood,,2,cord,,,,,,",  # the winter before
        "2026-11-01,,home,burned,,2,cord,,,,,,",  # not felled there
        "2026-11-01,,home,sawlog,,90,bdft_scribner,,,,,,",  # taken back by the next line
        "2026-11-02,,,void,,,,,,,,5,",
        f"2026-11-01,,,firewood,,2,cord,,,{inside},,",  # in the shape
        f"2026-11-01,,,firewood,,2,cord,,,{outside},,",  # beside it
        "2026-11-01,,far,firewood,,2,cord,,,,,,",  # in a stand of which the shape is a part: nobody knows where
    )
    folder = thin(home={"wish": "never cut"}, features=[({"kind": "never cut"}, square(3, wide=0.5))], **ledger)
    assert broken(folder) == [1, 2, 7]


def test_lines_just_written_break_what_they_break_in_the_whole_ledger(thin):
    """Said of new lines alone what is said of them in the ledger that holds them, in the same words."""
    folder = thin(home={"wish": "never cut"})
    cords = {"kind": "firewood", "amount": 2.0, "unit": "cord"}
    day = dt.date(2026, 11, 1)
    place.append_notes(folder, [cords | {"stand_id": "home", "date": day}, cords | {"stand_id": "far", "date": day}])
    new = [
        cords | {"stand_id": where, "date": when} for where in ("home", "far") for when in (day, dt.date(2026, 1, 1))
    ]
    new += [{"kind": "burned", "amount": 1.0, "unit": "cord", "date": day, "stand_id": "home"}]
    new += [cords | {"parcel_id": "home", "date": day}]
    with place.held(folder) as book:
        written = list(book.write(as_cells(new)[0], range(len(new)), DAY).values())
    told = place.broken_by(folder, DAY, written)
    numbers = {int(line[0]) for line in written}
    assert told == {number: said for number, said in place.wishes_broken(folder, DAY).items() if number in numbers}
    assert list(told) == [3, 8] and place.broken_by(folder, DAY, []) == {}


def test_a_day_from_which_it_is_wished_reaches_back(thin):
    """With wish_since every line from that day on is held to it, and none before."""
    ledger = lines(*(f"{day},,home,firewood,,2,cord,,,,,," for day in ("2024-12-31", "2025-01-01", "2026-02-01")))
    assert broken(thin(home={"wish": "never cut", "wish_since": "2025-01-01"}, **ledger)) == [2, 3]
    assert broken(thin(home={"wish": "never cut"}, **ledger)) == []
    point = lines(f"2025-03-01,,,firewood,,2,cord,,,{WEST + LON / 4},{SOUTH + LAT / 2},,")
    shape = {"kind": "never cut", "wish_since": "2025-01-01"}
    assert broken(thin(features=[(shape, square(wide=0.5))], **point)) == [1]


def test_a_note_on_a_parcel_of_which_a_stand_is_free_breaks_nothing(thin):
    """Nobody knows in which of the two it was cut; where both are shut it is said."""
    ledger = lines("2026-11-01,home,,firewood,,2,cord,,,,,,")
    halves = [({"stand_id": "a", "wish": "never cut"}, square(wide=0.5)), ({"stand_id": "b"}, square(0.5, wide=0.5))]
    assert broken(thin(stands_geojson=drawn(*halves), **ledger)) == []
    halves[1][0]["wish"] = "never cut"
    assert broken(thin(stands_geojson=drawn(*halves), **ledger)) == [1]


def test_dead_wood_where_dead_trees_stay(thin):
    """A line whose words say that it was dead; green wood from there breaks nothing."""
    ledger = lines("2026-11-01,,home,firewood,,2,cord,,dead ash,,,,", "2026-11-01,,home,firewood,,2,cord,,maple,,,,")
    assert broken(thin(home={"wish": "leave dead trees"}, **ledger)) == [1]


def test_a_note_is_written_where_maps_need_mending(thin):
    """A wish that cannot be read stops no note."""
    folder = thin(home={"wish": "never cut", "wish_until": "soon"})
    told = verb("note", folder, "--kind", "firewood", "--amount", 4, "--stand", "home")
    assert told.startswith("Line 1 (") and ") is in the ledger: " in told


# what is shown


def test_a_place_without_wishes_says_nothing_of_them(small_place):
    """No row, no field, no question of the map."""
    plan = json.loads(verb("plan", small_place.folder, "--as-of", DAY, "--json"))
    assert not {"wished", "sugarbushes"} & set(plan) and not any("wishes" in stand for stand in plan["stands"])
    assert not {"wishes", "sugarbush"} & {row["topic"] for row in plan["rows"]}
    page = (small_place.folder / "out" / "map.html").read_text("utf-8")
    assert 'value="wish"' not in page and "no cut, your wish" not in page


def test_a_sugarbush_of_outlines_alone_is_planned(thin):
    """Without a plot there is no number of taps; plan, scale and why say so and write their files."""
    folder = thin(home={"wish": "sugarbush"})
    plan = json.loads(verb("plan", folder, "--as-of", DAY, "--json"))
    (sap,) = plan["sugarbushes"]
    assert sap["taps"]["value"] is None and sap["unsound_taps"] == 0
    row = next(row for row in plan["rows"] if row["topic"] == "sugarbush")
    assert row["number"] == "No number of taps yet" and "three would give a first figure" in row["why"]
    assert "lead" in flat(verb("why", "sugarbush", folder, "--as-of", DAY))
    assert "No stand is wished to be a sugarbush" in flat(verb("why", "sugarbush", thin(), "--as-of", DAY))


def test_map_report_and_json_say_the_same(thin):
    """The sentence of a stand stands on its card and in the report; ground that is shut is ruled and in the legend."""
    folder = thin(
        home={"wish": "never cut"}, features=[({"kind": "view", "name": "Lookout"}, square(3, wide=0.3))], **PLOTS_ARGS
    )
    plan = json.loads(verb("plan", folder, "--as-of", DAY, "--json"))
    home, far = (next(s for s in plan["stands"] if s["stand_id"] == one)["wishes"] for one in ("home", "far"))
    assert home[0]["words"] == "Never cut, your wish." and far[0]["words"].startswith("View: ")
    row = next(row for row in plan["rows"] if row["topic"] == "wishes")
    assert "in no cut" in row["why"] and "Never cut: stand home." in row["why"]
    page, report = ((folder / "out" / name).read_text("utf-8") for name in ("map.html", "report.html"))
    for text in (page, report):
        assert "Never cut, your wish" in text and "no cut, your wish" in text
        assert far[0]["words"].removesuffix(".") in text
    assert 'value="wish"' in page and "url(#shut)" in page and "Your wishes" in report
    held = wishes_answer(planned(folder))
    assert [one.words for one in held] == [home[0]["words"], far[0]["words"]]
    (first, _) = plan["wished"]
    assert first["cords"]["value"] == home[0]["cords"]["value"] and first["words"] in flat(
        verb("scale", folder, "--as-of", DAY)
    )


def test_an_outline_that_is_called_never_cut_comes_as_a_wish(tmp_path):
    """A shape drawn on a web map says by its name what it is; a parcel that is called Sugarbush stays a parcel."""
    folder = tmp_path / "new"
    ring = (
        "<Polygon><outerBoundaryIs><LinearRing><coordinates>{}</coordinates></LinearRing></outerBoundaryIs></Polygon>"
    )
    shapes = (("Sugarbush", square()), ("Never cut, old birches", square(0.1, 0.1, 0.3, 0.3)))
    marks = "".join(
        f"<Placemark><name>{name}</name>"
        + ring.format(" ".join(f"{x},{y},0" for x, y in shape["coordinates"][0]))
        + "</Placemark>"
        for name, shape in shapes
    )
    head = '<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
    (tmp_path / "land.kml").write_text(f"{head}{marks}</Document></kml>", encoding="utf-8")
    verb("bring", folder, tmp_path / "land.kml", "--yes")
    read = place.read(folder, as_of=DAY)
    assert read.parcels["name"].tolist() == ["Sugarbush"] and read.features["kind"].tolist() == ["never cut"]
    assert season(read).wishes.stands["wish"].tolist() == ["never cut"]


def test_columns_txt_and_bring_know_the_wish(tmp_path):
    """The list of columns names every word; a heading that families write is understood."""
    folder = tmp_path / "new"
    verb("start", folder)
    listed = flat((folder / "columns.txt").read_text("utf-8"))
    assert all(word in listed for word in trade.WISHES) and "wish_until" in listed
    shape = drawn(({"Name": "Old forty", "We wish": "never cut"}, square()))
    (tmp_path / "old.geojson").write_text(shape, encoding="utf-8")
    verb("bring", folder, tmp_path / "old.geojson", "--yes")
    assert place.read(folder, as_of=DAY).parcels["wish"].tolist() == ["never cut"]
