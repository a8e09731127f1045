"""One season of a place: who asks which chapter, each once; a copy gives the same numbers; the level reaches all."""

import datetime as dt
import pickle
import subprocess
import sys
from contextlib import contextmanager
from dataclasses import replace

import pandas as pd
import pytest
from click.testing import CliRunner

from woodlot import place as places
from woodlot import season as season_file
from woodlot.answers.land import drawn
from woodlot.answers.scale import scale_answer
from woodlot.answers.tables import table_files
from woodlot.answers.whole import answers
from woodlot.answers.why import explain
from woodlot.cli import main
from woodlot.errors import InputError
from woodlot.region import reading
from woodlot.say.reasons import said
from woodlot.season import Season, _Chapter, at_work, season

DAY = dt.date(2026, 11, 25)
CHAPTERS = {chapter.words: name for name, chapter in vars(Season).items() if isinstance(chapter, _Chapter)}
LAND, WOOD = {"measured"}, {"measured", "standing"}
WOODS = WOOD | {"woods", "wishes"}
CUT = WOODS | {"seen", "to_work", "first_cords", "ceilings"}
NEAR = CUT | {"pieces", "wants", "stove", "road_ft", "felling", "tally_work", "cutting"}
WINTER = NEAR | {"winter"}
MAP = WINTER | {
    "first_plots",
    "before_last_day",
    "backdrop",
    "lent",
    "later",
    "group",
    "hunt",
    "herd",
    "heat",
    "years_told",
}
ALL = MAP | {"futures"}
#: What each verb is typed with, and what it may ask for.
ASKED = {
    "walk": LAND | {"near", "wishes"},
    "cruise": WOOD | {"seen", "first_plots", "before_last_day"},
    "scale": WOOD | {"wishes"},
    "scale --stand 1 --json": WOOD | {"wishes"},
    "grow": CUT | {"years_told"},
    "cut": WINTER | {"heat", "futures"},
    "fell": WINTER,
    "herd": NEAR | {"group", "hunt", "herd"},
    "hunt": WOOD | {"group", "hunt"},
    "group": {"group"},
    "sheet": WOOD | {"first_plots", "wishes", "seen"},
    "map": MAP,
    "plan": ALL,
    "why cords": WOOD,
    "why bdft": WOOD,
    "why basal": WOOD,
    "why cut": CUT,
    "why cut --stand 1": WINTER,
    "why heat": WINTER | {"heat"},
    "why deer": WOOD | {"group", "hunt"},
    "why take": WOOD | {"group", "hunt"},
    "why sugarbush": LAND | {"wishes"},
    "why changed": set(),
}


@pytest.fixture(scope="module")
def otter(samples):
    """The season of the large sample."""
    return season(replace(places.read(samples / "otter_lake", as_of=DAY), wants=[], to_build=[]), seed=3)


def beside(one, *kept, **changes):
    """A season that differs, with those chapters of another that do not rest on the difference."""
    new = replace(one, **changes)
    vars(new)["_kept"] = {name: (getattr(one, name), vars(one)["_kept"][name][1]) for name in kept}
    return new


@pytest.fixture
def asked():
    """Names of the chapters that are worked out from now on, in that order."""
    names: list[str] = []

    @contextmanager
    def noted(words):
        if words in CHAPTERS:
            names.append(CHAPTERS[words])
        yield

    token = at_work.set(noted)
    yield names
    at_work.reset(token)


def typed(words, folder):
    """The words of a verb with its place and day."""
    verb, *rest = words.split()
    what = [rest.pop(0)] if verb == "why" else []
    return [verb, *what, str(folder), *rest, "--as-of", str(DAY)]


@pytest.mark.parametrize("words", ASKED)
def test_a_verb_asks_for_what_it_shows_and_once(words, small_place, asked):
    """No schedule for the cords, no deer for the cut, no fifty years but on the map and in the plan; nothing twice."""
    done = CliRunner().invoke(main, typed(words, small_place.folder))
    assert done.exit_code == 0, done.output
    assert set(asked) == ASKED[words]
    assert len(asked) == len(set(asked))


