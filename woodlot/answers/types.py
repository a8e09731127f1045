"""The answers of one place on one day, as plain frozen values; a unit stands at the end of a field's name.

Answers     all of it; ``schema`` is raised with every change of a field here or in ``deer.answer``
Parcel, Stand, Whole, House, Deer, Charts, Job    its chapters
"""

from dataclasses import dataclass, field

from woodlot.deer.answer import Deer, Ends, LongRun
from woodlot.estimate import Number

__all__ = [
    "LEFT_OUT",
    "SCHEMA",
    "Answers",
    "Base",
    "Caution",
    "Ceilings",
    "Changed",
    "Charts",
    "CutOfStand",
    "DeerPlot",
    "Distance",
    "Entry",
    "Full",
    "Ground",
    "Guide",
    "GuideLine",
    "GuidePoint",
    "House",
    "HouseWinter",
    "Job",
    "JobSize",
    "Marked",
    "NextPlots",
    "Note",
    "Parcel",
    "ParcelWood",
    "RiskBar",
    "Row",
    "Size",
    "Source",
    "Species",
    "SpeciesOfStand",
    "Stand",
    "StandWood",
    "Stock",
    "Structure",
    "Whole",
    "WholeWood",
]

SCHEMA = 1
#: Of a field that is not written where there is nothing to say.
LEFT_OUT = {"left_out": True}


# --- land -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Parcel:
    """One owned outline; cords are those on measured ground."""

    parcel_id: str
    name: str
    acres: float
    deed_acres: float | None
    difference_pct: float | None
    miles_from_home: float | None
    is_home: bool
    block: int
    contacts: tuple[str, ...]
    cords: Number
    sentence: str


@dataclass(frozen=True, kw_only=True)
class Ground:
    """What rasters and water say of a stand."""

    slope_pct: float | None = field(default=None, metadata=LEFT_OUT)
    slope_p90_pct: float | None = field(default=None, metadata=LEFT_OUT)
    facing: str | None = field(default=None, metadata=LEFT_OUT)
    canopy_mean_ft: float | None = field(default=None, metadata=LEFT_OUT)
    canopy_p95_ft: float | None = field(default=None, metadata=LEFT_OUT)
    canopy_over_30ft_pct: float | None = field(default=None, metadata=LEFT_OUT)
    strip_ac: float
    steep_ac: float
    wet: bool
    workable_ac: float
    leave_sqft_per_ac: float | None
    words: str


@dataclass(frozen=True)
class Distance:
    """How far a road, a landing or home is from a stand, and how steep the way."""

    to: str
    name: str
    edge_ft: float | None
    straight_ft: float | None
    surface_ft: float | None
    climb_ft: float | None
    drop_ft: float | None
    steepest_pct: float | None
    how: str
    words: str


# --- wood -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class SpeciesOfStand:
    """One kind of tree in a stand."""

    species: str
    cords_per_ac: float
    share_pct: float


@dataclass(frozen=True)
class Species:
    """One kind of tree over all stands."""

    species: str
    cords: Number
    bdft: Number


@dataclass(frozen=True)
class Entry:
    """A winter of the plan in which a stand is cut."""

    winter: str
    acres: float
    cords: float


@dataclass(frozen=True)
class CutOfStand:
    """What is cut in a stand, this winter and over the years of the plan."""

    this_winter: bool
    cords: Number | None
    ceiling_cords_per_yr: float
    words: str
    next_winter: str | None
    leave_sqft_per_ac: float | None
    leave_seen: str
    way: str
    entries: tuple[Entry, ...]
    stocking_after_pct: float | None


@dataclass(frozen=True)
class ParcelWood:
    """What stands on a parcel, on measured ground."""

    parcel_id: str
    name: str
    acres: float
    cords: Number


@dataclass(frozen=True)
class StandWood:
    """What stands in a stand. ``how``: measured, few plots, one plot, empty plots, borrowed or none."""

    stand_id: str
    parcel_id: str | None
    cover: str
    acres: float
    plots: int
    how: str
    measured_on: str | None
    dead_cords_per_ac: float | None
    species: tuple[SpeciesOfStand, ...]
    cords_per_ac: Number
    cords: Number
    sawlog_cords: Number
    firewood_cords: Number
    bdft: Number


