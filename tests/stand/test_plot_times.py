"""What plots are multiplied by: edges as the family minds them, its prism, a check of the eye; every number, range and
sentence of a place moves with it, and what cannot be is refused.
"""

import json
from html import unescape

import pytest
from click.testing import CliRunner

from woodlot import place as places
from woodlot.cli import main
from woodlot.estimate import reason
from woodlot.land.parcels import local_ft
from woodlot.say.reasons import said
from woodlot.season import season
from woodlot.stand.edges import reach_ft, share_lost
from woodlot.units import SQFT_PER_AC

PLOTS = """plot_id,stand_id,date,baf_sqft_per_ac,radius_ft,checked_count
1,1,2026-10-09,10,,
2,1,2026-10-09,10,,
3,1,2026-10-09,10,,
4,2,2026-10-10,,26.3,
5,2,2026-10-10,,26.3,
6,2,2026-10-10,,26.3,
"""
TREES = "plot_id,species,dbh_in,count\n" + "\n".join(
    [f"{plot},sugar maple,{inches},{count}" for plot, count in ((1, 5), (2, 4), (3, 6)) for inches in (10, 14)]
    + [f"{plot},red pine,9,{count}" for plot, count in ((4, 5), (5, 3), (6, 6))]
)


@pytest.fixture
def told(small_place):
    """A function from plots, trees and what place.toml says more to the season of the place."""
    small_place.thin()

    def read(toml="", plots=PLOTS, trees=TREES):
        home = small_place.folder
        (home / "plots.csv").write_text(plots)
        (home / "trees.csv").write_text(trees)
        (home / "place.toml").write_text(f'name = "Forty"\nregion = "lake_states"\n{toml}')
        return season(places.read(home))

    return read


def cords(one, stand="1"):
    """Cords an acre of a stand."""
    return one.standing.each_ac["cords"][stand].value


def shared(one, what="cords", stand="1"):
    """Errors that the plots of a stand share."""
    return dict(one.standing.each_ac[what][stand].shared)


PRISM = "[[prism]]\nfactor = 10\nwidth_ft = 1\ndistance_ft = 32.4\n"
MINDED = '[cruise]\nedges = "counted twice"\n'


def test_edges_move_every_number_as_they_are_minded(told):
    """Two stands that do not meet: b by all their edge; all of it, half of it with doubt, nothing."""
    kept, done, unknown = (told(toml) for toml in (MINDED, '[cruise]\nedges = "Nothing done"\n', ""))
    stands, place = kept.measured.stands.set_index("stand_id"), kept.place
    reach = reach_ft(place.plots, place.trees)
    for stand in ("1", "2"):
        around_ft = local_ft(kept.place.stands).set_index("stand_id").loc[stand].geometry.length
        b = float(share_lost(reach[stand], around_ft, stands.loc[stand, "acres"] * SQFT_PER_AC))
        assert 0.01 < b < 0.05 and cords(kept, stand) / cords(done, stand) == pytest.approx(1 - b, abs=1e-5)
        assert cords(unknown, stand) == pytest.approx(cords(kept, stand) / (1 - b / 2), rel=1e-5)
        assert shared(unknown, stand=stand)["edges"] == pytest.approx(b / 2 / 3**0.5, rel=1e-3)
        for what in ("basal_sqft", "trees", "gross_cords"):
            one, other = (told_.standing.each_ac[what][stand].value for told_ in (kept, done))
            assert one == pytest.approx((1 - b) * other, rel=1e-5)
    assert "edges" not in shared(kept) and "edges" not in shared(done)
    total = unknown.standing.totals["cords by all"]["all"]
    assert 0 < dict(total.shared)["edges"] < 0.01
    table = unknown.standing.table
    assert table["basal_sqft_per_ac"].sum() > kept.standing.table["basal_sqft_per_ac"].sum()


def test_one_tree_counted_twice_says_that_edges_are_minded(told):
    """Nothing is added for the edges of any stand then; what place.toml says goes before."""
    twice = TREES.replace("count\n", "count,count_twice\n", 1).replace("10,5", "10,5,yes", 1)
    assert "edges" not in shared(told(trees=twice), stand="2")
    said_not = told('[cruise]\nedges = "nothing done"\n', trees=twice)
    assert cords(said_not, "2") > 1.005 * cords(told(trees=twice), "2")


@pytest.mark.parametrize("how", ["trees beyond counted", "kept off", "twice"])
def test_edges_that_are_minded_add_nothing(told, how):
    """However they are minded."""
    assert cords(told(f'[cruise]\nedges = "{how}"\n')) == pytest.approx(cords(told(MINDED)))


