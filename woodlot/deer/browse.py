"""Browse: which share of the stems within reach is bitten, by what deer like best, and what it says of their number.

wilson              limits of a share
preference_table    species -> preference class, the place's own wishes first
shares              a survey (a row a plot and species) -> share browsed by class, with limits and reasons
by_spring           the same for every spring that was looked at
impact              one code, 0 to 5, from those shares
testify             which stems are of kinds that deer eat when they need not
deer_plots          pellet and browse plots together, for the map

The family asks whether deer hold the young trees down. Kinds that deer leave alone cannot say that they do not:
unbitten they say nothing, bitten they are hunger.

Stems on one plot are alike; limits that treat them as independent hold the truth 57 to 71 times in 100 instead of 90.
Stems already killed are not counted: few stems with little browsing is not good news.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import inf

import numpy as np
import pandas as pd

from woodlot.deer.answer import Impact, Words
from woodlot.deer.defaults import default
from woodlot.errors import InputError
from woodlot.estimate import LEVEL, Estimate, Reason, reason, t_quantile
from woodlot.region import Region
from woodlot.trade import unknown

__all__ = [
    "Impact",
    "Share",
    "by_spring",
    "deer_plots",
    "design_effect",
    "impact",
    "preference_table",
    "shares",
    "testify",
    "wilson",
]

UNIT = "percent"
NOT_RANKED = "not ranked"
#: What sets_code says of the classes: it sets the code, it does not, or it counts beside a class that deer like.
SETS, BESIDE = "yes", "beside liked"
CODES = {"light": 2, "moderate": 3, "heavy": 4}


@dataclass(frozen=True)
class Share:
    """What is browsed of one class of preference, with what its range was reckoned from.

    word: light, moderate or heavy; "" for kinds that speak only when bitten and were not. surely_heavy: the whole
    range, at 90 percent whatever level is asked for, lies above what counts as heavy.
    """

    preference: str
    stems: int
    plots: int
    browsed_pct: Estimate
    word: str
    surely_heavy: bool
    words: Reason


def wilson(browsed, available, level: float = LEVEL, *, design_effect=1.0, df: float = inf):
    """Limits of the share of stems browsed: (low, high), numbers or arrays, shares from 0 to 1.

    Parameters: browsed, available [stems]; level [share]; design_effect: how many stems count for one (1: independent);
    df: degrees of freedom of the plots (infinite: normal quantile). Raises InputError when browsed exceeds available.

    Notes: Wilson's limits with available / design_effect in place of available and t in place of z.

    >>> tuple(round(x, 3) for x in wilson(34, 120, 0.95))
    (0.21, 0.37)

    Source: Wilson 1927 (form from memory), key wilson_1927; n over design effect with t: honesty_trials.
    """
    x, n = np.asarray(browsed, dtype=float), np.asarray(available, dtype=float)
    if np.any(x < 0) or np.any(n <= 0) or np.any(x > n):
        raise InputError(f"browsed must lie between 0 and available, was {browsed!r} of {available!r}")
    if not 0 < level < 1:
        raise InputError(f"level must lie between 0 and 1, was {level!r}")
    q = t_quantile(level, df)
    n = n / np.asarray(design_effect, dtype=float)
    p = x / np.asarray(available, dtype=float)
    middle = (p + q * q / (2 * n)) / (1 + q * q / n)
    half = q / (1 + q * q / n) * np.sqrt(p * (1 - p) / n + q * q / (4 * n * n))
    low, high = np.clip(middle - half, 0.0, p), np.clip(middle + half, p, 1.0)
    return (float(low), float(high)) if np.ndim(low) == 0 else (low, high)


def design_effect(browsed, available, within_plot: float) -> float:
    """How many stems count for one, from stems browsed and available by plot (arrays).

    Notes: variance of the ratio between plots over that of independent stems, at least 1. Where nothing or everything
    is browsed the plots cannot tell, and 1 + (stems a plot - 1) x within_plot stands in.
    """
    x, a = np.asarray(browsed, dtype=float), np.asarray(available, dtype=float)
    n, total = len(a), a.sum()
    p = x.sum() / total
    if p in (0.0, 1.0) or n < 2:
        return float(1.0 + max((a * a).sum() / total - 1.0, 0.0) * within_plot)
    between = n / (n - 1) * ((x - p * a) ** 2).sum() / total**2
    return float(max(1.0, between / (p * (1 - p) / total)))


def preference_table(region: Region, own: Mapping[str, str] | None = None) -> dict[str, str]:
    """Species -> preference class of a region; ``own`` (species -> class) of a place goes before it.

    A kind of several species has the middle class of those that are ranked (of two the less liked); a wish for such a
    kind goes for each of its species that has no wish of its own. Raises InputError for a class that does not exist.
    """
    classes = list(region.table("deer_browse_classes").sort_values("order")["preference"])
    rows = region.table("deer_browse_preference")
    out = dict(zip(rows["species"], rows["preference"], strict=True))
    wishes = {species.strip().lower(): wish for species, wish in (own or {}).items()}
    for species, wish in wishes.items():
        if wish not in classes:
            raise InputError(f"preference {wish!r} of {species}: {unknown(wish, classes)}")
        out |= {one: wish for one in region.species.members(species) if one not in wishes} | {species: wish}
    for kind in region.species.listed:
        ranked = sorted(classes.index(out[one]) for one in region.species.members(kind) if one in out)
        if ranked:
            out.setdefault(kind, classes[ranked[len(ranked) // 2]])
    return out


def testify(species: pd.Series, own: Mapping[str, str] | None = None, *, region: Region) -> pd.Series:
    """Whether each species is liked or ordinary food: only such stems can show that deer press little."""
    classes = region.table("deer_browse_classes")
    eaten = classes.loc[classes["sets_code"] != BESIDE, "preference"]
    return species.astype(str).str.strip().str.lower().map(preference_table(region, own)).isin(eaten)


def shares(
    frame: pd.DataFrame | None, *, own: Mapping[str, str] | None = None, region: Region, level: float = LEVEL
) -> list[Share]:
    """Share browsed by preference class.

    frame: columns plot_id, species, stems, browsed (one row a plot and species; stems from 6 inches to 6 feet).
    browsed_pct is an Estimate in percent of stems: sum over sum, Wilson limits with stems over the design effect and t
    for the plots; fewer than 5 plots with stems of a class give no range, and why. Species without a class come last,
    as "not ranked". Raises InputError when more stems are browsed than there are.
    """
    if frame is None or len(frame) == 0:
        return []
    rows = frame[frame["stems"].notna() & (frame["stems"] > 0)]
    bitten = rows["browsed"].fillna(0).astype(float)
    if (bitten > rows["stems"].astype(float)).any():
        raise InputError("more stems browsed than there are")
    plots = int(frame["plot_id"].nunique())
    species = rows["species"].astype(str).str.strip().str.lower()
    preference = species.map(preference_table(region, own)).fillna(NOT_RANKED)
    cells = pd.DataFrame(
        {"c": preference, "p": rows["plot_id"].astype(str), "x": bitten, "a": rows["stems"].astype(float)}
    )
    cells = cells.groupby(["c", "p"], as_index=False)[["x", "a"]].sum()
    order = [*region.table("deer_browse_classes").sort_values("order")["preference"], NOT_RANKED]
    by_class = dict(iter(cells.groupby("c")))
    return [_one_class(name, by_class[name], plots, region, level) for name in order if name in by_class]


def _one_class(name: str, cells: pd.DataFrame, plots: int, region: Region, level: float) -> Share:
    browsed, stems, n = float(cells["x"].sum()), float(cells["a"].sum()), len(cells)
    share = browsed / stems
    effect = design_effect(cells["x"], cells["a"], default("browse_within_plot", region))
    low = high = None
    least_sure, why = 0.0, None
    if n < int(default("least_plots_with", region)):
        why = reason("few plots with it", n=n, plots=plots, pct=100 * share)
    else:
        low, high = wilson(browsed, stems, level, design_effect=effect, df=n - 1)
        least_sure = wilson(browsed, stems, LEVEL, design_effect=effect, df=n - 1)[0]
    word = _word(name, share, region)
    e = Estimate(
        value=100 * share,
        unit=UNIT,
        low=None if low is None else 100 * low,
        high=None if high is None else 100 * high,
        level=level,
        kind="none" if low is None else "interval",
        df=max(n - 1, 1),
        n=n,
        why=why,
    )
    sure = low is not None and high is not None and _word(name, low, region) == _word(name, high, region)
    return Share(
        preference=name,
        stems=int(stems),
        plots=n,
        browsed_pct=e,
        word=word,
        surely_heavy=_word(name, least_sure, region) == "heavy",
        words=reason("browsed", preference=name, word=word, share=e, sure=sure),
    )


def _class(name: str, region: Region) -> pd.Series:
    rows = region.table("deer_browse_classes")
    return rows[rows["preference"] == name].iloc[0]


def _word(name: str, share: float, region: Region) -> str:
    if name == NOT_RANKED:
        return ""
    row = _class(name, region)
    if row["sets_code"] == BESIDE:
        return "heavy" if share > row["heavy_above"] else ""
    return "light" if share < row["light_below"] else "heavy" if share > row["heavy_above"] else "moderate"


def by_spring(
    frame: pd.DataFrame | None, as_of: date, own: Mapping[str, str] | None, region: Region, level: float = LEVEL
) -> list[tuple[int, int, list[Share]]]:
    """(year, plots, shares) of every spring up to ``as_of``, oldest first; rows without a date belong to the last."""
    if frame is None or len(frame) == 0:
        return []
    day = pd.to_datetime(frame["date"])
    known = day.isna() | (day <= pd.Timestamp(as_of))
    past, year = frame[known], day[known].dt.year
    year = year.fillna(year.max() if year.notna().any() else as_of.year).astype(int)
    springs = [(int(y), past[year == y]) for y in sorted(year.unique())]
    return [(y, int(f["plot_id"].nunique()), shares(f, own=own, region=region, level=level)) for y, f in springs]


def impact(by_class: list[Share], plots: int, region: Region) -> Impact[Words]:
    """One code from the shares of `shares` on so many plots: 2 light, 3 medium, 4 high, 5 very high.

    Notes (chosen): the higher of what the preferred and second classes say: light 2, moderate 3, heavy 4. Hungry foods
    and avoided kinds speak only when bitten, and only where a liked class is moderate or heavy or the preferred one is
    missing: 4, beside a heavy one 5. Third choices are ordinary food and set none. Only classes seen on 5 plots speak.
    """
    least = int(default("least_plots_with", region))
    if not plots:
        return Impact(None, "", reason("no browse plots"), "", "", 0)
    if plots < least:
        why = reason("few browse plots", plots=plots, least=least)
        return Impact(None, "", reason("browse not measured"), why, "", plots)
    classes = region.table("deer_browse_classes").set_index("preference")
    rows = [r for r in by_class if r.preference in classes.index and r.browsed_pct.kind == "interval"]
    liked = [r for r in rows if classes["sets_code"][r.preference] == SETS]
    hungry = [r for r in rows if classes["sets_code"][r.preference] == BESIDE and r.surely_heavy]
    best = str(classes["order"].idxmin())
    says = max(liked, key=lambda r: CODES[r.word], default=None)
    code = None if says is None else CODES[says.word]
    if hungry and (says is None or CODES[says.word] > 2 or best not in {r.preference for r in liked}):
        code = 5 if code == 4 else 4
        says = says if code == 5 else hungry[0]
    if says is None:
        without = plots - next((r.plots for r in by_class if r.preference == best), 0)
        why = reason("best kinds missing", without=without, plots=plots)
        return Impact(None, "", reason("little that deer like"), why, "", plots)
    row = region.table("deer_impact_scale").set_index("code").loc[code]
    name = str(row["name"])
    words = reason("browsing", name=name, meaning=str(row["meaning"]))
    return Impact(code, name, words, says.words, str(row["seen"]), plots)


def deer_plots(
    pellets: pd.DataFrame | None, browse: pd.DataFrame | None, own: Mapping[str, str] | None = None, *, region: Region
) -> list[dict]:
    """Plots of the last pellet survey with the stems counted and browsed there, of kinds that deer like or eat anyway.

    own: preference of species by the place itself. Returns dicts plot_id, line, lon, lat, groups, stems, browsed,
    browsed_pct (None where nothing was judged).
    """
    if pellets is None or len(pellets) == 0:
        return []
    rows = pellets[pd.to_datetime(pellets["date"]).dt.year == pd.to_datetime(pellets["date"]).dt.year.max()]
    out = rows[["plot_id", "line", "lon", "lat", "groups"]].copy()
    out["stems"] = out["browsed"] = out["browsed_pct"] = float("nan")
    if browse is not None and len(browse):
        last = pd.to_datetime(browse["date"]).dt.year == pd.to_datetime(browse["date"]).dt.year.max()
        bitten = browse[last & testify(browse["species"], own, region=region)]
        sums = bitten.groupby("plot_id")[["stems", "browsed"]].sum()
        out["stems"], out["browsed"] = out["plot_id"].map(sums["stems"]), out["plot_id"].map(sums["browsed"])
        out["browsed_pct"] = 100.0 * out["browsed"] / out["stems"].where(out["stems"] > 0)
    return out.astype(object).where(out.notna(), None).to_dict("records")