@dataclass(frozen=True, kw_only=True)
class Stand:
    """One stand: its ground, what stands on it (``how`` as in StandWood), what is cut."""

    stand_id: str
    parcel_id: str | None
    cover: str
    letter: str
    gross_ac: float
    acres: float
    operable: bool
    frozen_ground_only: bool
    age_yr: float | None
    plots: int
    empty_plots: int
    measured_on: str | None
    how: str
    half_width_pct: float | None
    qmd_in: float | None
    relative_density: float | None
    stocking_pct: Number
    dead_trees_per_ac: float | None
    dead_cords_per_ac: float | None
    species: tuple[SpeciesOfStand, ...]
    cut: CutOfStand
    growth_cords_per_yr: Number
    food_lb_per_ac: Number | None
    cords_per_ac: Number
    basal_sqft_per_ac: Number
    trees_per_ac: Number
    cords: Number
    sawlog_cords: Number
    firewood_cords: Number
    bdft: Number
    borrowed_cords_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)
    borrowed_basal_sqft_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)
    borrowed_trees_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)
    ground: Ground
    distances: tuple[Distance, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Ceilings:
    """What may be cut a year by growth, by area and after Meyer; the smallest of them; what grows; board feet."""

    growth: Number
    area: Number
    meyer: Number
    smallest: Number
    grows: Number
    bdft: Number


@dataclass(frozen=True)
class WholeWood:
    """All stands together: what stands, the parts of its range, and the ground behind it."""

    cords: Number
    cords_sampling_only: Number
    cords_table_only: Number
    cords_stacked: Number
    gross_cords: Number
    sawlog_cords: Number
    firewood_cords: Number
    bdft: Number
    cull_judged_pct: float
    acres: float
    acres_with_plots: float
    acres_without: float
    acres_no_parcel: float
    parcel_acres: float


@dataclass(frozen=True)
class Whole(WholeWood):
    """All stands together: what stands, and what may be cut."""

    growth_cords_per_yr: Number
    ceiling_cords_per_yr: float
    this_winter_cords: float
    stands_this_winter: tuple[str, ...]
    cut_words: str
    cut_caution: str
    ceilings: Ceilings


# --- house ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class House:
    """What the house burns in a winter, what is dry or drying, what is short and what to cut for the next winter."""

    needed: Number | None
    dry_cords: float
    dry_low_cords: float
    dry_high_cords: float
    noted_cords: float
    drying_cords: float
    later_cords: float
    burned_cords: float
    past_cords: float
    in_count: bool
    cut_only: bool
    not_named: bool
    dry_from: tuple[str, ...]
    dry_on: str | None
    short: Number | None
    cut_now_cords: float | None
    can_cut_cords: float | None
    covers_pct: float | None


# --- charts -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class RiskBar:
    """Chance in 100 that the herd halves with so many does taken, beside nobody hunting."""

    does: int
    plan: bool
    meat_lb: float
    value: float
    low: float
    high: float
    none: Ends


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


@dataclass(frozen=True)
class HouseWinter:
    """Cords for one winter: dry or drying now, still to be cut, and the need."""

    winter: str
    stacked: float
    to_cut: float
    need: Number


@dataclass(frozen=True, kw_only=True)
class Charts:
    """Series that the report draws; one that nothing was worked out for is left out."""

    risk: tuple[RiskBar, ...] = ()
    meat: LongRun | None = field(default=None, metadata=LEFT_OUT)
    heat: tuple[HouseWinter, ...] | None = field(default=None, metadata=LEFT_OUT)
    stock: Stock | None = field(default=None, metadata=LEFT_OUT)
    fullness: tuple[Full, ...] | None = field(default=None, metadata=LEFT_OUT)
    structures: tuple[Structure, ...] | None = field(default=None, metadata=LEFT_OUT)


# --- jobs -------------------------------------------------------------------------------------------------------------


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
class Job:
    """The work of this winter in one stand."""

    stand_id: str
    acres: float
    cords: float
    bdft: float
    days: float
    way: str
    leave_sqft_per_ac: float | None
    leave_seen: str
    trees_to_cut: float
    keep: tuple[str, ...]
    months: str
    months_why: str
    cautions: tuple[str, ...]
    miles_from_home: float | None
    ft_from_road: float | None
    words: str
    classes: tuple[JobSize, ...]
    guide: Guide | None


# --- what is said of it all -------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Base:
    """What the numbers rest on: the cord, the log rule, the division of the volume equations, breaks of the map."""

    solid_cuft_per_cord: float
    log_rule: str
    division: str
    cord_breaks: tuple[float, ...]


@dataclass(frozen=True)
class Row:
    """A row of the first screen."""

    topic: str
    title: str
    number: str
    range: str
    why: str


@dataclass(frozen=True)
class Note:
    """A line of the ledger that stands; tag: wood, deer or seen."""

    line: int
    date: str
    kind: str
    tag: str
    amount: float | None
    lon: float | None
    lat: float | None
    text: str
    unit: str
    parcel_id: str
    stand_id: str
    sex_age: str
    who: str


@dataclass(frozen=True)
class DeerPlot:
    """A pellet plot of the last survey, with stems counted and browsed there."""

    plot_id: str
    line: str | None
    lon: float | None
    lat: float | None
    groups: float | None
    stems: float | None
    browsed: float | None
    browsed_pct: float | None


@dataclass(frozen=True)
class NextPlots:
    """Where plots would tell most."""

    plots: int
    stand_id: str


@dataclass(frozen=True)
class Changed:
    """What was done since a day, one thing each."""

    since: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Caution:
    """What to mind, and where."""

    where: str
    text: str


@dataclass(frozen=True)
class Source:
    """A source of figures, and how it was seen."""

    key: str
    text: str
    seen: str


@dataclass(frozen=True, kw_only=True)
class Answers:
    """Everything said about one place on one day."""

    schema: int = SCHEMA
    name: str
    region: str
    as_of: str
    winter: str
    level: float
    base: Base
    parcels: tuple[Parcel, ...]
    stands: tuple[Stand, ...]
    totals: Whole
    species: tuple[Species, ...]
    deer: Deer
    notes: tuple[Note, ...]
    deer_plots: tuple[DeerPlot, ...]
    measure_next: tuple[str, ...]
    next_plots: NextPlots | None
    warnings: tuple[str, ...]
    heat: House
    changed: Changed
    charts: Charts
    jobs: tuple[Job, ...]
    cautions: tuple[Caution, ...]
    memory: tuple[str, ...]
    sources: tuple[Source, ...]
    headline: str
    rows: tuple[Row, ...]
