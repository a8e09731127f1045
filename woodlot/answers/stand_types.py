"""Parcels, stands and all of them together in the answers: their land, what stands on it, what is cut of it."""

from dataclasses import dataclass, field

from woodlot.answers.as_json import LEFT_OUT
from woodlot.answers.future_types import Futures
from woodlot.answers.wish_types import Wish
from woodlot.answers.year_types import YearTold
from woodlot.estimate import Number

__all__ = [
    "Balance",
    "Ceilings",
    "CutOfStand",
    "Distance",
    "Entry",
    "Ground",
    "Parcel",
    "ParcelWood",
    "Species",
    "SpeciesOfStand",
    "Stand",
    "StandWood",
    "Whole",
    "WholeWood",
    "WorkInStand",
]


@dataclass(frozen=True)
class Parcel:
    """One owned outline; cords are those on measured ground; lines_walked: when its lines last were, by the ledger."""

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
    lines_walked: str | None = field(default=None, metadata=LEFT_OUT)


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
    leave_sqft_per_ac: float | None = None
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


@dataclass(frozen=True)
class SpeciesOfStand:
    """One kind of tree in a stand; told_per_ac: its cords with their range."""

    species: str
    cords_per_ac: float
    share_pct: float
    told_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class Species:
    """One kind of tree over all stands."""

    species: str
    cords: Number
    bdft: Number


@dataclass(frozen=True)
class Entry:
    """A winter of the plan in which a stand is cut; cords of stems, and what the stove gets of them and of limbs."""

    winter: str
    acres: float
    cords: float
    stove_cords: float | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class WorkInStand:
    """A job: consecutive winters of the plan in one stand, each by its mean."""

    stand_id: str
    first_winter: str
    last_winter: str
    winters: int
    acres: float
    acres_a_winter: float
    cords_a_winter: float
    stove_cords_a_winter: float
    days_a_winter: float
    words: str


@dataclass(frozen=True)
class Balance:
    """Cords grown and cut since a day, and the one less the other."""

    since: str
    grown: Number
    cut_cords: float
    left: Number
    words: str


@dataclass(frozen=True)
class CutOfStand:
    """What is cut in a stand, this winter and over the years of the plan.

    this_winter, cords: trees of the tally and the plan's cut together; tally_trees: of the tally that fall there;
    done_cords: cut there since the winter began.
    """

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
    done_cords: float | None = field(default=None, metadata=LEFT_OUT)
    works: tuple[WorkInStand, ...] | None = field(default=None, metadata=LEFT_OUT)
    tally_trees: float | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True)
class ParcelWood:
    """What stands on a parcel, on measured ground."""

    parcel_id: str
    name: str
    acres: float
    cords: Number


@dataclass(frozen=True)
class StandWood:
    """What stands in a stand. ``how``: measured, few plots, one plot, empty plots, borrowed or none;
    unseen_kind_per_ac: what may stand of a kind that none of its plots met.
    """

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
    basal_sqft_per_ac: Number
    unseen_kind_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)


@dataclass(frozen=True, kw_only=True)
class Stand:
    """One stand: its ground, what stands on it (``how`` as in StandWood), what is cut, what the ledger notes of it."""

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
    balance: Balance | None = field(default=None, metadata=LEFT_OUT)
    food_lb_per_ac: Number | None
    cords_per_ac: Number
    basal_sqft_per_ac: Number
    trees_per_ac: Number
    cords: Number
    sawlog_cords: Number
    firewood_cords: Number
    bdft: Number
    unseen_kind_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)
    borrowed_cords_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)
    borrowed_basal_sqft_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)
    borrowed_trees_per_ac: Number | None = field(default=None, metadata=LEFT_OUT)
    wishes: tuple[Wish, ...] | None = field(default=None, metadata=LEFT_OUT)
    years_told: tuple[YearTold, ...] | None = field(default=None, metadata=LEFT_OUT)
    years_words: str | None = field(default=None, metadata=LEFT_OUT)
    noted: tuple[str, ...] | None = field(default=None, metadata=LEFT_OUT)
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


@dataclass(frozen=True, kw_only=True)
class CutRule:
    """How the yearly cut of all stands together came about [cords, cords a year].

    low_growth, mid_growth: lower tenth and middle of net growth; stock, first, goal: standing now, when the first
    cruise saw it, and at what is to be kept (null where nothing is); pull: what the way there adds or takes off; over:
    what grows over what stands keep until the next cruise, standing_surplus: of it today, in all; by_area: stands cut
    by area, beside; beside: what dies or breaks up, in no lasting cut; with_ten_cores: the limit with ten cores; binds:
    growth, area, meyer, reach or none; parts, why, asked, more: the same in words.
    """

    low_growth_cords_per_yr: float
    mid_growth_cords_per_yr: float
    stock_cords: float
    first_cords: float
    goal_cords: float | None
    pull_cords_per_yr: float
    area_cords_per_yr: float
    meyer_cords_per_yr: float
    over_cords_per_yr: float
    standing_surplus_cords: float
    by_area_cords_per_yr: float
    beside_cords: float
    with_ten_cores_cords_per_yr: float
    binds: str
    parts: tuple[str, ...]
    why: str
    asked: tuple[str, ...]
    more: tuple[str, ...]


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
    cut_rule: CutRule | None = field(default=None, metadata=LEFT_OUT)
    balance: Balance | None = field(default=None, metadata=LEFT_OUT)
    futures: Futures | None = field(default=None, metadata=LEFT_OUT)
