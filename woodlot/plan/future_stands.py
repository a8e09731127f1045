"""A family's stands in many futures at once: two kinds of trees a stand, by size, in single precision.

Tables   stands that grow by a stand table
Pines    stands of pine of one age

Who cuts for his grandchildren wants hundreds of futures of his own stands, not the third digit of one. The species of a
stand that grow slowest are one kind, the others another: so the cords of a place keep to the full account within three
hundredths for a hundred years.

Both hold ``at`` (which of the stands they are), and give ``look`` (basal area, and cords of kinds that do not break up,
an acre), ``thin`` (take a share) and ``step`` (a year), arrays (stand, future).
"""

from copy import copy
from typing import Any, Protocol

import numpy as np

from woodlot.plan.woods import Woods, is_fitted
from woodlot.region import Region
from woodlot.stand import even_aged, grow
from woodlot.stand.ageing import size_deaths, usual_largest_in
from woodlot.stand.grow_year import mortality_share
from woodlot.stand.stocking import relative_density_ducey_2010
from woodlot.tree.growth import equations, growth_default
from woodlot.units import basal_sqft

__all__ = ["Pines", "Stands", "Tables"]

PER_100 = 100.0
#: Keeps a share of nothing from being one over nothing.
TINY = np.float32(1e-30)
#: Trees an acre: a class is worked once any stand has so many in the class under it.
FEWEST = 2e-3
#: Trees an acre that are none, and years after which they are cleared away: products of still fewer are slow to work.
NONE, CLEARED = 1e-9, 4
#: Room over the usual largest diameter: past it trees die by the dozen in a hundred a year.
ROOM = 1.3
#: Kinds of trees that a stand has here, and the class by whose growth they are told apart (10 in).
KINDS, SIZE = 2, 2


class Stands(Protocol):
    """Some stands in many futures."""

    at: np.ndarray

    def look(self) -> tuple[np.ndarray, np.ndarray]:
        """Basal area [sq ft/ac] and lasting cords [per ac] now."""

    def thin(self, share: np.ndarray) -> None:
        """Take a share of all trees."""

    def step(self, factor: np.ndarray) -> None:
        """One year at a factor on growth."""

    def again(self) -> "Stands":
        """The same stands, to go another way from here."""


