"""What the count of each plot is multiplied by, and what that leaves in doubt: edges, the prism, the eye.

A forester wants cords that are not low because trees were lost at the edge of a stand, nor off because the prism or
the eye is, and a range that says so where nobody looked.

PlotTimes    what all trees of a plot are multiplied by, the errors that the plots of a stand share, and why
Edge, Seen   what edges, and prism and eye, bring to it
plot_times   all of it for the plots of a place
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pandas as pd

from woodlot.estimate import Reason, reason
from woodlot.region import Region
from woodlot.stand import eye
from woodlot.stand.edges import lost_by_plot
from woodlot.stand.layout import ground_of
from woodlot.trade import COUNTED_TWICE, NOTHING_DONE
from woodlot.tree.inputs import column

if TYPE_CHECKING:
    import geopandas as gpd

__all__ = ["Edge", "PlotTimes", "Seen", "plot_times"]

EDGES, EYE = "edges", "eye"
#: Reasons for which a number moved; those that ask nothing of the family and moved nothing.
MOVED = ("edges added", "prism factor", "eye checked")
QUIET = ("edges minded", "no edge near", "prism taped")


class Edge(NamedTuple):
    """Edges by stand_id: what they multiply, its relative error; minded: how, None where nobody said."""

    times: pd.Series
    cv: pd.Series
    minded: str | None

    def why(self, stands: pd.Index) -> Reason:
        """What is added for the edges of some stands, or why nothing."""
        if self.minded not in (None, NOTHING_DONE):
            return reason("edges minded", how=self.minded)
        more = self.times[stands] - 1.0
        more = more[more > 0.0]
        if more.empty:
            return reason("no edge near")
        known = self.minded is not None
        return reason("edges added", stands=len(more), least=float(more.min()), most=float(more.max()), known=known)


class Seen(NamedTuple):
    """What tallies with each factor are multiplied by, the error of the eye, and why."""

    times: pd.Series
    cv: float
    prism: Mapping[float, Reason]
    eye: Reason

    def why(self, factors: Any) -> tuple[Reason, ...]:
        """Of the prisms with some factors, and of the eye behind them."""
        by_prism = [one for one in factors if not np.isnan(one)]
        return (*(self.prism[one] for one in by_prism if one in self.prism), *((self.eye,) if by_prism else ()))


@dataclass(frozen=True, eq=False)
class PlotTimes:
    """times: what the count of each plot is multiplied by, by plot_id (a plot that is not named: 1); shared: name of an
    error -> its relative error by stand_id, of everything that the plots of a stand tell. From what they come: edge,
    seen, and factors (those of the plots, by stand_id, missing for fixed ones).
    """

    times: pd.Series = field(default_factory=lambda: pd.Series(dtype=float))
    shared: Mapping[str, pd.Series] = field(default_factory=dict)
    edge: Edge | None = None
    seen: Seen | None = None
    factors: pd.Series = field(default_factory=lambda: pd.Series(dtype=float))

    def told(self, stands: Sequence[str] | None = None) -> tuple[Reason, ...]:
        """What was multiplied and what is in doubt, of some stands or of all; nothing of stands without plots."""
        factors = self.factors if stands is None else self.factors[self.factors.index.isin(stands)]
        if self.edge is None or self.seen is None or factors.empty:
            return ()
        return (self.edge.why(factors.index.unique()), *self.seen.why(factors.unique()))

    def remarks(self, stands: Sequence[str] | None = None, moved: bool = False) -> tuple[Reason, ...]:
        """The same in short: what moved numbers or asks something of the family; moved: the first alone."""
        some = [one for one in self.told(stands) if one.key in MOVED or not (moved or one.key in QUIET)]
        return tuple(reason("eye checked, in short", **dict(o.facts)) if o.key == "eye checked" else o for o in some)


def plot_times(
    stands: "gpd.GeoDataFrame",
    features: "gpd.GeoDataFrame",
    visited: pd.DataFrame,
    tallied: pd.DataFrame,
    *,
    edges: str | None,
    prisms: Sequence[Mapping[str, Any]],
    region: Region,
) -> PlotTimes:
    """What the plots of a place are multiplied by.

    Parameters
    ----------
    stands, features
        As for ``layout.lay_out``.
    visited, tallied
        As for ``plots.expand``; visited with checked_count where points were checked with the tape.
    edges
        How the family counts trees near edges (``trade.EDGES``); None: nobody said. One tree counted twice says it.
    prisms
        factor, real (what it truly is) and doubtful_taped (whether doubtful trees were taped at ``factor``) of each.
    region
        Whose figures are used.

    Notes
    -----
    With b the share of trees lost at edges that nobody minds: nothing done, x 1/(1 - b); not known, half of that
    share, and a relative error of b/(2 sqrt 3), as if all from none to b were as likely. A check with the tape holds
    prism and eye together against the factor on the prism: what it finds is held against what the true prism tallied,
    and takes the place of the prism's own factor as far as it counts.
    """
    if not len(visited):
        return PlotTimes()
    stand, plot = (visited[name].astype(str).to_numpy() for name in ("stand_id", "plot_id"))
    factor = pd.Series(np.where(visited["kind"] == "prism", column(visited, "baf_sqft_per_ac"), np.nan))
    lost = lost_by_plot(stands, ground_of(stands, features, region), visited, tallied, region=region)
    minded = edges or (COUNTED_TWICE if column(tallied, "count_twice", 0.0).any() else None)
    edge = _at_edges(lost.groupby(stand).mean(), minded)
    checks, eye_cv = eye.checked(visited, tallied), region.figure("defaults_sampling", "eye_cv")
    seen = _seen(factor.set_axis(plot), checks, prisms, eye_cv)
    errors = {EDGES: edge.cv, EYE: factor.notna().groupby(stand).mean() * seen.cv}
    times = pd.Series(stand).map(edge.times) * factor.map(seen.times).fillna(1.0)
    return PlotTimes(
        times.set_axis(plot),
        {name: cv for name, cv in errors.items() if (cv > 0).any()},
        edge,
        seen,
        factor.set_axis(stand),
    )


def _at_edges(lost: pd.Series, minded: str | None) -> Edge:
    """What edges add to stands whose plots lose ``lost`` of their trees where edges are not minded."""
    share = lost * {None: 0.5, NOTHING_DONE: 1.0}.get(minded, 0.0)
    return Edge(1.0 / (1.0 - share), share / np.sqrt(3.0) * (minded is None), minded)


def _seen(factor: pd.Series, checks: pd.DataFrame, prisms: Sequence[Mapping[str, Any]], eye_cv: float) -> Seen:
    """What prism and eye add: ``factor`` by plot_id, missing on a fixed plot; ``checks`` as of ``eye.checked``."""
    true = pd.Series(1.0, index=pd.Index(factor.dropna().unique()))
    prism: dict[float, Reason] = {}
    for one in prisms:
        of = true.index[eye.same_factor(true.index, one["factor"])]
        real, taped = float(one["real"]), bool(one["doubtful_taped"])
        true[of] = 1.0 if taped else real / of.to_numpy()
        why = reason("prism taped", factor=one["factor"], real=real)
        if not taped:
            why = reason("prism factor", factor=one["factor"], real=real)
        prism |= dict.fromkeys(of, why)
    through = checks.assign(tallied=checks["tallied"] * factor.reindex(checks.index).map(true))
    learned = eye.learned(through, eye_cv)
    if learned is None:
        return Seen(true, eye_cv, prism, reason("eye unchecked", cv=eye_cv, points=len(checks)))
    facts = {name: getattr(learned, name) for name in ("points", "ratio", "times", "cv")}
    counts = {name: float(checks[name].sum()) for name in ("tallied", "found")}
    return Seen(true * learned.times, learned.cv, prism, reason("eye checked", **counts, **facts))
