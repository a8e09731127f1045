"""The herd from all that was counted: one number, its range, what each count says of it, and where they disagree.

Source, Pull       one of the counts; the number by it alone, and the number without it
HerdAnswer         the herd of the season's fall
herd_answer        a record -> the herd
seed_of            start of the draws of a place and year

A family wants to know how many deer there are and how far that may be off, and whom to believe where two counts do not
fit together. Then no number is made of both: each is told, and the take rests on the one that can give fewer does.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from zlib import crc32

import numpy as np

from woodlot.deer import herd_evidence as says
from woodlot.deer.answer import Words
from woodlot.deer.doe_share import firsts, give, growth
from woodlot.deer.herd_fit import SETS_A_NUMBER, Cloud, Fall, Fit, Ground, agreement, ends, fit, middle, told, weighed
from woodlot.deer.herd_prior import FARMED_PCT, kept_per_sqmi
from woodlot.deer.herd_year import bucks, does, number
from woodlot.deer.record import Record
from woodlot.deer.sign import UNIT
from woodlot.estimate import LEVEL, Estimate, Reason, reason
from woodlot.region import Region

__all__ = ["HerdAnswer", "Pull", "Source", "at_usual_level", "herd_answer", "of_draws", "seed_of"]

#: Kinds of counts in the order in which they are told: those that set a number first.
KINDS = (*SETS_A_NUMBER, "fawns", "cameras", "ages", "milk", "an hour")
#: Parts of a `Fall` by the kind of count that they are, where they are called otherwise.
PARTS = {"cameras": "bucks", "an hour": "an_hour"}
Key = tuple[str, int]


@dataclass(frozen=True)
class Source:
    """Counts that are believed or doubted together: their kind, the falls they are of, whether they may set a number,
    and whether they are a part of the pellets that does not fit the rest.
    """

    kind: str
    counts: tuple[Key, ...]
    part: bool = False

    @property
    def sets(self) -> bool:
        """Whether it may set a number of deer."""
        return self.kind in SETS_A_NUMBER

    @property
    def words(self) -> Reason:
        """What it is called."""
        springs = tuple(fall + 1 for _, fall in self.counts) if self.kind == "pellets" else ()
        return reason("source", of=self.kind, springs=springs, apart=self.part)


@dataclass(frozen=True)
class Pull:
    """A source: deer a square mile this fall by it alone (no value where it sets none) and without it; used: whether
    the number rests on it.
    """

    source: Source
    alone: Estimate
    without: Estimate
    used: bool


@dataclass(frozen=True)
class HerdAnswer:
    """The herd of the fall ``season`` before its hunt, from ``record``.

    fit: all counts that fit together; lower: where counts that set a number disagree, the fit of the side that can give
    fewer does (where it is the last spring that does not fit, of all springs if they can give fewer yet); falls: the
    record with the counts of ``used`` alone; fall, winter: deer a square mile; growth: of does in a year without a doe
    taken; growing: growth by draw of ``used``; sides: the counts of each side
    with its number; why_not: why there is no number, and nothing to take.
    """

    season: int
    seed: int
    record: Record
    fit: Fit | None
    lower: Fit | None
    falls: tuple[Fall, ...]
    why_not: Words | None
    fall: Estimate
    winter: Estimate
    does_per_buck: Estimate
    fawns_per_doe: Estimate
    growth: Estimate
    growing: np.ndarray | None
    pulls: tuple[Pull, ...]
    sides: tuple[tuple[tuple[Source, ...], Estimate], ...]
    spread: float | None
    agreements: tuple[tuple[Source, Source, float], ...]
    cautions: tuple[Reason, ...]

    @property
    def measured(self) -> bool:
        """Whether there is a herd that a take may rest on."""
        return self.used is not None

    @property
    def used(self) -> Fit | None:
        """The fit that the take rests on."""
        return self.fit if self.lower is None else self.lower

    @property
    def said_sides(self) -> tuple[tuple[tuple[Reason, ...], Estimate], ...]:
        """The sides of a disagreement, their counts by their words."""
        return tuple((tuple(source.words for source in part), estimate) for part, estimate in self.sides)


def seed_of(name: str, season: int) -> int:
    """Start of the draws: the same for a place and year."""
    return crc32(f"{name} {season}".encode())


def of_draws(x: np.ndarray, by: Fit, unit: str, level: float, n: int = 0) -> Estimate:
    """Middle and range of what the draws of a fit say."""
    low, high = ends(x, by.weights, level)
    return Estimate(middle(x, by.weights), unit, low, high, level, "interval", n=n, method="herd fit")


def at_usual_level(herd: HerdAnswer, of: Callable[[np.ndarray], np.ndarray] = number) -> Estimate:
    """Deer a square mile this fall, or of a part of them, with the range that is usual whatever level is asked for."""
    if herd.fit is None or herd.fall.value is None:
        return herd.fall
    return of_draws(of(herd.fit.now), herd.fit, UNIT, LEVEL, herd.fall.n)


def herd_answer(record: Record, *, level: float = LEVEL, seed: int, region: Region) -> HerdAnswer:
    """The herd of the record's season, with ranges at ``level``.

    Notes: counts that hardly any herd of such ground would show (``beyond_ground``) are set aside; ratios that disagree
    with another count (C below ``disagree``) too; where counts that set a number disagree, or too few herds fit all of
    them, none is made of them together.
    Source: herd model pages 2, 3 and 8 of the reference pages, key woodlot_deer.
    """
    if record.why_not is not None:
        return _nothing(record, seed, record.why_not, level)
    cloud = fit(record.falls, record.ground, seed, region).cloud
    beyond = _beyond(cloud, record, region)
    sources = _sources([key for key in cloud.says if key not in beyond], cloud, region)
    cautions = [_too_many(_sources(beyond, cloud, region), record)] if beyond else []
    if beyond and cloud.dense and len(beyond) < len(cloud.says):  # what is set aside lets in no more deer
        cloud = fit(
            _only(record.falls, [key for key in cloud.says if key not in beyond]), record.ground, seed, region
        ).cloud
    cautions += _dense(record.ground, region) if cloud.dense else []
    least = region.figure("defaults_herd", "least_groups_a_spring")
    if not any(s.sets and _enough(s, record, least) for s in sources):
        return _nothing(record, seed, (cautions or [reason("no count yet")])[0], level)
    pairs = tuple((a, b, agreement(told(cloud, a.counts), told(cloud, b.counts))) for a, b in combinations(sources, 2))
    apart = [(a, b) for a, b, c in pairs if c < region.figure("defaults_herd", "disagree")]
    odd = [s for s in sources if not s.sets and any(s in pair for pair in apart)]
    cautions += [reason("ratio set aside", source=s.words) for s in odd]
    kept = [s for s in sources if s not in odd]
    setting = [s for s in kept if s.sets]
    joint = weighed(cloud, _keys(kept))
    few = joint.effective < region.figure("defaults_herd", "least_effective")
    split = any(a.sets and b.sets for a, b in apart) or (few and len(setting) > 1)
    if few and not split:
        return _nothing(record, seed, _too_many(setting, record), level)
    ratios = _keys(s for s in kept if not s.sets)
    parts = _parted(setting, pairs) if split else ()
    sides = [weighed(cloud, (*_keys(part), *ratios)) for part in parts]
    cautious = [*sides, joint] if any(s.part for s in setting) else sides  # a fall of the herd shows in all springs
    lower = min(cautious, key=lambda side: give(side, record.ground.lost, region), default=None)
    used = joint if lower is None else lower
    growing = growth(used.now, cloud.herds.rates, firsts(used), region)
    told_sides = tuple((p, of_draws(number(s.now), s, UNIT, level, len(p))) for p, s in zip(parts, sides, strict=True))
    out = HerdAnswer(
        season=record.season,
        seed=seed,
        record=record,
        fit=joint,
        lower=lower,
        falls=_only(record.falls, used.counts),
        why_not=None,
        **_numbers(joint, growing, level, len(kept)),
        growing=growing,
        pulls=_pulls(sources, kept, cloud, level),
        sides=told_sides,
        spread=_spread(told_sides),
        agreements=pairs,
        cautions=(*record.cautions, *cautions),
    )
    return out if not split else _without_number(out, reason("counts apart"))


def _too_many(sources: Sequence[Source], record: Record) -> Reason:
    """That hardly any herd would show so much, with the number that the plots alone would make of it."""
    falls = {fall for source in sources for kind, fall in source.counts if kind == "pellets"}
    plain = [float(s.per_sqmi.value or 0.0) for s in record.springs if s.year - 1 in falls]
    return reason("beyond ground", sources=tuple(s.words for s in sources), per_sqmi=max(plain, default=None))


def _dense(ground: Ground, region: Region) -> list[Reason]:
    """That more deer were let in than such ground is believed to carry."""
    (_, most), (_, farmed) = (kept_per_sqmi(pct, region) for pct in (ground.farmland_pct, FARMED_PCT))
    return [reason("dense ground", most=most, farmed=farmed)]


def _nothing(record: Record, seed: int, why: Words, level: float) -> HerdAnswer:
    none = Estimate(None, UNIT, level=level, why=why if isinstance(why, Reason) else None)
    ratio = replace(none, unit="")
    return HerdAnswer(
        season=record.season, seed=seed, record=record, fit=None, lower=None, falls=record.falls, why_not=why,
        fall=none, winter=none, does_per_buck=ratio, fawns_per_doe=ratio, growth=ratio, growing=None,
        pulls=(), sides=(), spread=None, agreements=(), cautions=record.cautions,
    )  # fmt: skip


def _without_number(answer: HerdAnswer, why: Reason) -> HerdAnswer:
    """Where counts disagree: what each says stands in ``sides``, and nothing is told of them together."""
    none = Estimate(None, UNIT, level=answer.fall.level, why=why)
    ratio = replace(none, unit="")
    return replace(answer, fall=none, winter=none, does_per_buck=ratio, fawns_per_doe=ratio, growth=ratio)


def _numbers(by: Fit, growing: np.ndarray, level: float, n: int) -> dict[str, Estimate]:
    """The herd's numbers with their ranges; the winter half is of the last winter on record."""
    now = by.now
    winter = Estimate(None, UNIT, level=level, why=reason("no winter yet"))
    if by.cloud.years:
        winter = of_draws(by.cloud.winter_half[-1], by, UNIT, level, n)
    tiny = 1e-9
    return {
        "fall": of_draws(number(now), by, UNIT, level, n),
        "winter": winter,
        "does_per_buck": of_draws(does(now) / np.maximum(bucks(now), tiny), by, "", level, n),
        "fawns_per_doe": of_draws(2.0 * now[0] / np.maximum(does(now), tiny), by, "", level, n),
        "growth": of_draws(growing, by, "", level, n),
    }