class Tables:
    """Stands that grow by their stand table: path A with the species of a stand as two kinds.

    Trees are laid out (class, stand, kind, future); only classes that trees have reached are worked.
    """

    def __init__(
        self, woods: Woods, at: np.ndarray, k: np.ndarray, scale: np.ndarray, lost: np.ndarray, *, region: Region
    ):
        """k: the stands in ``woods``; scale: true trees over those seen (stand, future); lost: share of a kind's trees
        that break-up takes (years, species, stand).
        """
        self.at, self.year = at, 0
        sizes, trees = grow.classes(region=region), woods.trees[:, :, k]
        largest = usual_largest_in(woods.species, region=region)
        most = ROOM * largest[trees.any(axis=(1, 2))].max(initial=sizes[0])
        most = max(most, sizes[trees.any(axis=(0, 2))].max(initial=sizes[0]))
        sizes = sizes[: int(np.searchsorted(sizes, most)) + 1]
        trees = trees[:, : len(sizes)]
        b, width = basal_sqft(sizes), growth_default("class_width_in", region=region)
        eq = np.stack([equations(woods.species, fitted=f, region=region)[0] for f in (False, True)])
        fitted = is_fitted(woods.stands, region=region)[k]
        of = eq[fitted.astype(int)]  # (stand, species, 3)
        pace = np.exp(of[:, :, :1] + of[:, :, 1:2] * np.log(sizes)) * woods.factor["mid"][:, k].T[:, :, None] / width
        basal = np.einsum("c,sck->ks", b, trees)
        member = _kinds(basal, pace[:, :, SIZE])
        part = _over(member * basal[:, None])

        def mean(values: np.ndarray) -> np.ndarray:
            """Figures of species (species, class) of each kind."""
            return np.einsum("kgs,sc->ckg", part, values)

        def single(values: Any) -> np.ndarray:
            return np.asarray(values, dtype=np.float32)[..., None]

        self.rate = single(np.einsum("kgs,ksc->ckg", part, pace))
        self.slope = single(np.einsum("ks,ks->k", _over(basal), of[:, :, 2]) / PER_100)
        where_measured = growth_default("crowding_where_measured", region=region)
        usual = (
            woods.death_factor * mortality_share(sizes, region=region)[:, None] / np.where(fitted, where_measured, 1.0)
        )
        self.usual = single(usual[:, :, None])
        more = [mean(size_deaths(sizes, largest[:, None], which, region=region)) for which in (True, False)]
        self.lives = single(1.0 - woods.death_factor * np.where(fitted[:, None], *more))
        self.crowd_from, self.crowd_slope, self.most_deaths = (
            growth_default(name, region=region) for name in ("crowding_from", "crowding_slope", "most_mortality")
        )
        self.gone, self.grows, self.lasts = _leaving(part, lost, woods.deaths[:, k])
        one = np.asarray(relative_density_ducey_2010(sizes[:, None], 1.0, woods.sg, region=region))
        #: Relative density of a tree by its size, and what the wood of a stand makes of it.
        self.size_density = (one[:, 0] / one[0, 0]).astype(np.float32)[:, None, None]
        self.wood_density = single(_over(basal) @ one[0])
        cords, n = mean(woods.values["cords"][:, : len(sizes)]), np.einsum("kgs,sck->ckg", member, trees)
        told = woods.ratio[k] * np.einsum("sc,sck->k", woods.values["cords"][:, : len(sizes)], trees)
        now = (cords * n).sum(axis=(0, 2))
        self.cords = single(cords * np.divide(told, now, out=np.zeros_like(told), where=now > 0)[:, None])
        self.b = b.astype(np.float32)[:, None, None]
        self.into, self.most_in = (
            _ingrowth(woods.saplings[k], region=region),
            growth_default("ingrowth_most", region=region),
        )
        self.seeds = single(FEWEST * member.any(axis=2))
        self.n = (n[..., None] * scale[:, None]).astype(np.float32)
        self.reach = int(np.flatnonzero(self.n.any(axis=(1, 2, 3))).max(initial=0)) + 1
        self.nothing = np.zeros_like(self.n)  # an array, which numpy compares with three times as fast as with a number
        self.room = np.empty((4, *self.n.shape), dtype=np.float32)

    def look(self) -> tuple[np.ndarray, np.ndarray]:
        """Basal area [sq ft/ac] and lasting cords [per ac] now."""
        n = self.n[: self.reach]
        held = np.multiply(n, self.cords[: self.reach] * self.lasts[self.year], out=self.room[0, : self.reach])
        return (n.sum(axis=2) * self.b[: self.reach]).sum(axis=0), held.sum(axis=(0, 2))

    def thin(self, share: np.ndarray) -> None:
        """Take a share of all trees."""
        self.n[: self.reach] *= (1.0 - share).astype(np.float32)[:, None]

    def again(self) -> "Tables":
        """The same stands, to go another way from here."""
        other = copy(self)
        other.n = self.n.copy()
        return other

    def step(self, factor: np.ndarray) -> None:
        """One year at a factor on growth (stand, future)."""
        if self.reach < len(self.n) and self.n[self.reach - 1].max() > FEWEST:
            self.reach += 1
        at, year = self.reach, self.year
        if year % CLEARED == 0:
            self.n[:at][self.n[:at] < NONE] = 0.0
        n, (p, bend, total, up) = self.n[:at], self.room[:, :at]
        pooled = n.sum(axis=2)
        density = self.wood_density * (pooled * self.size_density[:at]).sum(axis=0)
        pooled *= self.b[:at]
        pace = pooled.copy()
        for size in range(at - 2, -1, -1):
            pace[size] += pace[size + 1]
        basal = pace[0].copy()
        pooled *= 0.5
        pace -= pooled  # basal area of larger trees, and half of the class itself
        crowding = np.maximum(1.0, 1.0 + self.crowd_slope * (density - self.crowd_from)).astype(np.float32)
        new = np.minimum(self.most_in, np.exp(self.into[0] + self.into[1] * basal))
        small = n[:2].sum(axis=0) + self.seeds
        new = small * (new / small.sum(axis=1))[:, None]
        pace *= self.slope
        np.exp(pace, out=pace)
        pace *= factor.astype(np.float32)
        np.multiply(pace[:, :, None], self.rate[:at] * self.grows[year], out=p)
        if self.rate.max() * factor.max() > 1.0:
            np.minimum(p, 1.0, out=p)
        p[-1] = 0.0
        np.multiply(self.usual[:at], crowding[:, None], out=up)
        lives = self.lives[:at] - self.gone[year]
        np.subtract(lives, up, out=up)
        few = np.flatnonzero((lives - self.usual[:at] * crowding.max()).min(axis=(1, 2, 3)) < 1.0 - self.most_deaths)
        if len(few):
            np.maximum(up[few[0] :], 1.0 - self.most_deaths, out=up[few[0] :])
        n *= up
        # what moves up: p (n + (1 - p) AB/(A + B)), A and B the steps from the class under and to the one over
        step = np.subtract(n[1:], n[:-1], out=up[:-1])
        np.multiply(step[1:], step[:-1], out=bend[1:-1])
        np.add(step[1:], step[:-1], out=total[1:-1])
        np.multiply(step[0], n[0], out=bend[0])
        np.add(step[0], n[0], out=total[0])
        bend[-1], total[-1] = 0.0, 0.0
        np.maximum(bend, self.nothing[:at], out=bend)
        total += TINY
        bend /= total
        np.multiply(p, bend, out=total)
        bend -= total
        bend += n
        bend *= p
        n -= bend
        n[1:] += bend[:-1]
        n[0] += new
        self.year += 1


