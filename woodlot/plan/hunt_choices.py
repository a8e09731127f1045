"""What a family chose for its deer.

Choices, choices    the part [deer] of place.toml, the tags, the venison wished for
"""

from collections.abc import Mapping
from dataclasses import dataclass

from woodlot.deer.options import DeerSettings

__all__ = ["Choices", "choices"]


@dataclass(frozen=True)
class Choices:
    """The part [deer] of place.toml; tags for does and for bucks; pounds of venison wished for a year."""

    given: DeerSettings
    tags: tuple[float | None, float | None]
    meat_lb: float | None


def choices(options: DeerSettings, limits: Mapping, meat_lb: float | None) -> Choices:
    """The family's choices."""
    return Choices(options, (limits.get("tags_doe"), limits.get("tags_buck")), meat_lb)
