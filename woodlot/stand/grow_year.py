"""One year of stand tables, in place, and the room for what is kept of each year.

Account     what is kept
Model       the figures of one run; ``step`` is a year, ``cut`` what is taken before it
in_year     what holds in one year

Trees are laid out as (class, species, stand) here, so that the classes trees have reached lie in one piece. Growth and
what moves up a class are worked in single precision (seven digits of a figure known to a tenth), trees and accounts in
double.
"""

from collections.abc import Callable, Mapping

import numpy as np

from woodlot.region import Region, once
from woodlot.stand.stocking import relative_density_ducey_2010
from woodlot.tree.growth import growth_default
from woodlot.units import basal_sqft

__all__ = ["Account", "Marker", "Model", "in_year", "mortality_share"]

PER_100 = 100.0
#: Trees an acre: a class is worked once any stand has so many in the class under it.
FEWEST = 1e-5
#: Keeps a share of nothing from being one over nothing.
TINY = np.float32(1e-30)
#: Takes trees (species, class, stand) and the basal area to leave (stand); gives the trees cut.
Marker = Callable[[np.ndarray, np.ndarray, slice], np.ndarray]


def mortality_share(dbh_in: np.ndarray, *, region: Region) -> np.ndarray:
    """Share of trees of a size that die in a year in an uncrowded stand (growth_mortality.csv)."""
    starts, shares = _mortality_rows(region=region)
    return shares[np.searchsorted(starts, dbh_in, side="right") - 1]


@once
def _mortality_rows(*, region: Region) -> tuple[np.ndarray, np.ndarray]:
    rows = region.table("growth_mortality")
    return rows["from_dbh_in"].to_numpy(dtype=float), rows["annual_share"].to_numpy(dtype=float)


def in_year(values: np.ndarray, year: int, axes: int) -> np.ndarray:
    """What holds in a year of values that are alike in all years (so many axes) or have years as their first axis."""
    return values if values.ndim == axes else values[year]


class Account:
    """Room for what is kept of each year; in one piece, which the system hands out in large pages."""

    def __init__(self, years: int, stands: int, worth: Mapping[str, np.ndarray]):
        """worth: name -> what one tree holds (species, class)."""
        states = ("basal", "stems", "density")
        flows = ("survivor", "ingrowth", "mortality", "cut", "stems_in", "stems_out")
        room = np.zeros((len(states) + len(flows), years + 1, stands))
        self.of_state = dict(zip(states, room, strict=False))
        self.of_year = dict(zip(flows, room[len(states) :, :years], strict=True))
        self.weights = {k: np.ascontiguousarray(v.T) for k, v in worth.items()}
        self.worth = {k: np.zeros((years + 1, stands)) for k in worth}
        self.taken, self.broken = ({k: np.zeros((years, stands)) for k in worth} for _ in range(2))

    def result(self) -> dict:
        """By the names of ``grow.Projection``."""
        return {**self.of_state, **self.of_year, "worth": self.worth, "taken": self.taken, "broken": self.broken}