def test_a_prism_acts_on_all_plots_of_its_factor_and_adds_no_error(told):
    """10.3738 for 10: x 1.03738 in stand 1, not on fixed plots; twice both alike; x 1 where trees were taped."""
    plain, prism = told(MINDED), told(MINDED + PRISM)
    assert cords(prism) / cords(plain) == pytest.approx(1.03738, abs=6e-6)
    assert cords(prism, "2") == cords(plain, "2")
    assert shared(prism) == pytest.approx(shared(plain))
    twice = told(MINDED + PRISM.replace("width_ft = 1", "width_ft = 2").replace("32.4", "64.8"))
    assert cords(twice) == pytest.approx(cords(prism))
    twenty, at_23 = PLOTS.replace(",10,,", ",20,,"), PRISM.replace("= 10", "= 20").replace("32.4", "23.0")
    assert cords(told(MINDED + at_23, twenty)) / cords(told(MINDED, twenty)) == pytest.approx(10890 / 23**2 / 20)
    assert cords(told(MINDED + PRISM + "doubtful_taped = true\n")) == pytest.approx(cords(plain))


def checks(*found):
    """The plots with trees found by the tape on the first ones."""
    rows = PLOTS.splitlines()
    counts = [*found, *[""] * (len(rows) - 1 - len(found))]
    return "\n".join([rows[0], *(row + str(n) for row, n in zip(rows[1:], counts, strict=True))]) + "\n"


def test_the_eye_is_in_doubt_at_the_prism_until_it_is_checked(told):
    """5 % on prism plots, nothing on fixed ones, of all that is told; T 10 8 12, C 11 8 13: a part of R = 32/30."""
    plain = told(MINDED)
    assert [shared(plain, what)["eye"] for what in ("cords", "bdft", "basal_sqft", "trees")] == [0.05] * 4
    assert shared(plain, stand="2").get("eye", 0.0) == 0.0
    checked = told(MINDED, checks(11, 8, 13))
    eye = checked.standing.plot_times.seen
    assert 1.0 < cords(checked) / cords(plain) < 32 / 30 and cords(checked, "2") == cords(plain, "2")
    assert shared(checked)["eye"] == pytest.approx(eye.cv) and eye.cv < 0.04
    one = told(MINDED, checks(11))
    assert cords(one) == cords(plain) and shared(one)["eye"] == 0.05


def test_a_check_goes_before_the_target(told):
    """Trees taped at the factor on the prism say what both are together: the tape is held against the true prism.

    Tallies of 10 8 12 by a prism of 10.3738 should find 10.3738 8.299 12.4486; finding 10 8 12 says the eye lies over.
    """
    both = told(MINDED + PRISM, checks(10, 8, 12))
    plain, prism = cords(told(MINDED)), cords(told(MINDED + PRISM))
    assert plain < cords(both) < prism
    many = told(MINDED + PRISM, checks(10, 8, 12).replace(",10,,", ",10.02,,"))  # 10.02 is 10
    assert cords(many) == pytest.approx(cords(both) * 1.002 * 10 / 10.02, rel=0.005)


def test_a_stand_of_both_kinds_of_plots_is_in_doubt_by_its_prism_plots(told):
    """One fixed plot of three: 5 % times two thirds."""
    mixed = PLOTS.replace("3,1,2026-10-09,10,,", "3,1,2026-10-09,,26.3,")
    assert shared(told(MINDED, mixed))["eye"] == pytest.approx(0.05 * 2 / 3)


@pytest.mark.parametrize(
    ("toml", "plots", "words"),
    [
        (
            PRISM.replace("32.4", "23.0"),
            PLOTS,
            "By this it is a factor of 20.6, too far from 10. At 10 the distance is",
        ),
        (PRISM.replace("32.4", "0.5"), PLOTS, "prism, number 1, distance_ft: 0.5"),
        (PRISM.replace("width_ft = 1\n", ""), PLOTS, "prism, number 1, width_ft: missing"),
        (PRISM + PRISM, PLOTS, "Factor 10 stands twice."),
        (
            PRISM.replace("factor = 10", "factor = 20").replace("32.4", "23.3"),
            PLOTS,
            "prism, number 1, factor: 20 No plot was counted with it. plots.csv has 10.",
        ),
        ('[cruise]\nedges = "kept of"\n', PLOTS, "Did you mean kept off?"),
        (
            "",
            PLOTS.replace("4,2,2026-10-10,,26.3,", "4,2,2026-10-10,,26.3,5"),
            "Only what a prism takes in is checked so.",
        ),
        ("", checks(30), "The tally has 10 trees. Count it again, or take this out."),
        ("", checks(2), "The tally has 10 trees."),
        ("", checks(9.5), "checked_count: 9.5"),
    ],
)
def test_what_cannot_be_is_refused(told, small_place, toml, plots, words):
    """Exit 1, the file, the key or column, what stands there and what would be right."""
    with pytest.raises(places.reading.PlaceError):
        told(toml, plots)
    done = CliRunner().invoke(main, ["walk", str(small_place.folder)])
    assert done.exit_code == 1 and isinstance(done.exception, SystemExit)
    assert words in " ".join(done.stderr.split())