def test_what_if_looks_far_ahead_and_nowhere_else(small_place, asked):
    """No plan of the next ten years, no deer, no raster's picture; of each scenario only what it moves anew."""
    done = CliRunner().invoke(main, typed("what-if", small_place.folder))
    assert done.exit_code == 0, done.output
    assert set(asked) == NEAR - {"cutting"} | {"later", "first_cords"}
    once = {name for name in asked if asked.count(name) == 1}
    assert once >= {"measured", "standing", "seen", "woods", "wants", "pieces", "stove", "felling", "tally_work"}
    # the plan, two needs, deer and storm: a drought keeps the cuts, no ash stands, no sapling was counted
    assert asked.count("later") == 5
    assert asked.count("ceilings") == 3  # the plan, deer and storm: another need changes no tree


def test_years_that_make_no_whole_periods_are_refused_before_any_chapter(small_place, asked):
    """Ten years in steps of three, and no period at all: nothing is worked out; five years are one period."""
    done = CliRunner().invoke(main, typed("cut --step 3", small_place.folder))
    assert done.exit_code == 1 and "no whole number of periods" in done.stderr
    assert asked == []
    place = places.read(small_place.folder, as_of=DAY)
    for ahead in ({"years": 0}, {"step_yr": 0}, {"years": -5, "step_yr": 5}):
        with pytest.raises(InputError, match="no whole number"):
            season(place, **ahead)
    assert season(place, years=5, step_yr=5).step_yr == 5


def test_all_chapters_are_asked_by_some_verb():
    """No chapter is there for nobody."""
    assert set().union(*ASKED.values()) == set(CHAPTERS.values())


@pytest.mark.parametrize("words", ["scale", "sheet"])
def test_rasters_are_asked_only_where_a_stand_may_borrow(words, small_place, asked):
    """With a stand nobody has cruised, what rasters say is looked up, still without a schedule."""
    path = small_place.folder / "plots.csv"
    kept = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith(("4,", "5,"))]
    path.write_text("\n".join(kept) + "\n", encoding="utf-8")
    trees = small_place.folder / "trees.csv"
    kept = [line for line in trees.read_text(encoding="utf-8").splitlines() if not line.startswith("4,")]
    trees.write_text("\n".join(kept) + "\n", encoding="utf-8")
    assert CliRunner().invoke(main, typed(words, small_place.folder)).exit_code == 0
    assert set(asked) == WOOD | {"seen", "lent", "wishes"} | ({"first_plots"} if words == "sheet" else set())


@pytest.mark.parametrize("verb", ["hunt", "why deer", "why take"])
def test_no_tree_is_counted_for_the_deer_where_no_seedling_was(verb, small_place, asked):
    """Light over seedlings is all that the deer ask of the cruise."""
    (small_place.folder / "seedlings.csv").unlink()
    assert CliRunner().invoke(main, typed(verb, small_place.folder)).exit_code == 0
    assert set(asked) == {"group", "hunt"}


def test_scale_tells_the_cut_only_where_json_holds_it(small_place, asked):
    """The totals of ``scale --json`` hold the yearly cut: the near plan is made for them, and nothing else."""
    assert CliRunner().invoke(main, typed("scale --json", small_place.folder)).exit_code == 0
    assert set(asked) == WINTER


FAR_AHEAD = {"seed": 4, "years": 20, "step_yr": 5, "cut_more": True}


@pytest.mark.parametrize(
    ("words", "level", "more"),
    [
        ("cut --years 20 --step 5 --more --seed 4 --level 0.8", 0.8, FAR_AHEAD),
        ("grow --seed 4 --level 0.8", 0.8, {"seed": 4}),
        *((f"{verb} --level 0.8", 0.8, {}) for verb in ("cruise", "scale", "herd", "hunt", "map", "plan", "why cords")),
        *((verb, None, {}) for verb in ("fell", "sheet")),
    ],
)
def test_what_is_typed_reaches_the_season(words, level, more, small_place, monkeypatch):
    """Level, seed and how far ahead are asked of the season as they were typed, and the day is the place's."""

    def stop(place, *how, **ahead):
        assert (place.as_of, how, ahead) == (DAY, (level,), more)
        raise InputError("asked as typed")

    monkeypatch.setattr(season_file, "season", stop)
    done = CliRunner().invoke(main, typed(words, small_place.folder))
    assert done.exit_code == 1 and "asked as typed" in done.stderr.lower()


