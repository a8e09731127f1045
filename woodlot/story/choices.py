"""What a family chose, or else what its region holds.

choice   one choice of place.toml by name
"""

from typing import Any

from woodlot import tables
from woodlot.place import Place

__all__ = ["choice"]


def choice(place: Place, name: str) -> Any:
    """What the family chose in place.toml, else what its region holds. Raises TableError for a name nobody knows."""
    told = place.choices.get(name)
    return tables.choice(name, of=place.region) if told is None else told
