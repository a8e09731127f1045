"""Kinds of tree: what each holds on the whole place, in a parcel or in a stand, with ranges.

BY_SPECIES              what is told by species
OfSpecies, of_species   what the plots say of each kind; ``totals``, ``in_stands``, ``unseen``, ``means``
few_hold_it             totals of logs that few plots hold, by the same rule

A forester wants cords and board feet of each kind for a sale or for wood to build with. Trees known only as a kind of
several are shared out over those beside them (``stand.kinds_shared``), in these sums alone: volume, growth and what is
cut go on by what was written.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from woodlot.estimate import Estimate, Reason, reason
from woodlot.region import Region
from woodlot.stand import kinds_shared, plots, ratios, species_ranges
from woodlot.stand.cruise import Shared
from woodlot.wood.tally import GROUNDS, KINDS

__all__ = ["BY_SPECIES", "OfSpecies", "few_hold_it", "of_species"]

#: What is told by species, and its unit; of which of it, all kinds together, few plots may hold any.
BY_SPECIES = {"cords": "cords", "bdft": "board feet"}
LOGS = {"sawlog_cords": "cords", "bdft": "board feet"}
SHARED_OUT = "kinds shared out"


@dataclass(frozen=True)
class OfSpecies:
    """What the plots say of each kind of tree.

    stands: by stand_id of those with plots, acres, parcel_id, plots, like, and by what, what one tree makes of a mean;
    cells: by what, result of ``species_ranges.cells``; parts: by what, by stand and species (sums over plots), amount,
    kinds (amount times the spread of its kind), shared (of a kind shared out), doubt (how far that may be off); kinds:
    by species, kinds shared out to it; shared: by what, errors common to all plots but those of kinds.
    """

    stands: pd.DataFrame
    cells: Mapping[str, pd.DataFrame]
    parts: Mapping[str, pd.DataFrame]
    kinds: Mapping[str, tuple[str, ...]]
    shared: Mapping[str, Shared]

    def means(self, what: str) -> pd.DataFrame:
        """Amount per acre by stand_id and species (columns stand_id, species, mean)."""
        of = self.cells[what]
        return of[["stand_id", "species"]].assign(mean=of["amount"] / of["stand_id"].map(self.stands["plots"]))

    def totals(self, what: str, by: str, level: float, *, region: Region) -> dict[str, dict[str, Estimate]]:
        """Totals by ground, then species; by: "stand_id", "parcel_id" or "all".

        Every species of the place is told for every ground with a plot, one that no plot there holds as 0 and what may
        be there at most.
        """
        own = {"stand_id": self.stands.index.to_series(), "all": pd.Series("all", index=self.stands.index)}
        ground = own[by] if by in own else self.stands[by]
        return self._told(what, self.stands["acres"].astype(float), ground, level, region=region)

    def in_stands(self, what: str, level: float, *, region: Region) -> dict[str, dict[str, Estimate]]:
        """The same on an acre of each stand, only of what its own plots hold."""
        one = pd.Series(1.0, index=self.stands.index)
        return self._told(what, one, one.index.to_series(), level, seen=True, region=region)

    def unseen(self, what: str, level: float, *, region: Region) -> dict[str, Estimate]:
        """By stand_id what may stand on an acre of a kind that no plot of it met."""
        trees = species_ranges.unseen_trees(level, region=region)
        known = self.stands[self.stands[what] > 0]
        return {
            str(stand): Estimate(
                0.0,
                f"{(BY_SPECIES | LOGS)[what]} an acre",
                high=trees * tree,
                level=level,
                n=n,
                why=reason("none met", plots=n),
            )
            for stand, tree, n in zip(known.index, known[what].tolist(), known["plots"].tolist(), strict=True)
        }

    def _told(
        self, what: str, acres: pd.Series, ground: pd.Series, level: float, seen: bool = False, *, region: Region
    ) -> dict[str, dict[str, Estimate]]:
        """What each ground holds of each species, acres by stand; seen: only of what is held there."""
        unit = (BY_SPECIES | LOGS)[what] + (" an acre" if seen else "")
        row = self.stands[["plots", "like"]].assign(acres=acres, tree=self.stands[what], ground=ground)
        lost = self.parts[what]["amount"].isna()
        bare = set(lost.index[lost].get_level_values("species"))
        table = species_ranges.ranges(self.cells[what], row, region=region)
        table = table[table["value"] > 0] if seen else table
        parts = self._by_ground(what, acres, ground)
        errors = _errors(parts, [*self.shared[what], KINDS, SHARED_OUT])
        ground_ac = row.groupby("ground")["acres"].sum().to_dict()
        told = species_ranges.estimates(table, unit, ground_ac, errors, level, region=region)
        shared = parts["shared"].to_dict()
        out: dict[str, dict[str, Estimate]] = {}
        for (place, species), e in told.items():
            if species in bare:
                e = Estimate(None, e.unit, level=level, n=e.n, ground_ac=e.ground_ac, why=reason("counted only"))
            elif shared.get((place, species)):
                e = _with_shared(e, shared[place, species], self.kinds[species])
            out.setdefault(str(place), {})[str(species)] = e
        return out

    def _by_ground(self, what: str, acres: pd.Series, ground: pd.Series) -> pd.DataFrame:
        """Parts of totals by ground and species, each error common to all plots weighed by what rests on it."""
        parts = self.parts[what].reset_index()
        at = parts["stand_id"]
        weight = (acres / self.stands["plots"]).reindex(at).to_numpy()
        out = pd.DataFrame({"ground": ground.reindex(at).to_numpy(), "species": parts["species"]})
        out["amount"], out["shared"] = weight * parts["amount"], weight * parts["shared"]
        for name, cv in self.shared[what].items():
            each = cv.reindex(at).to_numpy() if isinstance(cv, pd.Series) else cv
            out[name] = out["amount"] * each
        out[KINDS], out[SHARED_OUT] = weight * parts["kinds"], weight * parts["doubt"]
        return out.groupby(["ground", "species"]).sum()


def _errors(parts: pd.DataFrame, names: list[str]) -> dict[tuple[str, str], dict[str, float]]:
    """Relative error by ground and species of each of the names, where it is above 0."""
    cvs = parts[names].div(parts["amount"].where(parts["amount"] > 0), axis=0).fillna(0.0)
    return {
        key: {name: cv for name, cv in zip(names, row, strict=True) if cv > 0}
        for key, row in zip(cvs.index, cvs.to_numpy().tolist(), strict=True)
    }


def _with_shared(e: Estimate, part: float, kinds: tuple[str, ...]) -> Estimate:
    """An estimate that says how much of it is of kinds shared out."""
    words = reason("shared out", value=e.value, part=part, unit=e.unit, kinds=kinds)
    return replace(e, why=_joined(e.why, words))


def _joined(*whys: Reason | None) -> Reason | None:
    """Several reasons as one."""
    some = tuple(filter(None, whys))
    return reason("together", parts=some) if len(some) > 1 else next(iter(some), None)


def of_species(
    visited: pd.DataFrame,
    trees: pd.DataFrame,
    stands: pd.DataFrame,
    tree: pd.DataFrame,
    shared: Mapping[str, Shared],
    *,
    region: Region,
) -> OfSpecies:
    """What the plots say of each kind of tree.

    Parameters
    ----------
    visited
        Every plot.
    trees
        Expanded trees with what each holds.
    stands
        stand_id, parcel_id, cover, acres, like.
    tree
        What one tree makes of the mean of a stand, by stand_id and what.
    shared
        By what: name -> relative error common to all plots, a number or a Series by stand_id.
    region
        Whose figures are used.
    """
    told = kinds_shared.shared_out(trees, region=region)
    return _sampled(visited, told, stands, tree, shared, BY_SPECIES, region=region)


def few_hold_it(
    totals: Mapping[str, Mapping[str, Estimate]],
    visited: pd.DataFrame,
    trees: pd.DataFrame,
    stands: pd.DataFrame,
    tree: pd.DataFrame,
    shared: Mapping[str, Shared],
    level: float,
    *,
    region: Region,
) -> dict[str, dict[str, Estimate]]:
    """Totals of logs ("bdft by parcel_id", ...) of grounds where few plots hold any, by the rule of kinds of tree.

    A log tree on two of ten plots is as rare a thing as a kind of tree: the spread of what stands in all, which helps
    the range of a stand, says too little of it. totals: as they are; the others as for ``of_species``.
    """
    one = trees[trees["alive"].to_numpy()].assign(told_as="logs", shared=False, doubt=0.0)
    of = _sampled(visited, one, stands, tree, shared, LOGS, region=region)
    out = {}
    for what in LOGS:
        for by in GROUNDS:
            told, name = of.totals(what, by, level, region=region), f"{what} by {by}"
            few = {key: each["logs"] for key, each in told.items() if each["logs"].value and each["logs"].why}
            out[name] = {
                key: replace(few[key], why=_joined(few[key].why, _left_out(e.why))) if key in few else e
                for key, e in totals[name].items()
            }
    return out


def _left_out(why: Reason | None) -> Reason | None:
    """Of the reasons of a sum, that acres are left out of it."""
    facts = dict(why.facts) if why else {}
    return next((one for one in facts.get("parts", ()) if one.key == "acres without plots"), None)


def _sampled(
    visited: pd.DataFrame,
    told: pd.DataFrame,
    stands: pd.DataFrame,
    tree: pd.DataFrame,
    shared: Mapping[str, Shared],
    whats: Mapping[str, str],
    *,
    region: Region,
) -> OfSpecies:
    """What the plots say of each of the names that trees are told as."""
    known = stands.set_index(stands["stand_id"].astype(str))[["acres", "parcel_id", "like"]]
    row = known.assign(plots=visited["stand_id"].astype(str).value_counts().reindex(known.index))
    row = row[row["plots"] > 0].astype({"plots": int}).join(tree.reindex(columns=list(whats)))
    spread = np.asarray(region.species.spread(told["species"], "volume_spread"), dtype=float)
    at = told[["stand_id"]].astype(str).assign(species=told["told_as"])
    cells, parts = {}, {}
    for what in whats:
        sums = plots.plot_sums(visited, told, (what,), split="told_as")
        if told["shared"].any():
            sure = told.assign(sure=told[what].where(~told["shared"], 0.0))
            sums["held"] = plots.plot_sums(visited, sure, ("sure",), split="told_as")["amount"].to_numpy()
        cells[what] = species_ranges.cells(sums, "told_as")
        amount = ratios.filled(told, (told[what] * told["trees_per_ac"]).to_numpy(dtype=float, na_value=np.nan))
        each = at.assign(amount=amount, lost=np.isnan(amount), kinds=amount * spread, doubt=amount * told["doubt"])
        whole = each.assign(shared=amount * told["shared"]).groupby(["stand_id", "species"]).sum()
        parts[what] = whole.drop(columns="lost").assign(amount=whole["amount"].where(whole["lost"] == 0))
    of = told[told["shared"]].groupby("told_as")["species"].unique()
    kinds = {str(name): tuple(sorted(some)) for name, some in of.items()}
    plain = {what: {name: cv for name, cv in shared[what].items() if name != KINDS} for what in whats}
    return OfSpecies(row, cells, parts, kinds, plain)