@pytest.mark.parametrize("verb", ["cruise", "scale", "grow", "cut", "fell"])
def test_a_stand_or_parcel_that_is_not_there_stops_the_verb(verb, small_place):
    """Before anything is worked out."""
    for what, there in (("parcel", "home, ridge"), ("stand", "1, 2")):
        done = CliRunner().invoke(main, typed(f"{verb} --{what} nowhere", small_place.folder))
        assert done.exit_code == 1 and f"no {what} 'nowhere'; there are {there}" in " ".join(done.stderr.split())


def test_a_chapter_is_worked_out_once(small_place, asked):
    """Answers, map and tables of one season ask for each chapter many times."""
    one = season(places.read(small_place.folder, as_of=DAY))
    told = answers(one)
    drawn(one)
    table_files(one, told)
    assert sorted(asked) == sorted(ALL)
    assert one.standing is one.standing


def test_a_season_is_its_plain_parts(small_place):
    """Equal and one key whether chapters are worked out or not; other by level, seed or how far ahead."""
    place = places.read(small_place.folder, as_of=DAY)
    one, other = season(place), season(place)
    kept = len(pickle.dumps(one))
    assert one.measured.parcels["acres"].sum() > 70
    assert one == other and len({one, other}) == 1 and len(pickle.dumps(one)) == kept
    assert one.day == DAY and one.level == one.choice("level") == 0.9
    for more in (season(place, 0.8), season(place, seed=2), season(place, years=20)):
        assert more != one
    assert season(place, 0.8).choice("level") == 0.8


@pytest.mark.slow
def test_a_copy_works_itself_out_again_to_the_same_numbers(otter):
    """Pickled before and after it was asked: cords, ceilings, entries, deer and heat are the same to the last digit."""
    one = otter
    again = pickle.loads(pickle.dumps(one))
    first = scale_answer(one, None, None)
    again_after = pickle.loads(pickle.dumps(one))
    assert again.seed == 3 and again.standing.totals == one.standing.totals
    assert again.standing.totals["cords by all"]["all"].shared != ()
    assert scale_answer(again_after, None, None) == first
    pd.testing.assert_frame_equal(again.cutting.schedule.entries, one.cutting.schedule.entries)
    assert again.ceilings.whole == one.ceilings.whole
    assert again.hunt == one.hunt
    assert again.heat == one.heat


def test_the_level_reaches_every_interval(otter):
    """At 0.7 the ranges of wood, growth, ceilings, borrowed cords and deer are of that level, and narrower."""
    wide, narrow = otter, beside(otter, "measured", "seen", level=0.7)

    def ranges(one):
        whole = [
            one.standing.totals["cords by all"]["all"],
            one.ceilings.whole["grows"],
            one.ceilings.whole["smallest"],
        ]
        return [*whole, one.standing.each_ac["basal_sqft"]["1"], *one.lent.per_ac["cords"].values()]

    pairs = list(zip(ranges(wide), ranges(narrow), strict=True))
    assert len(pairs) > 4
    for before, after in pairs:
        assert (before.level, after.level) == (0.9, 0.7)
        assert before.low < after.low < after.high < before.high
    for name in ("density_per_sqmi", "fall_per_sqmi"):
        before, after = getattr(wide.hunt, name), getattr(narrow.hunt, name)
        assert (before.level, after.level) == (0.9, 0.7) and before.low < after.low


def test_the_seed_starts_the_draws(otter):
    """Another seed, other ends of the range, within a few hundredths of the first."""
    one, other = (s.ceilings.whole["grows"] for s in (otter, beside(otter, *WOODS, "seen", "to_work", seed=4)))
    assert one.low != other.low and one.low == pytest.approx(other.low, rel=0.05)