def test_a_check_near_the_tally_is_taken(told):
    """Three trees more or less, or under half of them, is what an eye may do."""
    told("", checks(13, 5, 17))


def test_screen_and_json_say_it_alike(told, small_place):
    """Remarks of the cruise, of the plan's hand-in, and of why; the doubt stands in the range of cords."""
    told("")
    home = str(small_place.folder)

    def asked(*words):
        done = CliRunner().invoke(main, [*words, "--as-of", "2026-11-25"])
        assert done.exit_code == 0, done.output
        return done.output

    remarks = json.loads(asked("cruise", home, "--json"))["remarks"]
    edges = next(one for one in remarks if "added for the edges of 2 stands: nobody said" in one)
    eye = next(one for one in remarks if one.startswith("Nobody checked the eye at the prism: it may be 5% off."))
    screen = " ".join(asked("why", "cords", home).split())
    assert edges in screen and eye in screen and "(edges 1%, eye " in screen
    fixed = " ".join(asked("why", "basal", home, "--stand", "2").split())
    assert "added for the edges of the stand: nobody said" in fixed and "eye" not in fixed
    plan = json.loads(asked("plan", home, "--json"))
    assert plan["base"]["moved"] == [edges] and edges not in plan["warnings"]
    assert json.loads(asked("scale", home, "--json"))["moved"] == [edges]
    assert edges in " ".join(asked("scale", home).split())
    of_one = json.loads(asked("scale", home, "--stand", "2", "--json"))["moved"]
    assert len(of_one) == 1 and "added for the edges of the stand: nobody said" in of_one[0]
    for page in ("map.html", "report.html"):
        assert edges in unescape((small_place.folder / "out" / page).read_text(encoding="utf-8")), page


def test_words_of_edges_prism_and_eye():
    """Per cent as they are, from least to most; what was found, what is left in doubt, what to do."""
    few = said(reason("edges added", stands=1, least=0.004, most=0.004, known=False))
    assert few == (
        "Under 1% added for the edges of the stand: nobody said how trees near them were counted, and twice that may "
        'be lost, or nothing. Say it in place.toml, [cruise] edges = "counted twice" or another word.'
    )
    many = said(reason("edges added", stands=3, least=0.021, most=0.049, known=True))
    assert many == "2% to 5% added for the edges of 3 stands, where trees are lost that nobody counts twice."
    assert said(reason("edges minded", how="kept off")) == "Nothing was added for edges: all plots keep off the edge."
    assert said(reason("no edge near")) == ("Nothing was added for edges: no plot lies within a tree's reach of one.")
    assert said(reason("prism factor", factor=10.0, real=10.3738)) == (
        "By your target the prism of factor 10 is one of 10.37: its tallies times 1.0374."
    )
    assert said(reason("prism taped", factor=10.0, real=10.3738)) == (
        "By your target the prism of factor 10 is one of 10.37; doubtful trees were taped at 10, so its tallies stay "
        "as they are."
    )
    facts = {"points": 4, "tallied": 35.0, "found": 37.0, "ratio": 1.05714, "times": 1.03858, "cv": 0.02822}
    assert said(reason("eye checked", **facts)) == (
        "On 4 points the tape found 37 trees where the eye counted 35, 1.057 times as many: all prism tallies times "
        "1.039, as far as so few points tell; 3% of doubt in the eye is left. Tallies of the checked points stay as "
        "the eye counted, times the same."
    )
    assert said(reason("eye unchecked", cv=0.05, points=1)) == (
        "One checked point tells nothing of the eye: it may be 5% off. Tape every tree at a few points and write how "
        "many are in as checked_count of plots.csv."
    )
