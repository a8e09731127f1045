"""The season's take: does and bucks at most, from the family's share of each fall on record.

Goal, goal_of   what the wish for the herd may change, and what it asks first
take            shares, bank, closing, cap, tags -> the take in numbers and reasons

A family wants to know how many it may take this fall so that there are as many for its children, why, and when the next
one comes. The state's tags go first; what was taken already goes off.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from woodlot.deer import doe_share, meat
from woodlot.deer.answer import Neighbors, Take, Taken, Words
from woodlot.deer.defaults import default
from woodlot.deer.herd_answer import HerdAnswer
from woodlot.deer.herd_fit import mean
from woodlot.deer.herd_year import bucks as bucks_of
from woodlot.deer.shares import FallShare, by_fall
from woodlot.estimate import Estimate, Reason, reason
from woodlot.plan import risk
from woodlot.plan.hunt_choices import Choices
from woodlot.region import Region
from woodlot.units import AC_PER_SQMI

__all__ = ["Goal", "goal_of", "take"]

#: The verdict on the next forest that blames deer.
BLAMED = "held down by deer"
_TINY = 1e-9


@dataclass(frozen=True)
class Goal:
    """The wish that acts (of ``trade.GOALS``), and why another one that was written does not."""

    key: str
    refused: Reason | None = None


def goal_of(
    choices: Choices,
    codes: Sequence[int | None],
    verdicts: Sequence[str],
    winter_per_sqmi: float | None,
    own_ac: float,
    region: Region,
) -> Goal:
    """The wish for the herd, held to what it asks: `hold` stands in for one that may not act.

    Parameters: codes of browsing and verdicts on the next forest by spring, oldest first; winter_per_sqmi: deer of the
    last winter half.

    Notes: fewer deer: code 4 and up, or the forest held down by deer, two springs running, more winter deer than the
    next forest bears, and on less ground than ``defaults_herd.fewer_least_sqmi`` neighbors who join. More deer: not
    where the forest is held down by deer.
    """
    wish = choices.given.goal
    if wish == "grow" and verdicts and verdicts[-1] == BLAMED:
        return Goal("hold", reason("more refused"))
    if wish != "thin":
        return Goal(wish)
    high = [(code or 0) >= 4 for code in codes[-2:]]
    blamed = [one == BLAMED for one in verdicts[-2:]]
    pressed = any(len(two) == 2 and all(two) for two in (high, blamed))
    bears = default("regen_limit", region)
    many = (winter_per_sqmi or 0.0) > bears
    least = region.figure("defaults_herd", "fewer_least_sqmi")
    together = choices.given.neighbors_join or own_ac >= least * AC_PER_SQMI
    if pressed and many and together:
        return Goal("thin")
    lacks = {"pressed": pressed, "many": many, "bears": bears, "together": together, "sqmi": least}
    return Goal("hold", reason("fewer asks more", **lacks))


def take(
    herd: HerdAnswer,
    took: Mapping[int, Taken],
    choices: Choices,
    goal: Goal,
    region: Region,
    *,
    together: bool = False,
) -> Take[Estimate, Words]:
    """Does and bucks of this season and why, what all the ground can give, and the meat.

    took: fall -> deer the family (or its group, together) took; goal: of `goal_of`.
    """
    year, ground = herd.record.season, herd.record.ground
    gone = took.get(year, Taken())
    if herd.used is None:
        return _not_measured(herd, gone, choices, region)
    new = herd.record.falls[-1].neighbors
    shares = by_fall(
        herd.used,
        year,
        ground,
        region,
        thin=goal.key == "thin",
        neighbors_does=None if new is None else new[0],
        buck_share=choices.given.buck_rate,
    )
    now = shares[-1]
    draws, part, of_bucks = risk.ahead(herd, risk.herds_of(herd), region), 1.0, 1.0
    if goal.key != "thin":
        part, of_bucks = risk.capped(draws, now.doe, now.buck, ground.lost, region)
    does_per_yr, bucks_per_yr = part * now.doe, of_bucks * now.buck
    adds = risk.added(draws, does_per_yr, bucks_per_yr, ground.lost)
    books = [took.get(fall.year, Taken()) for fall in shares]
    shut = goal.key == "grow"
    offers = [0.0 if fall.closed or (shut and fall is now) else part * fall.doe for fall in shares]
    horned = [of_bucks * fall.buck for fall in shares]
    of_does, of_horned = [b.does for b in books], [b.bucks for b in books]
    does = _Kind("doe", does_per_yr, *doe_share.bank(offers, of_does, region), gone.does, sum(of_does[:-1]))
    bucks = _Kind("buck", bucks_per_yr, *doe_share.bank(horned, of_horned, region), gone.bucks, sum(of_horned[:-1]))
    halved = now.around > region.figure("defaults_herd", "overhunted") * now.taken
    ground_gives = (now.give * ground.own_ac / AC_PER_SQMI, now.buck)
    why_no_doe = _no_doe(shares, does, ground_gives[0], adds, part < 1.0, goal, choices, region, together)
    why_no_buck = _none(bucks, ground_gives[1], of_bucks < 1.0, choices.tags[1], region)
    doe_n = 0 if why_no_doe else does.left(choices.tags[0])
    buck_n = 0 if why_no_buck else bucks.left(choices.tags[1])
    since = shares[0].year
    facts = {"refused": goal.refused, "lower": herd.lower is not None, "capped": part < 1.0, "halved": halved}
    told = {"most_yr": region.figure("defaults_herd", "due_most_yr"), "together": together}
    pounds = meat.meat_of_take(buck_n, doe_n, region=region)
    miles, around = ground.range_sqmi, _around(herd, now)
    others = miles * ground.neighbors_share
    all_does, all_bucks = now.give * miles, now.buck * ground.range_ac / ground.own_ac
    return Take(
        does=doe_n,
        bucks=buck_n,
        does_words=does.words(doe_n, why_no_doe, since, **facts, **told),
        bucks_words=bucks.words(buck_n, why_no_buck, since, capped=of_bucks < 1.0, **told),
        measured=True,
        does_per_yr=does_per_yr,
        does_if_neighbors_take_none=all_does,
        does_if_local_rate=max(0.0, all_does - around.does_per_sqmi * others),
        bucks_per_yr=bucks_per_yr,
        bucks_if_neighbors_take_none=all_bucks,
        bucks_if_local_rate=max(0.0, all_bucks - around.bucks_per_sqmi * others),
        hold_rate=max(0.0, 1.0 - 1.0 / now.growing),
        doe_rate=now.taken * (1.0 + ground.lost) / max(now.does_there, _TINY),
        growth_rate=now.growing,
        neighbors=around,
        neighbors_words=reason(
            "neighbors",
            used_ac=ground.range_ac,
            share_pct=100.0 * ground.own_ac / ground.range_ac,
            give=(all_does, all_bucks),
            around=(around.does_per_sqmi, around.bucks_per_sqmi),
            wrote=_wrote(herd),
            anew=new is not None,
            together=together,
        ),
        already_taken=gone,
        meat_lb=pounds,
        meals=meat.servings(pounds.value or 0.0, region),
        wish_words="",
        closed=now.closed is not None,
        bank_yr=(does.years, bucks.years),
        halved=halved,
    )


@dataclass(frozen=True)
class _Kind:
    """Does or bucks: share a year, whole deer offered this fall, years in the bank; taken this season already, and in
    the falls on record before it.
    """

    one: str
    per_yr: float
    whole: int
    years: float
    gone: float
    before: float

    def left(self, tags: float | None) -> int:
        """Whole deer still to take this season, under the tags."""
        most = self.whole if tags is None else min(self.whole, int(tags))
        return max(0, int(most - self.gone + _TINY))

    @property
    def owed_yr(self) -> float:
        """Years of the share that were taken beyond it."""
        return self.gone / self.per_yr - self.years

    @property
    def wait(self) -> int:
        """Falls until the next is due."""
        return max(1, ceil(1.0 / self.per_yr + self.owed_yr - 1e-6))

    def words(self, whole: int, none: Reason | None, since: int, **facts) -> Words:
        """How many more at most this season, the yearly share they come of, and when the next is due.

        since: first fall of the record.
        """
        if none:
            return none
        taken = self.before + self.gone
        return reason(
            "season",
            one=self.one,
            whole=whole,
            per_yr=self.per_yr,
            wait=self.wait,
            owed=(taken, since, max(0.0, taken - self.owed_yr * self.per_yr)) if self.owed_yr > 0 else None,
            gone=self.gone,
            **facts,
        )


def _none(kind: _Kind, ground_gives: float, capped: bool, tags: float | None, region: Region) -> Reason | None:
    """Why none of a kind may be named that the state and the ground decide: no tag, or hardly a deer in a life."""
    if tags == 0:
        return reason("no tag", one=kind.one)
    never = region.figure("defaults_herd", "never_share")
    if kind.per_yr < never <= ground_gives and (capped or kind.per_yr <= 0):
        return reason("risk too high", one=kind.one, points=100.0 * region.figure("defaults_herd", "cap_points"))
    if kind.per_yr < never and ground_gives < never:
        return reason("too little ground", one=kind.one)
    most = region.figure("defaults_herd", "due_most_yr")
    if kind.wait > most and kind.owed_yr <= 0 and ground_gives * most < 1.0:
        return reason("too little ground", one=kind.one)
    return None


def _no_doe(
    shares: Sequence[FallShare],
    does: _Kind,
    gives: float,
    adds: float,
    capped: bool,
    goal: Goal,
    choices: Choices,
    region: Region,
    together: bool,
) -> Reason | None:
    """Why no doe may be named; None when one may."""
    now = shares[-1]
    if choices.tags[0] == 0:
        return reason("no tag", one="doe")
    if goal.key == "grow":
        return reason("herd to grow")
    if now.closed:
        first = [fall.year for fall in shares[:3]]
        return reason(
            "closed",
            why=now.closed,
            under=region.figure("defaults_herd", doe_share.LOW[now.closed]),
            years=(first[0], first[-1]),
            odds=now.odds,
            points=100.0 * adds,
            together=together,
        )
    if now.growing <= 1.0 and now.give <= 0:
        return reason("no growth")
    return _none(does, gives, capped, None, region)


def _around(herd: HerdAnswer, now: FallShare) -> Neighbors:
    """Deer a square mile that neighbors take, as told or as the fit has it."""
    assert herd.used is not None
    new, fit = herd.record.falls[-1].neighbors, herd.used
    bucks = mean(fit.cloud.herds.buck_rate * bucks_of(fit.now), fit.weights) if new is None else new[1]
    return Neighbors(bucks_per_sqmi=bucks, does_per_sqmi=now.around)


def _wrote(herd: HerdAnswer) -> tuple[float | None, float | None]:
    """Does and bucks a square mile that the family wrote of its neighbors, the newest."""
    written = [fall.neighbors for fall in herd.record.falls if fall.neighbors is not None]
    return written[-1] if written else herd.record.ground.kill


def _not_measured(herd: HerdAnswer, gone: Taken, choices: Choices, region: Region) -> Take[Estimate, Words]:
    """No doe and no buck, and why."""

    def why(of: str, tags: float | None) -> Reason:
        if tags == 0:
            return reason("no tag", one=of.removesuffix("s"))
        return reason("not measured", of=of, why=herd.why_not)

    pounds = meat.meat_of_take(0, 0, region=region)
    does, bucks = herd.record.ground.kill
    return Take(
        does=0,
        bucks=0,
        does_words=why("does", choices.tags[0]),
        bucks_words=why("bucks", choices.tags[1]),
        measured=False,
        does_per_yr=None,
        does_if_neighbors_take_none=None,
        does_if_local_rate=None,
        bucks_per_yr=None,
        bucks_if_neighbors_take_none=None,
        bucks_if_local_rate=None,
        hold_rate=0.0,
        doe_rate=0.0,
        growth_rate=1.0,
        neighbors=Neighbors(bucks_per_sqmi=bucks or 0.0, does_per_sqmi=does or 0.0),
        neighbors_words="",
        already_taken=gone,
        meat_lb=pounds,
        meals=0.0,
        wish_words="",
        closed=False,
    )