def test_fifty_years_are_planned_for_the_need_in_steps_of_five(otter):
    """``later`` is what ``cutting`` is when it is asked so far, not for all that may be cut, and without findings."""
    far = beside(otter, *CUT, "pieces", years=50, step_yr=5).cutting.schedule
    for name in ("entries", "periods", "stock"):
        pd.testing.assert_frame_equal(getattr(otter.later, name), getattr(far, name))
    assert (otter.later.uncut == far.uncut).all() and len(far.uncut) == 51
    assert len(otter.later.periods) == 10 and len(far.entries) > 0
    assert far.findings and not otter.later.findings


def test_the_herd_is_the_hunt_with_the_cuts_to_come(otter):
    """What is known of the deer before any cut, and the browse of the schedule's cuts."""
    entries, cuts = otter.cutting.schedule.entries, otter.herd.food.cuts
    assert cuts.acres_cut == pytest.approx(entries["acres"].sum()) and cuts.winters[0].year == DAY.year
    assert replace(otter.herd, food=replace(otter.herd.food, cuts=None)) == otter.hunt


def test_a_picture_that_cannot_be_drawn_is_a_warning_of_the_plan_alone(small_place):
    """The map says so, once; the cords need no picture."""
    (small_place.folder / "north_picture.tif").write_text("no picture", encoding="utf-8")
    one = season(places.read(small_place.folder, as_of=DAY))
    assert sum(line.startswith("north_picture.tif") for line in answers(one).warnings) == 1
    assert not any("north_picture" in line for line in map(said, one.seen.notes))


LOADED = """
import sys
from click.testing import CliRunner
from woodlot.cli import main
folder = sys.argv[1]
before = set()
for words in sys.argv[2:]:
    done = CliRunner().invoke(main, [folder if w == "PLACE" else w for w in words.split()])
    assert done.exit_code == 0, words + done.output
    now = {name for name in sys.modules if name in WATCHED}
    print(words.split()[0], *sorted(now - before))
    before |= now
"""
WATCHED = {"geopandas", "pyogrio", "scipy", "scipy.stats", "sklearn", "rasterio", "folium", "matplotlib"}


