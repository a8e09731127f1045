"""Where the next plots go, as answers: plots in the order of the walk, the walks, and what to do this weekend.

first_plots_answer   of the plots laid out, None where there is nothing to say
"""

from typing import Any

from woodlot.answers.plain_cells import records
from woodlot.answers.plot_types import FirstPlot, FirstPlots, PlotRound
from woodlot.region import Region
from woodlot.say import first_plots as say
from woodlot.say import next_plots as next_say
from woodlot.season import Season
from woodlot.stand import weekend
from woodlot.stand.next_plots import change_se

__all__ = ["first_plots_answer"]


def first_plots_answer(season: Season, of: weekend.FirstPlots | None = None) -> FirstPlots | None:
    """Where the plots of the next day go; of: other plots to be put into words."""
    found = season.first_plots if of is None else of
    if not len(found.plots) and not found.no_room and not found.later:
        return None
    parcels = season.measured.parcels
    names = dict(zip(parcels["parcel_id"].astype(str), parcels["name"].fillna(parcels["parcel_id"]), strict=True))
    rounds = tuple(_round(row, found, names) for row in records(found.rounds))
    begins = {one.round: one.begin for one in rounds}
    plots: list[FirstPlot] = []
    for row in records(found.plots):
        before = f"plot {plots[-1].plot_id}" if plots and plots[-1].round == row["round"] else begins[row["round"]]
        plots.append(_plot(row, before, names))
    minutes = sum(one.minutes for one in rounds)
    stands = list(dict.fromkeys(one.stand_id for one in plots))
    walks = [one.words for one in rounds]
    marked = sorted((one.plot_id for one in plots if one.for_good), key=lambda one: (len(one), one))
    over = found.hours if minutes > 60.0 * found.hours else None
    words = say.weekend(
        stands,
        walks,
        found.no_room,
        found.later,
        found.minutes_a_plot,
        found.minutes_mark,
        over,
        next_say.kept(marked, len(marked) == len(plots), _as_sharply(season.place.region)) if marked else "",
    )
    return FirstPlots(
        plots=tuple(plots),
        rounds=rounds,
        later=found.later,
        minutes=minutes,
        number=say.number(len(plots), len(stands)),
        how_long=say.how_long(minutes),
        words=tuple(words),
        hours=found.hours,
        first_stand=found.first_stand,
    )


def _as_sharply(region: Region) -> float:
    """How many times as sharply the same points tell growth as new ones."""
    again = region.figure("defaults_sampling", "again_rho")
    return change_se(1.0, 1.0, 1, 1.0) / change_se(1.0, 1.0, 1, 1.0, again)


def _mark(row: dict[str, Any], names: dict[str, str], kind: str, name: str, parcel: str) -> str:
    return say.landmark(row[kind], row[name] or "", names.get(row[parcel] or "", row[parcel] or ""))


def _round(row: dict[str, Any], found: weekend.FirstPlots, names: dict[str, str]) -> PlotRound:
    begin = _mark(row, names, "kind", "name", "parcel_id")
    ids = found.plots.loc[found.plots["round"] == row["round"], "plot_id"].tolist()
    told = say.a_round(begin, ids, row["walk_ft"], row["minutes"])
    kept = ("round", "lon", "lat", "back_ft", "back_deg", "walk_ft", "minutes")
    crossed = (row[f"back_{name}"] for name in ("over_water", "off_land"))
    back = say.way(row["back_ft"], row["back_deg"], f"here back to {begin}", *crossed)
    return PlotRound(**{name: row[name] for name in kept}, begin=begin, back=back, words=told)


def _plot(row: dict[str, Any], before: str, names: dict[str, str]) -> FirstPlot:
    kept = ("plot_id", "stand_id", "parcel_id", "round", "lon", "lat", "edge_ft", "from_ft", "from_deg")
    mark = _mark(row, names, "mark", "mark_name", "mark_parcel")
    twice = mark == before  # the walk begins at the nearest landmark
    return FirstPlot(
        **{name: row[name] for name in kept},
        mark_ft=row["mark_ft"],
        mark_deg=row["mark_deg"],
        way=say.way(row["from_ft"], row["from_deg"], before, row["over_water"], row["off_land"]),
        check="" if twice else say.check(row["mark_ft"], row["mark_deg"], mark),
        for_good=bool(row["for_good"]) or None,
    )
