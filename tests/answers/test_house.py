"""The house in the answers: the household of the wood chapter, its estimates as numbers."""

from dataclasses import fields
from datetime import date
from types import SimpleNamespace

import pandas as pd

from woodlot.answers.house import heat_row, house_answer
from woodlot.answers.house_types import House
from woodlot.region import shipped
from woodlot.say.house import heat
from woodlot.say.reasons import plain
from woodlot.wood import heating

LEDGER = pd.DataFrame(columns=["line", "date", "kind", "amount", "unit", "text", "parcel_id"]).astype(
    {"date": "datetime64[ns]", "amount": float}
)


def season(**needs):
    """What is asked of a season here."""
    house = heating.household(needs, LEDGER, date(2026, 11, 25), 3.5, region=shipped("base"))
    return SimpleNamespace(heat=house)


def test_each_field_is_the_households():
    """Estimates as numbers with their reason, the day as it is written, all else as it is."""
    asked = season(firewood_cord=7, dry_cord=4.5, dry_on=date(2026, 11, 1))
    answer = house_answer(asked)
    assert (answer.needed, answer.short) == (plain(asked.heat.needed), plain(asked.heat.short))
    assert answer.needed.why == "as you wrote it" and answer.dry_on == "2026-11-01"
    others = [f.name for f in fields(House) if f.name not in ("needed", "short", "dry_on", "wood", "measured")]
    assert {name: getattr(answer, name) for name in others} == {name: getattr(asked.heat, name) for name in others}
    assert [(one.where, one.winter, one.cords, one.words) for one in answer.wood] == [
        ("dry", "2026–27", 4.5, "Dry now")
    ]
    row = heat_row(asked)
    assert (row.topic, row.title) == ("heat", "Heat") and (row.number, row.range, row.why) == heat(asked.heat)


def test_a_need_that_nobody_wrote():
    """No need: nothing is short, no day, no row."""
    asked = season(dry_cord=4.5)
    answer = house_answer(asked)
    assert (answer.needed, answer.short, answer.dry_on, answer.covers_pct) == (None, None, None, None)
    assert answer.dry_cords == 4.5 and heat_row(asked) is None
