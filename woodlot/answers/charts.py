"""Series that the report draws, where something was worked out for them.

fullness      each stand by its stocking guide
structures    uneven-aged stands beside the structure to keep
stock         what stands over the years
risk          the family's share, and does taken every fall, against the chance that the herd halves
"""

from woodlot.answers.chart_types import Full, Marked, RiskBar, Size, Stock, Structure
from woodlot.deer.answer import Ends, Risk
from woodlot.estimate import Number
from woodlot.plan import charts
from woodlot.plan.scheduled import Schedule
from woodlot.plan.turns import Cutting
from woodlot.region import Region

__all__ = ["fullness", "risk", "stock", "structures"]


def fullness(cutting: Cutting, *, region: Region) -> tuple[Full, ...]:
    """How full each measured stand is by the guide of its cover."""
    return tuple(Full(**row) for row in charts.fullness(cutting.woods, cutting.yearly, region=region))


def structures(cutting: Cutting, *, region: Region) -> tuple[Structure, ...]:
    """Uneven-aged stands beside the structure they should keep."""
    return tuple(
        Structure(
            **row
            | {
                "classes": tuple(Size(**size) for size in row["classes"]),
                "guide": tuple(Marked(**mark) for mark in row["guide"]),
            }
        )
        for row in charts.structures(cutting.woods, cutting.yearly, region=region)
    )


def stock(later: Schedule) -> Stock | None:
    """The stock over the years: the plan, and nothing cut beside it (dashed); None where nothing stands."""
    planned = later.stock["cords"].tolist()
    if not any(planned):
        return None
    return Stock(
        title="What stands in fifty years, if you go on so",
        years=tuple(later.stock["year"].tolist()),
        plan=tuple(planned),
        plan_words="as planned",
        heavier=tuple(later.uncut.tolist()),
        heavier_words="nothing cut",
    )


def risk(of: Risk[Number, str]) -> tuple[RiskBar, ...]:
    """Chance in 100 that the herd halves in ten years: with the family's share, with so many does every fall, and
    beside each the same when only the neighbors hunt.
    """
    if of.no_hunting is None or of.no_hunting_high is None or of.you_too is None or of.you_too_high is None:
        return ()
    value, high = 100.0 * of.no_hunting.halved_10, 100.0 * of.no_hunting_high.halved_10
    alone = Ends(value, value, high)
    named = next(take for take in of.takes if take.plan)
    with_share, with_high = 100.0 * of.you_too.halved_10, 100.0 * of.you_too_high.halved_10
    share = RiskBar(named.does, True, 0.0, with_share, with_share, with_high, alone, True)
    return (
        share,
        *(
            RiskBar(
                take.does,
                False,
                take.meat_lb.value or 0.0,
                100.0 * take.halved_10.value,
                100.0 * take.halved_10.low,
                100.0 * take.halved_10.high,
                alone,
            )
            for take in of.takes
        ),
    )
