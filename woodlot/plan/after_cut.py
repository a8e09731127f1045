"""What comes after a cut, and what to mind then, by cover and way of cutting (after_cut.csv). Published facts only."""

from woodlot.covers import OTHER, lineage
from woodlot.estimate import Reason, reason
from woodlot.region import Region

__all__ = ["after_cut"]

TOPIC, ANY = "after_cut", "any"
#: Lines in the order they are told.
LINES = (("comes", True), ("mind", True), ("brush", False))


def after_cut(cover: str, way: str, region: Region) -> tuple[Reason, ...]:
    """What comes up, what to mind, and brush: the lines of the cover, of the one it goes as, or of any other cover."""
    rows = region.records(TOPIC, "cover", "way", "topic")
    out = []
    for topic, by_cover in LINES:
        keys = [(name, way, topic) for name in (*lineage(cover, region), OTHER)] if by_cover else [(ANY, ANY, topic)]
        found = next((rows[key] for key in keys if key in rows), None)
        if found is not None:
            out.append(reason("after the cut", text=str(found["text"]), seen=str(found["seen"])))
    return tuple(out)
