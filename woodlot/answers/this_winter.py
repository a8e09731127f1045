"""The work of this winter in the answers: the list, its row on the first screen, how tally and plan fit.

winter_answer   the list with its sum
winter_row      the same as a row of the first screen
fits            how the trees of the tally and the stands of the plan share what is wanted
"""

from collections.abc import Callable
from typing import Any

from woodlot.answers.fell_sheet import records, sheet
from woodlot.answers.types import Row
from woodlot.answers.winter_types import Meets, ThisWinter, WinterTask, WinterWant
from woodlot.plan.winter_list import Task
from woodlot.say import fell
from woodlot.say import winter_list as say
from woodlot.say.words import NO_PARCEL
from woodlot.season import Season
from woodlot.wood import products

__all__ = ["fits", "winter_answer", "winter_row"]


def winter_answer(season: Season) -> ThisWinter:
    """Tally, salvage and plan in one order, with their sum."""
    of = season.winter
    units = {want.name: want.unit for want in of.wants}
    tasks = tuple(_task(season, one, at, units) for at, one in enumerate(of.tasks, 1))
    summed = ("trees", "cords", "firewood_cords", "bdft", "days")
    sums: dict[str, Any] = {name: float(sum(getattr(one, name) for one in tasks)) for name in summed}
    return ThisWinter(
        tasks=tasks,
        **sums,
        days_have=of.days_have,
        wants=tuple(
            WinterWant(
                name=want.name,
                unit=want.unit,
                wanted=want.wanted,
                from_tally=want.from_tally,
                from_plan=want.from_jobs,
                short=want.short,
                words=say.want(want),
            )
            for want in of.wants
        ),
        words=say.whole(of),
        fits=fits(season),
        marked=of.marked,
        marked_words=say.marked(of),
        **_buck_sheet(season),
    )


def _buck_sheet(season: Season) -> dict[str, Any]:
    """The trees of the tally that fall with their cuts, those not for hand felling, and years of posts."""
    of, region = season.felling, season.place.region
    away = [
        (row["tree"] or str(row["position"] + 1), row["species"], row["why"])
        for row in records(of.trees[of.trees["why"] != ""])
    ]
    posts = products.post_years(of.pieces, of.trees["species"], region=region) if len(of.pieces) else ()
    trees = of.trees.iloc[of.fell]
    return {
        "sheet": sheet(trees, of.pieces, [line.purpose for line in of.asked], region=region) if len(trees) else (),
        "not_by_hand": fell.not_by_hand(away),
        "posts": fell.posts(posts),
    }


def _task(season: Season, of: Task, order: int, units: dict[str, str]) -> WinterTask:
    same = ("kind", "stand_id", "parcel_id", "trees", "tree_names", "not_by_hand", "cords", "firewood_cords")
    more = ("heat_mmbtu", "bdft", "days", "acres", "ft_from_road", "miles_from_home", "months")
    return WinterTask(
        order=order,
        **{name: getattr(of, name) for name in (*same, *more)},
        title=say.title(of),
        words=say.task(of, _parcels(season)(of.parcel_id), units),
        why=say.why_here(of),
        meets=tuple(Meets(name, units[name], number) for name, number in of.gives.items() if number > 0),
        cautions=say.cautions(of),
    )


def _parcels(season: Season) -> Callable[[str | None], str]:
    """The name of a parcel by its id."""
    named = dict(zip(season.measured.parcels["parcel_id"], season.measured.parcels["name"], strict=True))
    return lambda parcel_id: str(named.get(parcel_id) or NO_PARCEL)


def winter_row(season: Season) -> Row:
    """The list as a row of the first screen."""
    parcel = _parcels(season)
    tasks = [say.brief(one, parcel(one.parcel_id)) for one in season.winter.tasks]
    return Row("winter", "This winter's work", *say.row(season.winter, tasks))


def fits(season: Season) -> str:
    """The sentence of tally and plan; where the tally gives all that is wanted no schedule is asked."""
    felled = season.felling
    trees = int((felled.trees["fell"] & (felled.trees["why"] == "")).sum())
    wants = season.wants_met
    if not trees or not any(want.short for want in wants):
        return say.fits(trees, wants, ())
    of = season.winter
    stands = [one.stand_id for one in of.tasks if one.kind not in say.TALLY]
    return say.fits(trees, of.wants, list(dict.fromkeys(stands)))
