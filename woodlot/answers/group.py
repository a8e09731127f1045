"""The group in the answers: families who pool ground and take.

GroupFamily, GroupFall, GroupAnswer   its parts, and all of it
group_answer                          of a season
"""

from dataclasses import dataclass

from woodlot.plan.hunt import season_of
from woodlot.say import group as say
from woodlot.season import Season

__all__ = ["GroupAnswer", "GroupFall", "GroupFamily", "group_answer"]


@dataclass(frozen=True)
class GroupFamily:
    """One family of the group: acres, the last fall in which it took a doe, falls waited since, deer on record."""

    family: str
    own: bool
    acres: float
    last_doe: int | None
    waited_falls: int
    does: float
    bucks: float


@dataclass(frozen=True)
class GroupFall:
    """What all families took in one fall."""

    fall: int
    does: float
    bucks: float


@dataclass(frozen=True)
class GroupAnswer:
    """The group for the season of a fall; out_of_reach_ac: acres by family that other deer use."""

    season: int
    acres: float
    reach_ft: float
    families: tuple[GroupFamily, ...]
    falls: tuple[GroupFall, ...]
    next_doe_to: str
    out_of_reach_ac: dict[str, float]
    left_out: tuple[str, ...]
    handed_out: tuple[str, ...]


def group_answer(season: Season) -> GroupAnswer:
    """The group of a place in the season that its plan speaks of."""
    place, group = season.place, season.group
    this_fall, reach = season_of(season.day, place.pellets), place.region.figure("defaults_herd", "group_home_range_ft")
    waited, taken = group.waited(this_fall), group.killed_by_fall()
    families = tuple(
        GroupFamily(
            family=one.name,
            own=one.name == group.own,
            acres=one.acres,
            last_doe=one.last_doe(this_fall),
            waited_falls=waited[one.name],
            does=float(one.killed_by_fall["does"].sum()),
            bucks=float(one.killed_by_fall["bucks"].sum()),
        )
        for one in group.families
    )
    return GroupAnswer(
        season=this_fall,
        acres=group.acres,
        reach_ft=reach,
        families=families,
        falls=tuple(
            GroupFall(int(fall), float(does), float(bucks))
            for fall, does, bucks in zip(taken.index, taken["does"], taken["bucks"], strict=True)
        ),
        next_doe_to=group.next_doe_to(this_fall),
        out_of_reach_ac=dict(group.left_out_ac),
        left_out=tuple(say.left_out(group, place.group.not_agreed, place.group.no_file, reach)),
        handed_out=(say.IN_THE_FILE, say.NOT_IN_IT),
    )
