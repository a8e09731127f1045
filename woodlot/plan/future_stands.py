"""A family's stands in many futures at once: two kinds of trees a stand, by size, in single precision.

Tables   stands that grow by a stand table
Pines    stands of pine of one age

Who cuts for his grandchildren wants hundreds of futures of his own stands, not the third digit of one. The species of a
stand that grow slowest are one kind and the others another: the cords of a place keep within two hundredths of the full
account for a hundred years.

Both hold ``at`` (which of the stands they are), and give ``look`` (basal area, and cords of kinds that do not break up,
an acre), ``thin`` (take a share) and ``step`` (a year), arrays (stand, future).
"""

from copy import copy
from typing import Protocol

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
#: Room over the usual largest diameter: past it hardly a tree is left.
ROOM = 1.35
#: Kinds of trees that a stand has at most here, and the class by whose growth they are told apart (10 in).
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
    """Stands that grow by their stand table: path A with the kinds of a stand as a few; trees (stand, kind, class,
    future).
    """

    def __init__(
        self, woods: Woods, at: np.ndarray, k: np.ndarray, scale: np.ndarray, lost: np.ndarray, *, region: Region
    ):
        """k: the stands in ``woods``; scale: true trees over those seen (stand, future); lost: share of a kind's trees
        that break-up takes (years, species, stand).
        """
        self.at, self.year = at, 0
        sizes = grow.classes(region=region)
        largest = usual_largest_in(woods.species, region=region)
        seen = woods.trees[:, :, k]
        most = max(
            sizes[seen.any(axis=(0, 2))].max(initial=sizes[0]),
            ROOM * largest[seen.any(axis=(1, 2))].max(initial=0.0),
        )
        sizes = sizes[: int(np.searchsorted(sizes, most)) + 1]
        trees = seen[:, : len(sizes)]
        b, width = basal_sqft(sizes), growth_default("class_width_in", region=region)
        eq = np.stack([equations(woods.species, fitted=f, region=region)[0] for f in (False, True)])
        fitted = is_fitted(woods.stands, region=region)[k]
        of = eq[fitted.astype(int)]  # (stand, species, 3)
        pace = np.exp(of[:, :, :1] + of[:, :, 1:2] * np.log(sizes)) * woods.factor["mid"][:, k].T[:, :, None] / width
        basal = np.einsum("c,sck->ks", b, trees)
        #: Share of a stand's species in each of its kinds, each kind one in all (stand, kind, species).
        member = _kinds(basal, pace[:, :, SIZE], KINDS)
        part = member * basal[:, None]
        whole = part.sum(axis=2, keepdims=True)
        part = np.where(whole > 0, part / np.where(whole > 0, whole, 1.0), 1.0 / len(woods.species))

        def mean(values: np.ndarray) -> np.ndarray:
            """Figures of species (species, class) of each kind."""
            return np.einsum("kgs,sc->kgc", part, values)

        rate = np.einsum("kgs,ksc->kgc", part, pace)
        rate[..., -1] = 0.0
        self.rate = rate[..., None].astype(np.float32)
        self.slope = (np.einsum("kgs,ks->kg", part, of[:, :, 2]) / PER_100)[..., None, None].astype(np.float32)
        where_measured = growth_default("crowding_where_measured", region=region)
        usual = mortality_share(sizes, region=region) / np.where(fitted, where_measured, 1.0)[:, None]
        self.usual = usual[:, None, :, None].astype(np.float32)
        self.more = mean(size_deaths(sizes, largest[:, None], region=region))[..., None].astype(np.float32)
        self.crowd_from, self.crowd_slope, self.most_deaths = (
            growth_default(name, region=region) for name in ("crowding_from", "crowding_slope", "most_mortality")
        )
        self.gone, self.grows, self.lasts = _leaving(part, lost, woods.deaths[:, k])
        density = mean(np.asarray(relative_density_ducey_2010(sizes, 1.0, woods.sg[:, None], region=region)))
        cords = mean(woods.values["cords"][:, : len(sizes)])
        n = np.einsum("kgs,sck->kgc", member, trees)
        told = woods.ratio[k] * np.einsum("sc,sck->k", woods.values["cords"][:, : len(sizes)], trees)
        now = (cords * n).sum(axis=(1, 2))
        cords = cords * np.divide(told, now, out=np.zeros_like(told), where=now > 0)[:, None, None]
        above = np.triu(np.ones((len(sizes), len(sizes))), 1) + 0.5 * np.eye(len(sizes))
        #: Basal area of larger trees by class, and all of it, from trees by class.
        self.sums = np.vstack([above * b, b]).astype(np.float32)
        self.density, self.cords = density.astype(np.float32), cords.astype(np.float32)
        self.into = _ingrowth(woods.saplings[k], region=region)
        self.most_in = growth_default("ingrowth_most", region=region)
        self.n = (n[..., None] * scale[:, None, None]).astype(np.float32)
        self.room = np.empty((4, *self.n.shape), dtype=np.float32)

    def look(self) -> tuple[np.ndarray, np.ndarray]:
        """Basal area [sq ft/ac] and lasting cords [per ac] now."""
        return self.sums[-1] @ self.n.sum(axis=1), self._sum(self.cords * self.lasts[self.year][..., None])

    def _sum(self, worth: np.ndarray) -> np.ndarray:
        """What all trees hold, worth (stand, kind, class) each."""
        stands, _, _, futures = self.n.shape
        return (worth.reshape(stands, 1, -1) @ self.n.reshape(stands, -1, futures))[:, 0]

    def thin(self, share: np.ndarray) -> None:
        """Take a share of all trees."""
        self.n *= (1.0 - share).astype(np.float32)[:, None, None]

    def again(self) -> "Tables":
        """The same stands, to go another way from here."""
        other = copy(self)
        other.n = self.n.copy()
        return other

    def step(self, factor: np.ndarray) -> None:
        """One year at a factor on growth (stand, future)."""
        year, self.year = self.year, self.year + 1
        n, (p, bend, total, up) = self.n, self.room
        told = self.sums @ n.sum(axis=1)
        crowding = np.maximum(1.0, 1.0 + self.crowd_slope * (self._sum(self.density) - self.crowd_from))
        new = np.minimum(self.most_in, np.exp(self.into[0] + self.into[1] * told[:, -1]))
        small = n[:, :, :2].sum(axis=2)
        new = small * (new / np.maximum(small.sum(axis=1), TINY))[:, None]
        np.multiply(told[:, None, :-1], self.slope, out=p)
        np.exp(p, out=p)
        p *= self.rate
        p *= (factor[:, None] * self.grows[year][..., None]).astype(np.float32)[:, :, None]
        np.minimum(p, 1.0, out=p)
        np.multiply(self.usual, crowding[:, None, None], out=up)
        up += self.more + self.gone[year][..., None, None]
        np.minimum(up, self.most_deaths, out=up)
        up *= n
        n -= up
        # what moves up: p (n + (1 - p) AB/(A + B)), A and B the steps from the class under and to the one over
        step = np.subtract(n[:, :, 1:], n[:, :, :-1], out=up[:, :, :-1])
        np.multiply(step[:, :, 1:], step[:, :, :-1], out=bend[:, :, 1:-1])
        np.add(step[:, :, 1:], step[:, :, :-1], out=total[:, :, 1:-1])
        np.multiply(step[:, :, 0], n[:, :, 0], out=bend[:, :, 0])
        np.add(step[:, :, 0], n[:, :, 0], out=total[:, :, 0])
        bend[:, :, -1], total[:, :, -1] = 0.0, 0.0
        np.maximum(bend, 0.0, out=bend)
        total += TINY
        bend /= total
        np.multiply(p, bend, out=total)
        bend -= total
        bend += n
        bend *= p
        n -= bend
        n[:, :, 1:] += bend[:, :, :-1]
        n[:, :, 0] += new


