"""The years told in the answers: each stand today and in 10, 25 and 50 years, uncut and cut.

years_of   rows and words of each stand
how_told   how they are to be read
"""

from woodlot.answers.ageing import ageing_answers
from woodlot.answers.plain_cells import records
from woodlot.answers.year_types import YearTold
from woodlot.say import years_told
from woodlot.say.reasons import said
from woodlot.season import Season
from woodlot.tree.growth import growth_default

__all__ = ["how_told", "years_of"]


def years_of(season: Season) -> dict[str, tuple[tuple[YearTold, ...], str]]:
    """Rows and words of each stand by stand_id; a stand of which nothing is told has no rows and says why."""
    of, region = season.years_told, season.place.region
    plain = of.rows.astype(object).where(of.rows.notna(), None)
    rows = {sid: records(each.drop(columns="stand_id")) for sid, each in plain.groupby("stand_id")}
    standing = season.standing.stands
    plots = dict(zip(standing["stand_id"], zip(standing["plots"], standing["how"], strict=True), strict=True))
    ageing = {one.stand_id: one.words for one in ageing_answers(season.woods.stands, region=region)}
    horizon = growth_default("horizon_yr", region=region)
    out = {}
    for stand in records(season.woods.stands):
        sid = str(stand["stand_id"])
        told, (count, how) = rows.get(sid, []), plots[sid]
        line = years_told.stand_words(
            stand, told, ageing.get(sid, ""), said(of.why_not.get(sid)), int(count), how, horizon
        )
        out[sid] = tuple(YearTold(**row) for row in told), line
    return out


def how_told(season: Season) -> str:
    """How the years told are to be read: what their ranges are, and how far they are a forecast."""
    return years_told.how_told(growth_default("horizon_yr", region=season.place.region))
