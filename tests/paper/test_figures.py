"""Charts draw what they are given, to scale."""

import re
from dataclasses import replace

import pytest

from woodlot.answers.chart_types import RiskBar, Stock
from woodlot.answers.house_types import HouseWinter
from woodlot.deer.answer import Ends, LongRun
from woodlot.estimate import Number
from woodlot.paper import deer_charts, figures


@pytest.mark.parametrize(
    ("most", "marks"),
    [
        (40.0, [0, 20, 40]),
        (5600.0, [0, 2000, 4000, 6000]),
        (1.0, [0, 0.5, 1.0]),
        (60.0, [0, 20, 40, 60]),
        (0.0, [0.0, 1.0]),
        (7.9, [0, 5, 10]),
    ],
)
def test_ticks_are_round_and_reach_the_top_by_hand(most, marks):
    """A third of the top, rounded up to 1, 2, 2.5 or 5 times a power of ten, as often as it takes."""
    assert figures.ticks(most) == pytest.approx(marks)


def test_cover_bars_are_as_long_as_their_acres(drawn, answers):
    """The longest parcel's bar is 530 px; every bar is in proportion (to a tenth of a pixel each stand)."""
    acres = {s.stand_id: s.acres for s in answers.stands}
    svg = figures.cover_bars(drawn, acres)
    rects = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="18" fill="#', svg)
    by_row = {}
    for _, y, width in rects:
        by_row[float(y)] = by_row.get(float(y), 0.0) + float(width)
    of = {s.stand_id: s.parcel_id for s in answers.stands}
    totals = [sum(a for k, a in acres.items() if of[k] == p["id"]) for p in drawn["parcels"]]
    scale = 530 / max(totals)
    assert list(by_row.values()) == pytest.approx([t * scale for t in totals], abs=0.3)


def test_a_range_lies_on_its_axis_by_hand():
    """Value 20 of an axis to 40 lies halfway between 238 and 690: 464; its range 10 to 30 from 351 to 577."""
    row = figures.Ranged("1", "Oak", Number(20.0, 10.0, 30.0), "")
    top = figures.Ranged("2", "Pine", Number(40.0), "one plot")
    svg = figures.ranges([row, top], "cords")
    assert 'cx="464"' in svg
    assert "M351 12.3H577" in svg
    assert "one plot" in svg


def test_what_is_not_measured_is_hatched_with_words():
    """A stand without a number has a hatch and words, no dot."""
    svg = figures.ranges([figures.Ranged("4", "Brush", None, "not measured")], "cords")
    assert "not measured" in svg and "hatch-ink" in svg
    assert svg.count("<circle") - figures.hatches("r-").count("<circle") == 1, "only the dot of the key"


def test_stock_ends_where_its_numbers_end_by_hand():
    """Plan from 100 to 200 on an axis to 300: the line ends at 148 - 200 / 300 x 136 = 57.3."""
    svg = figures.stock(
        Stock(
            title="",
            years=(2026, 2076),
            plan=(100.0, 200.0),
            plan_words="plan",
            low=(90.0, 120.0),
            high=(110.0, 300.0),
        )
    )
    assert "L262 57.3" in svg
    assert ">2026<" in svg and ">2076<" in svg


def test_risk_shows_nought_and_shades_the_share():
    """Every column has its dot; the family's share is first, shaded and named, and has no pounds."""
    alone = Ends(1.0, 1.0, 2.0)
    rows = [RiskBar(d, False, 0.0, v, v / 2, v * 2, none=alone) for d, v in enumerate((2.0, 4.0, 15.0))]
    svg = deer_charts.risk([RiskBar(1, True, 0.0, 3.0, 3.0, 5.0, alone, True), *rows])
    assert svg.count(">plan<") == svg.count(">share<") == 1 and svg.count(" lb<") == 3
    dots = svg.count("<circle") - figures.hatches("k-").count("<circle")
    assert dots == 4 + 4 + 2, "each take, the neighbors alone beside it, and the two of the key"
    assert ">0</text>" in svg


def test_the_family_that_does_not_hunt_is_drawn_beside_each_take_by_hand():
    """Axis to 100, 118 px high: 30 of 100 lies at 126 - 35.4 = 90.6; a white dot at 1 of 100 (124.8) left of each take.

    Two takes in 290 px: columns at 116.5 and 261.5, the take 9 px right of it, the neighbors alone 9 px left.
    """
    alone = Ends(1.0, 1.0, 5.0)
    rows = [RiskBar(d, not d, m, v, v / 2, v * 3, alone) for d, v, m in ((0, 10.0, 54.0), (1, 30.0, 94.0))]
    svg = deer_charts.risk(rows)
    assert 'cx="270.5" cy="90.6"' in svg and 'cx="125.5" cy="114.2"' in svg
    for x in (107.5, 252.5):
        assert f'<circle cx="{x}" cy="124.8" r="4.5" fill="#FFFFFF"' in svg
    assert ">neighbors hunt, you do not<" in svg and ">you too<" in svg and ">50 lb<" in svg and ">90 lb<" in svg


def test_meat_against_take_by_hand():
    """10 lb on an axis to 10, 108 px high, tops at 22; a share of 4 of 8 lies in the middle, 44 + 106 = 150."""
    series = LongRun(
        share_pct=(0.0, 4.0, 8.0),
        first_lb=(0.0, 5.0, 10.0),
        settled_lb=(0.0, 5.0, 0.0),
        left=(1.0, 0.9, 0.2),
        top_pct=4.0,
        flat_pct=(3.0, 5.0),
        top_range_pct=(3.0, 5.0),
        now_pct=2.0,
        words="",
    )
    svg = deer_charts.meat(series)
    assert "M44 130L150 76L256 22" in svg and "M44 130L150 76L256 130" in svg
    assert all(f">{w}<" in svg for w in ("flat top", "slow slide", "now", "the first", "long run"))
    assert ">now<" not in deer_charts.meat(replace(series, now_pct=30.0))


def test_heat_stacks_by_hand():
    """5 stacked and 2 to cut on an axis to 10: bars 54 and 21.6 px high, the second on the first."""
    svg = figures.heat([HouseWinter("2026–27", 5.0, 2.0, Number(7.9, 6.4, 9.6))])
    assert 'height="54"' in svg and 'height="21.6"' in svg
    assert 'y="80" width="44" height="54"' in svg and 'y="58.4" width="44" height="21.6"' in svg


def test_names_in_charts_are_escaped():
    """A stand's name with a tag in it stays words."""
    svg = figures.ranges([figures.Ranged("<b>", "<script>", None, "not measured")], "cords")
    assert "<script>" not in svg and "&lt;script&gt;" in svg