def loaded(folder, *typed_words):
    """What of WATCHED each verb is the first to load, in a process of its own."""
    code = f"WATCHED = {WATCHED!r}{LOADED}"
    done = subprocess.run([sys.executable, "-c", code, str(folder), *typed_words], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return {line.split()[0]: set(line.split()[1:]) for line in done.stdout.splitlines()}


@pytest.mark.slow
def test_no_verb_loads_what_it_does_not_use(small_place):
    """A note and the book load no maps; nothing is likened here, so no verb loads scikit-learn or scipy.stats."""
    day = f" --as-of {DAY}"
    verbs = ("walk", "cruise", "scale", "grow", "hunt", "fell", "sheet", "cut", "herd", "map", "plan")
    note = "note PLACE --kind firewood --amount 1 --stand 1 --date 2026-11-01"
    told = loaded(small_place.folder, "book PLACE", note, *(f"{v} PLACE{day}" for v in verbs), f"why take PLACE{day}")
    assert told["book"] == set() and told["note"] == set()
    assert "geopandas" in told["walk"]
    assert "scipy.stats" not in set().union(*told.values()) and "sklearn" not in set().union(*told.values())
    assert "folium" in told["map"]


@pytest.mark.slow
def test_scikit_learn_is_loaded_where_a_stand_is_likened(samples, tmp_path):
    """On Otter Lake stands without plots borrow by rasters: scale loads it, the cruise does not."""
    told = loaded(samples / "otter_lake", f"cruise PLACE --as-of {DAY}", f"scale PLACE --as-of {DAY}")
    assert "sklearn" not in told["cruise"] and "sklearn" in told["scale"]


def test_wood_that_is_cut_already_is_not_cut_again_this_winter(otter):
    """A winter's firewood cut on the first of May, of no stand: nothing is cut this winter. Cut the day before, it was
    for the winter that is over.
    """
    place, need = otter.place, {"firewood_cord": 7.0}
    line = {"line": 900, "kind": "firewood", "unit": "cord", "stand_id": None, "corrects": None, "amount": 7.0}
    told = {}
    assert otter.pieces is not None and otter.ceilings.limit > 0
    for day in ("2026-04-30", "2026-05-01"):
        book = pd.DataFrame([{**line, "date": pd.Timestamp(day), "text": None}]).astype({"corrects": "Int64"})
        kept = CUT - WOODS | {"woods", "pieces"}
        one = beside(otter, *kept, place=replace(place, ledger=book, needs=need, tally=place.tally[:0]), years=2)
        told[day] = one.cutting.schedule.periods["cords"].tolist()
    assert told["2026-04-30"][0] >= 7.0 - 1e-6
    assert told["2026-05-01"][0] == 0.0 and told["2026-05-01"][1] >= 7.0 - 1e-6


def test_logs_that_were_felled_are_off_the_ceiling_and_dead_trees_are_not(otter):
    """As many cords of sawlogs felled since May as may be cut in a year: the need of firewood is open, yet this winter
    nothing may be cut but what dies anyway, which lies beside the yearly cut. Were the felled trees dead, all that is
    needed may be.
    """
    place, limit = otter.place, otter.ceilings.limit
    line = {"line": 900, "kind": "sawlog", "unit": "cord", "stand_id": None, "corrects": None, "amount": limit}
    dying = set(otter.ceilings.table.loc[otter.ceilings.table["salvage"], "stand_id"])
    told = {}
    for text in ("oak", "dead oak"):
        book = pd.DataFrame([{**line, "date": pd.Timestamp(2026, 6, 1), "text": text}]).astype({"corrects": "Int64"})
        kept = CUT - WOODS | {"woods", "pieces"}
        one = beside(
            otter,
            *kept,
            place=replace(place, ledger=book, needs={"firewood_cord": 7.0}, tally=place.tally[:0]),
            years=2,
        )
        told[text] = one.cutting.schedule
    taken = told["oak"].periods.iloc[0]
    assert taken["cords"] == pytest.approx(taken["beside_cords"], abs=1e-6)
    now = told["oak"].entries[told["oak"].entries["period"] == 0]
    assert set(now["stand_id"]) <= dying and taken["cords"] <= otter.ceilings.table["salvage_cords"].sum()
    assert taken["short"] > 1.0, "the need is not met by it"
    assert told["dead oak"].periods["cords"][0] >= 7.0 - 1e-6 and told["dead oak"].periods["short"][0] < 1e-6


def test_what_a_chapter_read_is_handed_on_also_when_it_is_there_already(small_place):
    """The cut rests on the volume rows of the trees that stand, first and later; the land reads no volume."""
    one = season(places.read(small_place.folder, as_of=DAY))
    with reading() as first:
        assert one.ceilings.limit >= 0
    with reading() as later:
        assert one.ceilings.limit >= 0
    with reading() as land:
        assert len(one.measured.parcels) == 2
    wood = {row for table, row in first if table == "volume_westfall_2024"}
    assert later == first and any("sugar maple" in row for row in wood) and not any("hemlock" in row for row in wood)
    assert "volume_westfall_2024" not in {table for table, _ in land}


def test_sources_and_why_name_only_what_was_read(small_place):
    """Kinds that do not stand there are named nowhere; a row that was looked up is (of aspen both its species)."""
    one = season(places.read(small_place.folder, as_of=DAY))
    told = explain(one, "cords").tables["Figures read for it"]
    rows = {row["table"]: row for row in told}
    assert (
        rows["wood_properties_miles_2009"]["rows"] == 5 and "sugar maple" in rows["wood_properties_miles_2009"]["which"]
    )
    assert rows["defaults_tally"]["source"] and not any(row["table"].startswith("deer_") for row in told)
    listed = {source.key for source in answers(one).sources}
    assert {row["source"] for row in told} <= listed
    assert not any("hemlock" in line or "climate_months" in line for line in answers(one).memory)


def test_a_number_that_is_not_there_rests_on_no_figures(small_place):
    """Without plots ``why cords`` says what would give a first figure, and names no table."""
    read = places.read(small_place.folder, as_of=DAY)
    bare = season(replace(read, **{name: getattr(read, name).iloc[:0] for name in ("plots", "trees")}))
    told = explain(bare, "cords")
    assert told.tables == {} and "Three plots" in told.sentences[0]
    assert explain(season(read), "cords").tables