def _kinds(basal: np.ndarray, pace: np.ndarray, most: int) -> np.ndarray:
    """Kinds of trees of each stand, those that grow alike together: 1 where a species is in a kind (stand, kind,
    species).

    basal, pace (growth): (stand, species). The kinds hold about equal basal area, from the slowest species on.
    """
    order = np.argsort(pace, axis=1, kind="stable")
    sorted_basal = np.take_along_axis(basal, order, axis=1)
    whole = sorted_basal.sum(axis=1, keepdims=True)
    middle = (sorted_basal.cumsum(axis=1) - 0.5 * sorted_basal) / np.where(whole > 0, whole, 1.0)
    kind = np.empty(order.shape, dtype=int)
    np.put_along_axis(kind, order, np.minimum((middle * most).astype(int), most - 1), axis=1)
    return (kind[:, None] == np.arange(most)[:, None]).astype(float)


def _leaving(part: np.ndarray, lost: np.ndarray, deaths: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Share of a kind's trees that break-up and dying species take in each year; the share that still grows; and the
    share of species that do not break up in all the years, (years, stand, kind), the last two (years + 1, ...).

    part: of basal area today (stand, kind, species); lost (years, species, stand); deaths (species, stand).
    """
    away = np.where(lost > 0, lost, deaths).transpose(0, 2, 1)[:, :, None]
    left = np.concatenate([np.ones((1, *away.shape[1:])), np.cumprod(1.0 - away, axis=0)]) * part
    left /= np.maximum(left.sum(axis=3, keepdims=True), float(TINY))
    falls = np.concatenate([lost, lost[-1:]]).transpose(0, 2, 1)[:, :, None] > 0
    return (
        (left[:-1] * away).sum(axis=3),
        (left * ~falls).sum(axis=3),
        (left * ~falls.any(axis=0)).sum(axis=3).astype(np.float32),
    )


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
