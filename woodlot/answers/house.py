"""The house in the answers: what it burns, what is dry or drying, and what the coming winters need.

house_answer    this winter's heat; house_of: by needs and ledger alone
wood_on_hand    where the firewood lies, what is dry by when, what went
heat_row        the same as a row of the first screen, which other screens show too
winters_ahead   dry wood beside the need, winter by winter
"""

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

import pandas as pd

from woodlot.answers.house_types import House, HouseWinter, MeasuredStack, WoodHeap
from woodlot.place.teaching import as_taught, lessons
from woodlot.region import Region
from woodlot.say import house as say
from woodlot.say.reasons import plain
from woodlot.say.words import winter_of
from woodlot.wood import heating
from woodlot.wood.heating import Household
from woodlot.wood.on_hand import OnHand

if TYPE_CHECKING:  # a season opens all chapters, and the ledger's wood needs few
    from woodlot.answers.types import Row
    from woodlot.season import Season

__all__ = ["heat_row", "house_answer", "house_of", "measured_stacks", "winters_ahead", "wood_on_hand"]


def house_answer(season: "Season") -> House:
    """What the house needs, what is dry, what is short."""
    return _house(season.heat)


def house_of(
    needs: Mapping[str, Any], standing: pd.DataFrame, day: date, choices: Mapping[str, Any], *, region: Region
) -> House:
    """The same of settings and ledger alone, the cord as its woodpile taught it; standing: lines that count."""
    learned = lessons(standing, choices, day, region=region).learned
    solid = float(as_taught(choices, region, learned)[0]["solid_cuft_per_cord"])
    return _house(heating.household(needs, standing, day, solid_cuft_per_cord=solid, region=region))


def _house(heat: Household) -> House:
    numbers = {"needed": heat.needed and plain(heat.needed), "short": heat.short and plain(heat.short)}
    told = {"wood": wood_on_hand(heat), "measured": measured_stacks(heat)}
    return House(**(vars(heat) | numbers | told | {"dry_on": heat.dry_on and heat.dry_on.isoformat()}))


def wood_on_hand(there: OnHand) -> tuple[WoodHeap, ...]:
    """Where the firewood lies, what is dry by which winter, what was burned and given."""
    return tuple(
        WoodHeap(
            heap.where,
            None if heap.by_winter is None else winter_of(heap.by_winter),
            heap.cords,
            heap.mmbtu,
            heap.lines,
            say.heap(heap),
        )
        for heap in there.wood
    )


def measured_stacks(there: OnHand) -> tuple[MeasuredStack, ...]:
    """Stacks that were measured, and by how much the lines before them were off."""
    return tuple(
        MeasuredStack(
            one.day.isoformat(),
            one.lines,
            one.species,
            one.counted_cords,
            one.brought_cords,
            one.cords,
            one.off_cords,
            say.measured(one),
        )
        for one in there.measured
    )


def heat_row(season: "Season") -> "Row | None":
    """The answer on heat, the same wherever it is said; None where nobody told the need."""
    from woodlot.answers.types import Row

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
