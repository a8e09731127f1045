"""What the household wants in the answers: the list that fell, cut and plan share, and its row of the first screen.

wants_answer   everything wanted, in the family's order
wants_row      what is still to make and what is late
"""

from woodlot.answers.types import Row
from woodlot.answers.want_types import Wanted
from woodlot.say import wants as say
from woodlot.season import Season

__all__ = ["wants_answer", "wants_row"]


def wants_answer(season: Season) -> tuple[Wanted, ...]:
    """Everything the household wants, less what the ledger says is made."""
    return tuple(
        Wanted(
            line=want.line.name,
            product=want.line.product,
            unit=want.line.unit,
            asked=want.asked_number,
            made=want.made_number,
            left=want.left,
            mmbtu=want.line.mmbtu if want.mmbtu_each else None,
            often=want.often,
            by=None if want.by is None else want.by.isoformat(),
            late=want.late(season.day),
            asked_on=None if want.asked_on is None else want.asked_on.isoformat(),
            purpose=want.purpose,
            build=want.build,
            words=say.want(want, season.day),
        )
        for want in season.wants
    )


def wants_row(season: Season) -> Row | None:
    """The row of the first screen; None where nothing is wanted."""
    parts = say.row(season.wants, season.day)
    return parts and Row("wants", "The house wants", *parts)
