"""What is said of the heat of the house.

heat_tables_differ   why other people's heat tables differ
"""

from woodlot.region import Region

__all__ = ["heat_tables_differ"]


def heat_tables_differ(region: Region) -> list[str]:
    """Why heat tables of one species disagree: a first sentence on all, then one on each table."""
    first = "Heat tables of one species differ by 10 to 25 percent from definition alone: solid feet, water, basis."
    return [first, *region.table("heat_tables")["words"].astype(str)]
