"""What is worked out about the deer, as plain frozen values: the chapter's files fill them, everything else reads them.

Deer        all of it, for one place and one season
Spring, Food, Coming, Browsed, Stocking, Evidence, Impact, Take, Risk    its parts, in the order in which they are asked

N is an Estimate and W a Reason (or a name, or "" for nothing to say) while they are worked out; in an answer, which
``woodlot.say.reasons.worded`` makes of them, N is a Number and W is words.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeAlias, TypeVar

from woodlot.deer.forest_answer import NextForest
from woodlot.estimate import Number, Reason

N = TypeVar("N")
W = TypeVar("W")

#: What a W is in the chapters.
Words: TypeAlias = Reason | str


@dataclass(frozen=True)
class Spring(Generic[N]):
    """The pellet plots of one spring; note: why they give no number of their own, or move none."""

    year: int
    plots: int
    groups: float
    per_sqmi: N
    note: str | None = field(default=None, metadata={"left_out": True})


@dataclass(frozen=True)
class FallTold(Generic[N, W]):
    """A fall on record: deer a square mile before its hunt, groups on the plots of next spring, the winter after
    it by whatever told it, and percent of the herd that it took (None: nobody told).
    """

    year: int
    per_sqmi: N
    groups: float | None
    winter: W
    lost_pct: float | None


@dataclass(frozen=True)
class Winters(Generic[N]):
    """Deer by kind of winter."""

    mild: N
    average: N
    severe: N


@dataclass(frozen=True)
class ComingWinter(Generic[N]):
    """Deer that planned cuts feed more, in the winter that begins in fall ``year``."""

    year: int
    mild: N
    average: N
    severe: N


@dataclass(frozen=True)
class Coming(Generic[N, W]):
    """What planned cuts add to eat: winter by winter, the winter with most of it, covers without a figure."""

    winters: tuple[ComingWinter[N], ...]
    best_year: int | None
    adds: Winters[N] | None
    acres_cut: float
    no_figure_for: tuple[str, ...]
    words: W


@dataclass(frozen=True)
class Food(Generic[N, W]):
    """Deer that the ground they use feeds, and the family's part of it; ``stands``: pounds an acre by stand_id.

    shown_pct: percent of the ground around the stands that the land cover raster shows; None without one.
    """

    acres: float
    shown_pct: float | None
    mild: N
    average: N
    severe: N
    per_sqmi: Winters[N]
    own: Winters[N]
    own_share_pct: float
    own_acres_pct: float
    evergreen_pct: float
    cover_score: float
    seen: str
    words: tuple[W, ...]
    stands: Mapping[str, N]
    past_words: W
    cuts: Coming[N, W] | None = None


@dataclass(frozen=True)
class Browsed(Generic[N, W]):
    """Stems of one class of preference, and the share of them that is browsed."""

    preference: str
    stems: int
    plots: int
    word: str
    browsed_pct: N
    words: W


@dataclass(frozen=True)
class Stocking(Generic[N, W]):
    """Seedling plots with enough of the next forest by one rule, beside the share that is needed."""

    rule: str
    deer: str
    needed_per_plot: float
    plots: int
    needed_pct: float
    words: W
    seen: str
    stocked_pct: N


@dataclass(frozen=True)
class Counted(Generic[N, W]):
    """One kind of count: what it is, what it measures, and what it gives; alone, without: deer a square mile this fall
    by it alone, and by the others without it.
    """

    what: str
    measures: W
    estimate: N
    method: W
    words: W
    alone: N | None = field(default=None, metadata={"left_out": True})
    without: N | None = field(default=None, metadata={"left_out": True})


@dataclass(frozen=True)
class Together(Generic[W]):
    """Whether the counts agree (None: nothing to hold side by side), and how many times the largest is the smallest."""

    agree: bool | None
    spread: float | None
    words: W


@dataclass(frozen=True)
class Ratios:
    """Does per buck and fawns per doe, sum over sum; None where there is nothing to divide by."""

    does_per_buck: float | None
    fawns_per_doe: float | None


@dataclass(frozen=True)
class Evidence(Generic[N, W]):
    """All counts side by side."""

    rows: tuple[Counted[N, W], ...]
    together: Together[W]
    ratios: Ratios


@dataclass(frozen=True)
class Impact(Generic[W]):
    """Pressure of deer on young woody plants: code 0 to 5 (None: not enough to say), word, words, why, and the mark;
    plots walked.
    """

    code: int | None
    word: str
    words: W
    why: W
    seen: str
    plots: int


@dataclass(frozen=True)
class Neighbors:
    """Deer a square mile that neighbors take a year."""

    bucks_per_sqmi: float
    does_per_sqmi: float


@dataclass(frozen=True)
class Taken:
    """Deer that the family took in one season; does are all deer without antlers."""

    bucks: float = 0.0
    does: float = 0.0


@dataclass(frozen=True)
class TenYears(Generic[N, W]):
    """What the ground can give in ten falls, each offer taken: does, bucks, pounds and meals.

    quiet_lb: where neighbors take no doe and few bucks; with_doe_tags_lb: with doe tags, where there is none now;
    wanted_lb: ten years of the household's wish; acres_for_all, farmland_acres_for_all: ground like this one that would
    give all of it, and such ground with 30 % farmland around (None: nothing to say).
    """

    does: float
    bucks: float
    meat_lb: N
    meals: float
    quiet_lb: float
    with_doe_tags_lb: float | None
    wanted_lb: float | None
    acres_for_all: float | None
    farmland_acres_for_all: float | None
    words: W


@dataclass(frozen=True)
class Take(Generic[N, W]):
    """Does and bucks of this season at most, what all the ground can give, the neighbors' part of it, and the meat.

    measured: whether there is enough to name any; per_yr: the family's share a year, which the bank gives in the long
    run; closed: whether does are closed this fall; halved: whether the share of does is, for what neighbors take;
    if_neighbors_take_none: what the ground that the deer use can give, if_local_rate: what the neighbors leave of it;
    hold_rate, doe_rate: share of the does that may be taken a year to hold the herd, and by the wish;
    growth_rate: of the does with none taken.
    """

    does: int
    bucks: int
    does_words: W
    bucks_words: W
    measured: bool
    does_per_yr: float | None
    does_if_neighbors_take_none: float | None
    does_if_local_rate: float | None
    bucks_per_yr: float | None
    bucks_if_neighbors_take_none: float | None
    bucks_if_local_rate: float | None
    hold_rate: float
    doe_rate: float
    growth_rate: float
    neighbors: Neighbors
    neighbors_words: W
    already_taken: Taken
    meat_lb: N
    meals: float
    wish_words: W
    closed: bool | None = field(default=None, metadata={"left_out": True})
    ten_years: TenYears[N, W] | None = field(default=None, metadata={"left_out": True})
    eaten_lb: N | None = field(default=None, metadata={"left_out": True})
    bank_yr: tuple[float, float] | None = field(default=None, metadata={"left_out": True})
    halved: bool | None = field(default=None, metadata={"left_out": True})


@dataclass(frozen=True)
class Ends:
    """A chance with its two ends, shares of one: a range of assumptions."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class TakeRisk(Generic[N]):
    """Chances of the herd with so many does and bucks a fall; plan: the take that is named."""

    does: int
    bucks: int
    plan: bool
    meat_lb: N
    falls_next: Ends
    halved_5: Ends
    halved_10: Ends
    under_goal_10: Ends