def _parted(setting: Sequence[Source], pairs: Sequence[tuple[Source, Source, float]]) -> tuple[tuple[Source, ...], ...]:
    """Two sides: of the two sources that agree least, each with those others that agree with it better."""
    fits = {frozenset((a, b)): c for a, b, c in pairs if a.sets and b.sets and a in setting and b in setting}
    worst = min(fits, key=lambda pair: fits[pair])
    one, other = (s for s in setting if s in worst)
    nearer = {s: one if s == one or (s != other and fits[frozenset((s, one))] >= fits[frozenset((s, other))]) else other
              for s in setting}  # fmt: skip
    return tuple(tuple(s for s in setting if nearer[s] == side) for side in (one, other))


def _keys(sources: Iterable[Source]) -> tuple[Key, ...]:
    return tuple(key for source in sources for key in source.counts)


def _enough(source: Source, record: Record, least: float) -> bool:
    """Whether the groups of a source of pellets are enough to set a number."""
    if source.kind != "pellets":
        return True
    groups = {fall.year: fall.pellets.groups for fall in record.falls if fall.pellets}
    return any(groups[fall] >= least for _, fall in source.counts)


def _sources(keys: Sequence[Key], cloud: Cloud, region: Region) -> list[Source]:
    """Counts of a kind together; the last spring's pellets apart where they do not fit those of the springs before."""
    out = []
    for kind in sorted({kind for kind, _ in keys}, key=KINDS.index):
        mine = tuple(sorted(key for key in keys if key[0] == kind))
        last = mine[-1:] if kind == "pellets" and len(mine) > 1 else ()
        if last and agreement(told(cloud, mine[:-1]), told(cloud, last)) < region.figure("defaults_herd", "disagree"):
            out += [Source(kind, mine[:-1], True), Source(kind, last, True)]
        else:
            out.append(Source(kind, mine))
    return out


