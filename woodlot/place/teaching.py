"""What the family's ledger teaches of the figures by which its place is told.

lessons       what the jobs of a ledger teach
as_taught     choices and region as the woodpile taught them
of_job        the job of a line, and in words what the table foretells of its trees
"""

import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import pandas as pd

from woodlot import ledger
from woodlot.errors import InputError
from woodlot.region import Region
from woodlot.say import woodpile
from woodlot.wood.taught import CORD, ENDS, Foretold, Taught, foretold, learn, trees_of

__all__ = ["TEACHES", "as_taught", "lessons", "of_job"]

#: The choice by which the woodpile teaches or does not.
TEACHES = "woodpile_teaches"
#: More cords than this are no job of a family.
MOST_CORDS = 10_000.0
_SOLID = "solid_cuft_per_cord"


def lessons(book: pd.DataFrame, choices: Mapping[str, Any], as_of: date, *, region: Region) -> Taught:
    """What the jobs of a ledger teach; nothing where the family does not wish it."""
    wished = choices.get(TEACHES) is not False and len(book)
    return learn(ledger.standing(book), as_of, region=region) if wished else Taught(())


def as_taught(
    choices: Mapping[str, Any], region: Region, learned: Mapping[str, float]
) -> tuple[dict[str, Any], Region]:
    """The same choices and region with these factors in place of those they have."""
    solid = float(choices[_SOLID]) / region.times(CORD)
    same = dict(region.learned) == dict(learned)
    return {**choices, _SOLID: solid * learned.get(CORD, 1.0)}, region if same else region.taught(learned)


def of_job(
    tally: pd.DataFrame, choices: Mapping[str, Any], names: Sequence[str], told: str | None = None, *, region: Region
) -> tuple[str, str]:
    """The job of a line of the ledger, and what was foretold of it in words; names: marks or numbers of trees of the
    tally.

    told: cords that were foretold of how many trees (4.2 of 10), in place of what the tally says. Raises InputError
    where neither is there, and for a name that the line could not give back.
    """
    if lost := [name for name in names if not name.strip(" +") or set(name) & set(ENDS)]:
        raise InputError(
            f"a job is named by the mark or number of its trees, without {' '.join(ENDS)}, not {lost[0]!r}"
        )
    if told is not None:
        return " + ".join(names), woodpile.foretold(_by_hand(told))
    trees = tally[trees_of(tally, " + ".join(names).lower())]
    strange = [name for name in names if not trees_of(tally, name.lower()).any()]
    solid = float(choices[_SOLID]) / region.times(CORD)
    said = foretold(trees, str(choices["division"]), solid, region=region)
    if said is None or strange:
        raise InputError(
            f"no tree of the tally has the mark or number {' or '.join(strange or names)}; with --foretold say what "
            "was foretold of how many trees, such as 4.2 of 10"
        )
    return " + ".join(names), woodpile.foretold(said)


def _by_hand(told: str) -> Foretold:
    found = re.fullmatch(r"\s*(\d+(?:\.\d+)?|\.\d+)\s*(?:cords?\s*)?of\s*(\d{1,6})\s*(?:trees?)?\s*", told.lower())
    if found is None or not (0.0 < float(found[1]) < MOST_CORDS and int(found[2]) > 0):
        raise InputError(f"what was foretold is cords of how many trees, such as 4.2 of 10, not {told!r}")
    return Foretold(float(found[1]), int(found[2]))