@dataclass(frozen=True)
class Chances:
    """The same chances with one way to hunt."""

    falls_next: float
    halved_5: float
    halved_10: float
    under_goal_10: float


@dataclass(frozen=True)
class LongRun(Generic[W]):
    """Pounds of doe meat a year by the share of does taken: in the first years and in the long run.

    left: does after the last year over those at the start; top_pct: the share that gives most, flat_pct the shares that
    give nearly as much, now_pct today's share.
    """

    share_pct: tuple[float, ...]
    first_lb: tuple[float, ...]
    settled_lb: tuple[float, ...]
    left: tuple[float, ...]
    top_pct: float
    flat_pct: tuple[float, float]
    top_range_pct: tuple[float, float]
    now_pct: float
    words: W


@dataclass(frozen=True, kw_only=True)
class Risk(Generic[N, W]):
    """Take against risk; without a count there are no takes and ``words`` says why.

    no_hunting: the family takes none, the neighbors hunt on; you_too: the family's share taken each fall beside them;
    _high: with three fawns in ten fewer; full_herd_per_sqmi: low, middle, high; bears_per_sqmi: winter deer with which
    the next forest still comes up.
    """

    takes: tuple[TakeRisk[N], ...] = ()
    no_hunting: Chances | None = None
    no_hunting_high: Chances | None = field(default=None, metadata={"left_out": True})
    you_too: Chances | None = field(default=None, metadata={"left_out": True})
    you_too_high: Chances | None = field(default=None, metadata={"left_out": True})
    meat: LongRun[W] | None = None
    full_herd_per_sqmi: tuple[float, float, float] | None = field(default=None, metadata={"left_out": True})
    bears_per_sqmi: float | None = field(default=None, metadata={"left_out": True})
    words: W


@dataclass(frozen=True)
class Pool(Generic[W]):
    """Neighbors who pool ground and take: families, acres of all, whose the next doe is; in words.

    A family alone (families 1) whose share is small has acres_wanted: of neighbors, for one doe in a few years.
    """

    families: int
    acres: float
    next_doe_to: str | None
    acres_wanted: float | None
    words: W


@dataclass(frozen=True)
class Deer(Generic[N, W]):
    """Everything worked out about deer for one place and the season of the fall ``season``.

    density_per_sqmi: of the last winter half; fall_per_sqmi: of the fall before its hunt; growth: of does in a year
    without a doe taken; equivalents: deer the family's acres carry the use of; walk_there: deer that
    come by at some time; effective_ac: ground they use, share_pct the family's part of it; falls: of the record, oldest
    first; doubts: what to mind of the number; condition: weights and beams of the family's deer.
    """

    season: int
    density_per_sqmi: N
    fall_per_sqmi: N
    words: W
    years: tuple[Spring[N], ...]
    equivalents: N
    walk_there: N
    walk_there_bucks: N
    food: Food[N, W] | None
    acres: float
    effective_ac: float
    share_pct: float
    browse: tuple[Browsed[N, W], ...]
    seedlings: tuple[Stocking[N, W], ...]
    evidence: Evidence[N, W]
    impact: Impact[W]
    take: Take[N, W]
    risk: Risk[N, W]
    measure_next: tuple[W, ...]
    cautions: tuple[W, ...]
    does_per_buck: N | None = field(default=None, metadata={"left_out": True})
    fawns_per_doe: N | None = field(default=None, metadata={"left_out": True})
    growth: N | None = field(default=None, metadata={"left_out": True})
    forest: NextForest[N, W] | None = field(default=None, metadata={"left_out": True})
    pool: Pool[W] | None = field(default=None, metadata={"left_out": True})
    falls: tuple[FallTold[N, W], ...] | None = field(default=None, metadata={"left_out": True})
    doubts: tuple[W, ...] | None = field(default=None, metadata={"left_out": True})
    condition: tuple[W, ...] | None = field(default=None, metadata={"left_out": True})


#: The same as answers hold them.
DeerAnswer: TypeAlias = Deer[Number, str]
