"""Plots that are still to be measured, as answers: plots in the order of the walk, the walks, what to do."""

from dataclasses import dataclass

__all__ = ["FirstPlot", "FirstPlots", "PlotRound"]


@dataclass(frozen=True)
class FirstPlot:
    """A plot to measure: where it is, and the way to it from the plot before (or where the walk begins).

    edge_ft: what it keeps from the edge of its stand; mark_ft, mark_deg: from the nearest landmark, in ``check``.
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

    @property
    def whole_way(self) -> str:
        """The way from the plot before, and the bearing from the nearest landmark."""
        return "; ".join(filter(None, (self.way, self.check)))


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
    """Plots to measure next weekend; words: what to do, one sentence each; later: stands of another weekend."""

    plots: tuple[FirstPlot, ...]
    rounds: tuple[PlotRound, ...]
    later: tuple[str, ...]
    minutes: float
    number: str
    how_long: str
    words: tuple[str, ...]

    @property
    def without_walks(self) -> tuple[str, ...]:
        """``words`` without those of the walks, for where each way is told."""
        walks = {one.words for one in self.rounds}
        return tuple(line for line in self.words if line not in walks)
