"""The house in the answers: what it burns, what is dry or drying, and what the coming winters need.

house_answer    this winter's heat
heat_row        the same as a row of the first screen, which other screens show too
winters_ahead   dry wood beside the need, winter by winter
"""

import pandas as pd

from woodlot.answers.chart_types import House, HouseWinter
from woodlot.answers.types import Row
from woodlot.say import house as say
from woodlot.say.reasons import plain
from woodlot.season import Season

__all__ = ["heat_row", "house_answer", "winters_ahead"]


def house_answer(season: Season) -> House:
    """What the house needs, what is dry, what is short."""
    heat = season.heat
    numbers = {"needed": heat.needed and plain(heat.needed), "short": heat.short and plain(heat.short)}
    return House(**(vars(heat) | numbers | {"dry_on": heat.dry_on and heat.dry_on.isoformat()}))


def heat_row(season: Season) -> Row | None:
    """The answer on heat, the same wherever it is said; None where nobody told the need."""
    parts = say.heat(season.heat)
    return parts and Row("heat", "Heat", *parts)


def winters_ahead(house: House, entries: pd.DataFrame, first: int, winters: int = 5) -> tuple[HouseWinter, ...]:
    """Dry wood and the need of the coming winters: what is dry or drying now, what the plan cuts a winter earlier.

    entries: of the schedule (period, stove_cords); first: the year in which this winter begins.
    """
    need = house.needed
    if need is None or need.value is None:
        return ()
    cut = entries.groupby("period")["stove_cords"].sum()
    stacked = [house.dry_cords + house.burned_cords, house.drying_cords, house.later_cords]
    rows, left = [], 0.0
    for i in range(winters):
        label = f"{(first + i) % 100:02d}–{(first + i + 1) % 100:02d}"
        here = float(stacked[i]) if i < len(stacked) else 0.0
        made = left + (float(cut.get(i - 1, 0.0)) if i else 0.0)
        rows.append(HouseWinter(label, here, made, need))
        left = max(here + made - need.value, 0.0)
    return tuple(rows)