def _over(values: np.ndarray) -> np.ndarray:
    """Values as shares of their sum over the last axis; all alike where there is none."""
    whole = values.sum(axis=-1, keepdims=True)
    return np.where(whole > 0, values / np.where(whole > 0, whole, 1.0), 1.0 / values.shape[-1])


def _kinds(basal: np.ndarray, pace: np.ndarray) -> np.ndarray:
    """Kinds of each stand, species that grow alike together: 1 where a species is in a kind (stand, kind, species).

    basal, pace (growth): (stand, species). The kinds hold about equal basal area, from the slowest species on.
    """
    order = np.argsort(pace, axis=1, kind="stable")
    sorted_basal = np.take_along_axis(basal, order, axis=1)
    whole = sorted_basal.sum(axis=1, keepdims=True)
    middle = (sorted_basal.cumsum(axis=1) - 0.5 * sorted_basal) / np.where(whole > 0, whole, 1.0)
    kind = np.empty(order.shape, dtype=int)
    np.put_along_axis(kind, order, np.minimum((middle * KINDS).astype(int), KINDS - 1), axis=1)
    return (kind[:, None] == np.arange(KINDS)[:, None]).astype(float)


def _leaving(part: np.ndarray, lost: np.ndarray, deaths: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Share of a kind's trees that break-up and dying species take in each year; the share that still grows; and the
    share of species that do not break up in all the years, (years, stand, kind), the last two (years + 1, ...).

    part: of basal area today (stand, kind, species); lost (years, species, stand); deaths (species, stand).
    """
    away = np.where(lost > 0, lost, deaths).transpose(0, 2, 1)[:, :, None]
    left = np.concatenate([np.ones((1, *away.shape[1:])), np.cumprod(1.0 - away, axis=0)]) * part
    left /= np.maximum(left.sum(axis=3, keepdims=True), float(TINY))
    falls = np.concatenate([lost, lost[-1:]]).transpose(0, 2, 1)[:, :, None] > 0
    each = (left[:-1] * away, left * ~falls, left * ~falls.any(axis=0))
    return tuple(one.sum(axis=3)[..., None].astype(np.float32) for one in each)  # type: ignore[return-value]


def _ingrowth(saplings: np.ndarray, *, region: Region) -> tuple[np.ndarray, np.ndarray]:
    """Logarithm of trees that grow in at no basal area, and what a square foot adds to it, by stand."""
    known = np.isfinite(saplings)
    usual = [growth_default(f"ingrowth_b{j}", region=region) for j in range(2)]
    young = [growth_default(f"ingrowth_saplings_b{j}", region=region) for j in range(3)]
    with np.errstate(divide="ignore"):
        some = np.where(np.nan_to_num(saplings) > 0, young[0] + young[2] * np.log1p(np.nan_to_num(saplings)), -np.inf)
    return np.where(known, some, usual[0])[:, None], np.where(known, young[1], usual[1])[:, None]


class Pines:
    """Stands of pine of one age, by the basal area equation and the height of their age."""

    def __init__(self, woods: Woods, at: np.ndarray, k: np.ndarray, scale: np.ndarray, years: int, *, region: Region):
        """k: the stands in ``woods``; scale: true trees over those seen (stand, future)."""
        self.at, self.region = at, region
        rows = woods.stands.iloc[k]
        self.site = rows["site_index_ft"].to_numpy(dtype=float)[:, None]
        self.age = np.maximum(rows["age_yr"].to_numpy(dtype=float), 1.0)[:, None]
        self.factor = woods.even["mid"][k][:, None]
        ages = self.age + np.arange(years + 1.0)
        each = zip(rows["main"], rows["site_index_ft"], ages, strict=True)
        full = even_aged.merch_cords_per_ac
        path = np.stack([full(main, 1.0, site, age, woods.solid, region=region) for main, site, age in each], axis=1)
        basal, cords = (rows[name].to_numpy(dtype=float) for name in ("basal", "cords"))
        #: Cords of a square foot of basal area by year: as today's plots say, then as the trees grow taller.
        self.cords = cords / basal * path / path[0]
        self.basal = basal[:, None] * scale
        self.year = 0

    def look(self) -> tuple[np.ndarray, np.ndarray]:
        """Basal area [sq ft/ac] and cords [per ac] now."""
        return self.basal, self.basal * self.cords[self.year][:, None]

    def thin(self, share: np.ndarray) -> None:
        """Take a share of all trees."""
        self.basal = self.basal * (1.0 - share)

    def again(self) -> "Pines":
        """The same stands, to go another way from here."""
        return copy(self)

    def step(self, factor: np.ndarray) -> None:
        """One year at a factor on growth (stand, future)."""
        age = self.age + self.year
        grown = even_aged.basal_growth_sqft_buckman_1962(self.basal, age, self.site, region=self.region)
        self.basal = self.basal + np.where(self.basal > 0, grown * self.factor * factor, 0.0)
        self.year += 1