def _beyond(cloud: Cloud, record: Record, region: Region) -> list[Key]:
    """Counts so high that hardly any herd which such ground carries would show them."""
    limit = region.figure("defaults_herd", "beyond_ground")
    at = {year: k for k, year in enumerate(cloud.years)}
    out = []
    for fall in record.falls:
        if fall.pellets:
            half = cloud.winter_half[at[fall.year]]
            if says.so_many(fall.pellets, half, cloud.herds.log_groups_a_day, region) < limit:
                out.append(("pellets", fall.year))
        if fall.complete and says.at_least(*fall.complete, cloud.winter_half[at[fall.year]]) < limit:
            out.append(("complete", fall.year))
        if fall.state and says.at_least(*fall.state, number(cloud.herds.now)) < limit:
            out.append(("state", fall.year))
    return out


def _only(falls: Sequence[Fall], counts: Sequence[Key]) -> tuple[Fall, ...]:
    """The falls with these counts alone."""
    kept = set(counts)
    out = []
    for fall in falls:
        watched = falls[-1].year  # watches of all falls tell one trend
        gone = {
            PARTS.get(kind, kind): None
            for kind in KINDS
            if kind != "kill" and (kind, watched if kind == "an hour" else fall.year) not in kept
        }
        out.append(replace(fall, **gone))  # type: ignore[arg-type]
    return tuple(out)


def _pulls(sources: Sequence[Source], kept: Sequence[Source], cloud: Cloud, level: float) -> tuple[Pull, ...]:
    """The number by each source alone, and by the others without it."""

    def by(some: Iterable[Source], why: Reason) -> Estimate:
        some = list(some)
        if not any(s.sets for s in some):
            return Estimate(None, UNIT, level=level, why=why)
        one = weighed(cloud, _keys(some))
        return of_draws(number(one.now), one, UNIT, level, len(some))

    return tuple(
        Pull(
            source,
            by([source], reason("ratio alone")),
            by([s for s in kept if s is not source], reason("nothing else counted")),
            source in kept,
        )
        for source in sources
    )


def _spread(sides: Sequence[tuple[tuple[Source, ...], Estimate]]) -> float | None:
    """How many times the largest number is the smallest."""
    values = [float(e.value or 0.0) for _, e in sides]
    return max(values) / max(min(values), 1e-9) if values else None