class Model:
    """The figures of one run and its working arrays, made once a block."""

    def __init__(
        self,
        sizes: np.ndarray,
        equations: np.ndarray,
        wood_sg: np.ndarray,
        as_measured: bool,
        more_deaths: np.ndarray,
        account: Account,
        death_factor: float,
        *,
        region: Region,
    ):
        """sizes: of classes [in]; more_deaths: a year, by size (class, species); the rest as in ``grow.project``."""
        count, species = len(sizes), len(wood_sg)
        self.b = basal_sqft(sizes)
        usual = death_factor * mortality_share(sizes, region=region)
        more_deaths = death_factor * more_deaths
        if as_measured:
            usual = usual / growth_default("crowding_where_measured", region=region)
        self.usual, self.most_more = usual, more_deaths.max(axis=1, initial=0.0)
        #: Share that lives: one less deaths by size, less deaths in an uncrowded year times crowding.
        self.lives = np.stack([1.0 - more_deaths, np.repeat(-usual[:, None], species, axis=1)], axis=-1).reshape(-1, 2)
        self.crowd_from, self.crowd_slope, self.most_deaths = (
            growth_default(name, region=region) for name in ("crowding_from", "crowding_slope", "most_mortality")
        )
        one = np.asarray(relative_density_ducey_2010(sizes[:, None], 1.0, wood_sg, region=region))
        self.of_class = np.stack([self.b, np.ones(count)])
        of_class = np.repeat(self.of_class[:, :, None], species, axis=2)
        #: Basal area, stems, density and what else is counted, from trees by class and species.
        self.rows = np.stack([*of_class, one, *account.weights.values()]).reshape(3 + len(account.weights), -1)
        self.up_b = np.repeat(np.append(np.diff(self.b), 0.0), species)
        shapes, shape_of = np.unique(equations[:, 1:], axis=0, return_inverse=True)
        self.shape_of = np.ravel(shape_of)
        above = np.triu(np.ones((count, count)), 1) + 0.5 * np.eye(count)
        self.bal = np.stack([above * self.b * (b2 / PER_100) for _, b2 in shapes]).astype(np.float32)
        self.ln_size = np.stack([b1 * np.log(sizes)[:, None] for b1, _ in shapes]).astype(np.float32)
        self.rate = np.exp(equations[:, 0]) / growth_default("class_width_in", region=region)
        self.plain = tuple(growth_default(f"ingrowth_{k}", region=region) for k in ("b0", "b1", "most"))
        self.young = tuple(growth_default(f"ingrowth_saplings_b{k}", region=region) for k in range(3))
        self.account = account
        self.room_for: tuple[int, ...] = ()

    def enter(self, whole, factor, saplings, seeds, deaths, lost) -> None:
        """Make room for the stands ``whole`` (class, species, stand), which are changed in place from now on."""
        count, species, stands = whole.shape
        self.whole, self.saplings, self.lost = whole, saplings, lost
        self.live = None if deaths is None else 1.0 - deaths
        self.reach = int(np.flatnonzero(whole.any(axis=(1, 2))).max(initial=0)) + 1
        pace = self.rate[:, None] * (1.0 if factor is None else factor)
        self.g = pace.astype(np.float32)
        self.fast = pace.max(initial=0.0) * np.exp(self.ln_size.max()) > 0.9  # all of a class may move up
        self.seeds = np.full((species, stands), 1.0 / species) if seeds is None else seeds
        if self.room_for != whole.shape:
            self.make_room(count, species, stands)

    def make_room(self, count: int, species: int, stands: int) -> None:
        """Working arrays for so many stands, kept from block to block."""
        self.room_for = (count, species, stands)
        self.up = np.empty((count, species, stands))
        self.drive = np.ones((2, stands))
        self.in_class = np.empty((count, stands))
        self.of_shape = np.empty((len(self.bal), count, stands), dtype=np.float32)
        self.in_single = np.empty((count, stands), dtype=np.float32)
        self.single, self.moves, self.bend, self.sum = np.empty((4, count, species, stands), dtype=np.float32)
        self.step_up = np.empty((count + 1, species, stands), dtype=np.float32)

    def sums(self, flat: np.ndarray, which: slice = slice(None)) -> list[np.ndarray]:
        """Some of ``rows`` of trees by class and species; row by row, which the library works fastest."""
        return [row[: len(flat)] @ flat for row in self.rows[which]]

    def state(self, year: int, part: slice) -> tuple[np.ndarray, ...]:
        """Trees by class, basal area, stems and density at the start of a year; what is counted, into the account."""
        at, account = self.reach, self.account
        n = self.whole[:at]
        in_class = np.add.reduce(n, axis=1, out=self.in_class[:at])
        told = self.of_class[:, :at] @ in_class
        density, *worth = self.sums(n.reshape(-1, n.shape[2]), slice(2, None))
        for name, row in zip(account.of_state, (*told, density), strict=True):
            account.of_state[name][year, part] = row
        for row, name in zip(worth, account.weights, strict=True):
            account.worth[name][year, part] = row
        return in_class, *told, density

    def step(self, year: int, part: slice) -> None:
        """One year."""
        if self.reach < len(self.b) and self.whole[self.reach - 1].max() > FEWEST:
            self.reach += 1
        n = self.whole[: self.reach]
        flat = n.reshape(-1, n.shape[2])
        in_class, basal, stems, density = self.state(year, part)
        gone = None if self.lost is None or not self.lost[year].any() else self.lost[year]
        shares, into = self.shares(n, in_class, gone), self.ingrowth(basal)
        new = shares * into
        moves = self.moving(in_class, gone, year)
        if gone is not None:
            self.fall(flat, gone, year, part)
        n *= self.living(density, gone, year)
        left, stems_left = self.sums(flat, slice(2))
        up = self.moved_up(n, moves)
        n -= up
        n[1:] += up[:-1]
        n[0] += new
        flows = self.account.of_year
        flows["survivor"][year, part] = self.up_b[: len(flat)] @ up.reshape(flat.shape)
        flows["mortality"][year, part], flows["stems_out"][year, part] = basal - left, stems - stems_left
        flows["stems_in"][year, part] = into = new.sum(axis=0)
        flows["ingrowth"][year, part] = into * self.b[0]

    def fall(self, flat: np.ndarray, gone: np.ndarray, year: int, part: slice) -> None:
        """What breaks up this year, into the account."""
        away = (flat.reshape(-1, *gone.shape) * gone).reshape(flat.shape)
        for row, name in zip(self.sums(away, slice(3, None)), self.account.weights, strict=True):
            self.account.broken[name][year, part] = row

    def living(self, density: np.ndarray, gone: np.ndarray | None, year: int) -> np.ndarray:
        """Share of trees that lives the year."""
        crowding, at = self.drive[1], self.reach
        np.maximum(1.0, 1.0 + self.crowd_slope * (density - self.crowd_from), out=crowding)
        out = self.up[:at]
        np.matmul(self.lives[: at * out.shape[1]], self.drive, out=out.reshape(-1, out.shape[2]))
        over = self.usual[:at] * crowding.max() + self.most_more[:at] > self.most_deaths
        if over.any():
            some = out[int(over.argmax()) :]
            np.maximum(some, 1.0 - self.most_deaths, out=some)
        if self.live is not None:
            out *= in_year(self.live, year, 2)
        if gone is not None:
            np.copyto(out, 1.0 - gone, where=gone > 0)
        return out

    def moving(self, in_class: np.ndarray, gone: np.ndarray | None, year: int) -> np.ndarray:
        """Share that moves up: growth over the width of a class; none out of the last, none of what breaks up."""
        at = self.reach
        of_shape, trees, out = self.of_shape[:, :at], self.in_single[:at], self.moves[:at]
        np.copyto(trees, in_class, casting="same_kind")
        np.matmul(self.bal[:, :at, :at], trees, out=of_shape)
        of_shape += self.ln_size[:, :at]
        np.exp(of_shape, out=of_shape)
        g = in_year(self.g, year, 2)
        g = g if gone is None else np.where(gone > 0, np.float32(0.0), g)
        for s, shape in enumerate(self.shape_of):
            np.multiply(of_shape[shape], g[s], out=out[:, s])
        if self.fast:
            np.minimum(out, 1.0, out=out)
        out[-1] = 0.0
        return out

    def moved_up(self, n: np.ndarray, p: np.ndarray) -> np.ndarray:
        """Trees that move up: p (n + (1 - p) h/2), h the harmonic mean of the steps to the classes under and over.

        Steps of unlike sign have none (a peak, a trough), so that no class ever holds less than nothing.
        """
        at = self.reach
        single, step, bend, over = self.single[:at], self.step_up[: at + 1], self.bend[:at], self.sum[:at]
        np.copyto(single, n, casting="same_kind")
        step[0] = single[0]
        np.subtract(single[1:], single[:-1], out=step[1:-1])
        step[-1] = 0.0
        np.multiply(step[:-1], step[1:], out=bend)
        np.abs(bend, out=over)
        bend += over  # twice what is over 0: faster than a maximum
        np.add(step[:-1], step[1:], out=over)
        over += TINY
        bend /= over
        np.multiply(p, -0.5, out=over)
        over += 0.5
        bend *= over
        single += bend
        single *= p
        up = self.up[:at]
        np.copyto(up, single)
        if self.fast:
            np.minimum(up, n, out=up)
        return up

    def ingrowth(self, basal: np.ndarray) -> np.ndarray:
        """Trees an acre that reach the smallest class."""
        usual = np.minimum(self.plain[2], np.exp(self.plain[0] + self.plain[1] * basal))
        if self.saplings is None:
            return usual
        known = np.isfinite(self.saplings)
        count = np.where(known, self.saplings, 1.0)
        by_saplings = np.exp(self.young[0] + self.young[1] * basal + self.young[2] * np.log1p(count))
        return np.where(known, np.where(count > 0, np.minimum(self.plain[2], by_saplings), 0.0), usual)

    def shares(self, n: np.ndarray, in_class: np.ndarray, gone: np.ndarray | None) -> np.ndarray:
        """Species of ingrowth: as the stems of the two smallest classes are; none of a kind that breaks up, and nothing
        under it where neither a sapling nor a small tree stands.
        """
        small, whole = n[:2].sum(axis=0), in_class[:2].sum(axis=0)
        some = whole > 0
        if gone is None:
            return small / whole if some.all() else np.where(some, small / np.where(some, whole, 1.0), self.seeds)
        none = np.zeros(len(some), dtype=bool) if self.saplings is None else np.nan_to_num(self.saplings) > 0
        bare = ~some & ~none & (gone > 0).any(axis=0)
        seeds = np.where(bare, 0.0, self.seeds)
        out = np.where(some, small / np.where(some, whole, 1.0), seeds)
        return np.where(gone > 0, 0.0, out)

    def cut(self, leave: np.ndarray, mark: Marker | None, year: int, part: slice) -> None:
        """Take trees before a year until ``leave`` [sq ft/ac] stands; NaN for no cut."""
        if np.isnan(leave).all():
            return
        n, goal = self.whole, np.where(np.isnan(leave), np.inf, leave)
        if mark is None:
            basal = self.b @ n.sum(axis=1)
            share = np.clip(1.0 - goal / np.where(basal > 0, basal, 1.0), 0.0, 1.0)
            away = n * np.where(basal > 0, share, 0.0)
        else:
            away = mark(n.transpose(1, 0, 2), goal, part).transpose(1, 0, 2)
        told = self.sums(away.reshape(-1, away.shape[2]))
        self.account.of_year["cut"][year, part] = told[0]
        for row, name in zip(told[3:], self.account.weights, strict=True):
            self.account.taken[name][year, part] = row
        n -= away
