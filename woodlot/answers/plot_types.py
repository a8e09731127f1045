"""Plots that are still to be measured, as answers: plots in the order of the walk, the walks, what to do."""

from dataclasses import dataclass, field

from woodlot.answers.as_json import LEFT_OUT
from woodlot.say.first_plots import FOR_GOOD

__all__ = ["FirstPlot", "FirstPlots", "PlotRound"]


@dataclass(frozen=True)
class FirstPlot:
    """A plot to measure: where it is, and the way to it from the plot before (or where the walk begins).

    edge_ft: what it keeps from the edge of its stand; mark_ft, mark_deg: from the nearest landmark, in ``check``;
    for_good: its center is to be marked, so that growth is measured there again.
    """

    plot_id: str
    stand_id: str
    parcel_id: str | None
    round: int
    lon: float
    lat: float
    edge_ft: float
    from_ft: float
    from_deg: float
    mark_ft: float
    mark_deg: float
    way: str
    check: str
    for_good: bool | None = field(default=None, metadata=LEFT_OUT)

    @property
    def whole_way(self) -> str:
        """The way from the plot before, the bearing from the nearest landmark, and whether it is marked for good."""
        return "; ".join(filter(None, (self.way, self.check, FOR_GOOD if self.for_good else "")))


@dataclass(frozen=True)
class PlotRound:
    """A walk on ground that joins: where it begins, back from its last plot, all of it."""

    round: int
    begin: str
    lon: float
    lat: float
    back_ft: float
    back_deg: float
    back: str
    walk_ft: float
    minutes: float
    words: str


@dataclass(frozen=True)
class FirstPlots:
    """Plots to measure next; words: what to do, one sentence each; later: stands without plots for another day; hours:
    that were to be had; first_stand: where plots tell most.
    """

    plots: tuple[FirstPlot, ...]
    rounds: tuple[PlotRound, ...]
    later: tuple[str, ...]
    minutes: float
    number: str
    how_long: str
    words: tuple[str, ...]
    hours: float | None = field(default=None, metadata=LEFT_OUT)
    first_stand: str | None = field(default=None, metadata=LEFT_OUT)

    @property
    def without_walks(self) -> tuple[str, ...]:
        """``words`` without those of the walks, for where each way is told."""
        walks = {one.words for one in self.rounds}
        return tuple(line for line in self.words if line not in walks)
