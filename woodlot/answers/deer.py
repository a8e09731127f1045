"""The deer in the answers: what a season knows of them, in words.

hunt_answer   without the cuts to come
herd_answer   with what the cuts to come add to eat
"""

from woodlot.deer.answer import DeerAnswer
from woodlot.say.reasons import worded
from woodlot.season import Season

__all__ = ["herd_answer", "hunt_answer"]


def hunt_answer(season: Season) -> DeerAnswer:
    """The deer: how many, what they eat, how many may be taken at most; nothing of the cuts to come."""
    return worded(season.hunt)  # type: ignore[no-any-return]


def herd_answer(season: Season) -> DeerAnswer:
    """The same with what the cuts to come add to eat."""
    return worded(season.herd)  # type: ignore[no-any-return]
