"""The series that the report draws, and the jobs of this winter in the answers."""

from dataclasses import dataclass, field

from woodlot.answers.as_json import LEFT_OUT
from woodlot.answers.house_types import HouseWinter
from woodlot.deer.answer import Ends, LongRun

__all__ = [
    "Charts",
    "Full",
    "Guide",
    "GuideLine",
    "GuidePoint",
    "Job",
    "JobSize",
    "Marked",
    "RiskBar",
    "Size",
    "Stock",
    "Structure",
    "Ticks",
    "Work",
]


@dataclass(frozen=True)
class RiskBar:
    """Chance in 100 that the herd halves with so many does taken every fall, beside neighbors who hunt and a family
    that does not (none). share: the bar of the family's share, which follows the herd; its does are those of this fall.
    """

    does: int
    plan: bool
    meat_lb: float
    value: float
    low: float
    high: float
    none: Ends
    share: bool | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True, kw_only=True)
class Stock:
    """Cords standing over the years: the plan, its band where it has one, and another way beside it."""

    title: str
    years: tuple[int, ...]
    plan: tuple[float, ...]
    plan_words: str
    low: tuple[float, ...] | None = field(default=None, metadata=LEFT_OUT)
    high: tuple[float, ...] | None = field(default=None, metadata=LEFT_OUT)
    heavier: tuple[float, ...] | None = field(default=None, metadata=LEFT_OUT)
    heavier_words: str | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class Full:
    """How full a stand is by its guide, percent of a full stand: today, after a cut, in 10 and 20 years."""

    stand_id: str
    guide: str
    keep_pct: float | None
    keep_seen: str
    today_pct: float
    after_pct: float | None
    in_10_pct: float
    in_20_pct: float


@dataclass(frozen=True)
class Size:
    """Trees an acre of one diameter: now, by the structure to keep, to take."""

    class_in: int
    now: float
    goal: float
    take: float


@dataclass(frozen=True)
class Marked:
    """Trees an acre of one kind and diameter: now, to cut, to leave, and in words."""

    species: str
    class_in: int
    now: float
    cut: float
    leave: float
    cut_sqft: float
    words: str


@dataclass(frozen=True)
class Structure:
    """An uneven-aged stand beside the structure it should keep."""

    stand_id: str
    cover: str
    leave_sqft_per_ac: float
    q: float
    max_dbh_in: float
    seen: str
    classes: tuple[Size, ...]
    guide: tuple[Marked, ...]


@dataclass(frozen=True, kw_only=True)
class Charts:
    """Series that the report draws; one that nothing was worked out for is left out."""

    risk: tuple[RiskBar, ...] = ()
    meat: LongRun[str] | None = field(default=None, metadata=LEFT_OUT)
    heat: tuple[HouseWinter, ...] | None = field(default=None, metadata=LEFT_OUT)
    stock: Stock | None = field(default=None, metadata=LEFT_OUT)
    fullness: tuple[Full, ...] | None = field(default=None, metadata=LEFT_OUT)
    structures: tuple[Structure, ...] | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class JobSize:
    """Trees of one diameter on the acres of a job: now, to cut, and of which kinds."""

    class_in: int
    now: float
    cut: float
    species: str


@dataclass(frozen=True)
class GuideLine:
    """A line of a stocking guide: (mean diameter in inches, square feet an acre)."""

    name: str
    seen: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class GuidePoint:
    """A stand on its stocking guide: today, after the cut, in 10 or 20 years."""

    when: str
    qmd_in: float | None
    basal: float
    stems: float


@dataclass(frozen=True)
class Guide:
    """A stand on the two axes of its stocking guide."""

    x: str
    y: str
    lines: tuple[GuideLine, ...]
    points: tuple[GuidePoint, ...]


@dataclass(frozen=True)
class Ticks:
    """A job of which some was cut since the winter began: as it was planned, and what was cut."""

    planned_cords: float
    cut_cords: float
    planned_days: float


@dataclass(frozen=True, kw_only=True)
class Work:
    """The work of this winter in one stand, as every answer has it; cords and days are those to go.

    cords: of stems, logs with them; stove_cords, heat_mmbtu: what the stove gets of them and of limbs; bdft: logs for
    the pile; hours: of one person; winters, job_acres: of the job that this winter is part of; marking: order of
    removal, what stands apart, what to free and to keep; after: what comes after the cut.
    """

    stand_id: str
    acres: float
    cords: float
    bdft: float
    days: float
    way: str
    leave_sqft_per_ac: float | None
    leave_seen: str
    trees_to_cut: float
    marking: tuple[str, ...] | None = field(default=None, metadata=LEFT_OUT)
    keep: tuple[str, ...]
    after: tuple[str, ...] | None = field(default=None, metadata=LEFT_OUT)
    months: str
    months_why: str
    cautions: tuple[str, ...]
    miles_from_home: float | None
    ft_from_road: float | None
    words: str
    classes: tuple[JobSize, ...]
    ticks: Ticks | None = field(default=None, metadata=LEFT_OUT, kw_only=True)
    stove_cords: float | None = field(default=None, kw_only=True, metadata=LEFT_OUT)
    heat_mmbtu: float | None = field(default=None, kw_only=True, metadata=LEFT_OUT)
    hours: float | None = field(default=None, kw_only=True, metadata=LEFT_OUT)
    winters: int | None = field(default=None, kw_only=True, metadata=LEFT_OUT)
    job_acres: float | None = field(default=None, kw_only=True, metadata=LEFT_OUT)


@dataclass(frozen=True, kw_only=True)
class Job(Work):
    """The work of this winter with the stocking guide of its stand."""

    guide: Guide | None
