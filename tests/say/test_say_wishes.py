"""What is said of the family's wishes and of the sugarbush, word for word."""

import pandas as pd
import pytest

from woodlot.estimate import Number
from woodlot.region import shipped
from woodlot.say import wishes
from woodlot.wood.sugarbush import Noted

CORDS = Number(123.4, 80.0, 171.0, "cords", "interval", 0.9)
NONE = Number(unit="cords", why="no plot here yet; three would give a first figure")


@pytest.mark.parametrize(
    ("facts", "sentence"),
    [
        (("never cut", None, 4.5, 4.5, True), "Never cut, your wish."),
        (("never cut", None, 5.26, 12.04, False), "Never cut: 5.3 of its 12.0 acres, your wish."),
        (("keep", 2030, 4.5, 4.5, True), "Kept until 2030, your wish."),
        (("sugarbush", None, 4.5, 4.5, True), "Sugarbush: thinned for crowns, maples last, your wish."),
        (
            ("view", 2031, 1.0, 4.5, False),
            "View until 2031: 1.0 of its 4.5 acres, no patches, single trees only, your wish.",
        ),
    ],
)
def test_a_wish_of_a_stand(facts, sentence):
    """One sentence a stand and wish."""
    assert wishes.of_stand(*facts) == sentence


def test_wood_under_a_wish():
    """Cords with their range and ground; acres without plots are said; without any number why."""
    assert wishes.wood("never cut", 16.31, 0.0, CORDS) == (
        "Of what stands, 120 full cords (80 to 170, 90%) are on 16.3 acres where you never cut."
    )
    assert wishes.wood("keep", 16.31, 2.0, CORDS).endswith("where you wish no cut yet. 2.0 acres of it have no plots.")
    assert wishes.wood("view", 1.0, 1.0, NONE) == "1.0 acre where you wish a view: no plot stands there yet."


def test_the_row_of_the_first_screen():
    """Cords and acres that are shut, then where every wish holds; none where nothing is shut."""
    stands = [("1", "never cut", 5.26, False), ("4", "never cut", 4.5, True), ("8", "cut first", 6.6, True)]
    number, told, why = wishes.row([("never cut", 9.76, CORDS, "..."), ("cut first", 6.6, CORDS, "...")], stands)
    assert (number, told) == ("120 full cords", "80 to 170, 90%; 9.8 acres never cut")
    first = "What stands there is in the sum above and in no cut."
    assert why == f"{first} Never cut: stands 1 (5.3 acres) and 4. Cut first: stand 8."
    assert wishes.row([("never cut", 9.76, NONE, "...")], stands)[0] == "9.8 acres never cut"
    assert wishes.row([("cut first", 6.6, CORDS, "...")], stands[2:]) is None


def test_a_sugarbush():
    """Taps, syrup, taps that rot takes away, taps noted with their syrup, and gallons of the last spring."""
    base = shipped("base")
    taps = Number(1066.0, 743.0, 1530.0, "taps", "interval", 0.9)
    syrup = Number(248.0, 105.0, 502.0, "gallons of syrup", "assumptions", None, why="ten gallons a tap")
    told = Noted(140, pd.Timestamp("2024-03-16"), 2026, 1250.0, 31.0)
    said = wishes.sugarbush(taps, syrup, 12.4, told, syrup, base)
    assert said == (
        "1,100 taps (740 to 1,500, 90%) on sound maples: 1 from 12 inches and 2 from 18 inches.",
        "250 gallons of syrup (100 to 500, assumptions) a spring: ten gallons a tap.",
        "Another 12 taps would be on maples noted as rotten, dying or broken: not counted.",
        "You noted 140 taps on 16 Mar 2024: 250 gallons of syrup (100 to 500, assumptions) a spring.",
        "Noted in 2026: 1,250 gallons of sap and 31 gallons of syrup.",
    )
    bare = Number(unit="taps", why="no plot here yet; three would give a first figure")
    (only,) = wishes.sugarbush(bare, syrup, 0.0, Noted(), None, base)
    assert only == "No number of taps yet: no plot here yet; three would give a first figure."
    (thin,) = wishes.sugarbush(Number(0.0, unit="taps"), syrup, 0.0, Noted(), None, base)
    assert thin.startswith("No tap yet: no sound maple on its plots is thick enough (1 from 12 inches")
    assert wishes.sap_row([("9", bare, (only,))]) == (
        "No number of taps yet",
        "",
        "Stand 9. No plot here yet; three would give a first figure.",
    )
    assert wishes.sap_row([("9", Number(0.0, unit="taps"), (thin,))])[0] == "No tap yet"
    number, span, why = wishes.sap_row([("7", taps, said), ("9", bare, (only,))])
    assert (number, span) == ("1,100 taps", "740 to 1,500, 90%") and why.startswith("Stand 7. 250 gallons")
    assert why.endswith("Stand 9: No number of taps yet: no plot here yet; three would give a first figure.")
