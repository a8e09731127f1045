"""One place on one day: each chapter of its story, worked out when it is first asked for, and once.

season    a Season of a place
Season    what may be asked
at_work   called while a chapter is worked out; a command line may show it
"""

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from contextvars import ContextVar
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any, Generic, TypeVar, overload

import numpy as np
import pandas as pd

from woodlot import ledger
from woodlot.deer.answer import Deer, Words
from woodlot.deer.bag import killed_by_fall
from woodlot.deer.forest_floor import Overhead
from woodlot.deer.group import Group, family_of, pooled
from woodlot.errors import InputError
from woodlot.estimate import Estimate
from woodlot.land import near_lines
from woodlot.land import wishes as wished
from woodlot.land.wishes import Wishes
from woodlot.place import Place
from woodlot.place.teaching import lessons
from woodlot.plan import (
    balance,
    browse_from_cuts,
    ceilings,
    done,
    futures,
    hunt,
    job,
    labor,
    pieces,
    scheduled,
    stove_wood,
    turns,
    visits,
    wanted,
    what_ifs,
    winter_list,
    woods_today,
    years_told,
)
from woodlot.plan.ceilings import Yearly
from woodlot.plan.future_chances import Futures
from woodlot.plan.pieces import Pieces
from woodlot.plan.scheduled import Schedule
from woodlot.plan.turns import Cutting
from woodlot.plan.what_ifs import Outcome
from woodlot.plan.winter_list import Task, WinterList
from woodlot.plan.woods import CASES, Woods
from woodlot.plan.years_told import YearsTold
from woodlot.region import heard, reading
from woodlot.stand import layout, next_plots, plot_times, raster_at_plots, seen_from_above, weekend
from woodlot.stand.layout import Measured
from woodlot.stand.next_plots import Wish
from woodlot.stand.raster_at_plots import Above
from woodlot.stand.seen_from_above import Backdrop, Lent, Seen
from woodlot.stand.weekend import FirstPlots
from woodlot.trade import FELLED_KINDS, SUGARBUSH, THIS_WINTER, TOTAL
from woodlot.wood import felling, heating, tally, wants
from woodlot.wood import standing as cruised
from woodlot.wood.drawn_down import winter_began
from woodlot.wood.felling import Felling
from woodlot.wood.heating import Household
from woodlot.wood.standing import Standing
from woodlot.wood.taught import Taught, rest
from woodlot.wood.wants import Want

__all__ = ["Season", "at_work", "season"]

#: Years and years in a period by which it is told what the woods look like if the family goes on so.
FAR = (50, 5)
#: Chapters that rest on no tree of the woods grown to the day, and on no need of the years to come.
APART = (
    *("measured", "standing", "first_cords", "seen", "wishes", "to_work", "road_ft"),
    *("felling", "tally_work", "pieces", "stove"),
)
#: Hours for which plots are put in order, over those there are: the whole walk may be shorter than stand by stand.
MORE_HOURS = 1.5
T = TypeVar("T")

#: Called with the words of a chapter; what it gives is entered while the chapter is worked out.
at_work: ContextVar[Callable[[str], AbstractContextManager[Any]]] = ContextVar("at_work", default=nullcontext)


class _Chapter(Generic[T]):
    """A property worked out at the first asking; what it gave is kept beside the fields of the season, not in them."""

    def __init__(self, words: str, work: Callable[[Any], T]):
        self.words, self.work, self.__doc__ = words, work, work.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    @overload
    def __get__(self, season: None, owner: type) -> "_Chapter[T]": ...
    @overload
    def __get__(self, season: Any, owner: type) -> T: ...
    def __get__(self, season: Any, owner: type) -> "_Chapter[T] | T":
        if season is None:
            return self
        kept = vars(season).setdefault("_kept", {})
        if self.name not in kept:  # here alone a chapter is worked out, watched, and what it read is noted
            with at_work.get()(self.words), reading() as reads:
                value = self.work(season)
            kept[self.name] = value, frozenset(reads)
        value, read = kept[self.name]
        heard(read)  # whoever asks later rests on the same figures
        return value


def chapter(words: str) -> Callable[[Callable[[Any], T]], _Chapter[T]]:
    """A decorator that makes a method a chapter of the season; words: what is being worked out."""
    return lambda work: _Chapter(words, work)


@dataclass(frozen=True)
class Season:
    """One place on one day. Chapters ask each other; what nobody asks for is not worked out.

    level: share of times a range should hold the truth; seed: start of the random draws; years, step_yr, cut_more: how
    far ahead ``cutting`` plans, in periods of how many years, and whether for all that may be cut and not only for the
    need. Equal and pickled by these alone: a copy works itself out again to the same numbers.
    """

    place: Place
    level: float
    seed: int = 1
    years: int = 10
    step_yr: int = 1
    cut_more: bool = False

    def __post_init__(self) -> None:
        """Refuse years that make no whole periods, before anything is worked out."""
        if self.years < 1 or self.step_yr < 1 or self.years % self.step_yr:
            raise InputError(f"{self.years} years are no whole number of periods of {self.step_yr}")

    def __getstate__(self) -> dict[str, Any]:
        """The fields without what the chapters gave."""
        return {field.name: getattr(self, field.name) for field in fields(self)}

    @property
    def day(self) -> date:
        """The day that is spoken of: the one for which the place was read, since by it plots count or do not yet."""
        return self.place.as_of

    def choice(self, name: str) -> Any:
        """What the family chose in place.toml, else what its region holds. Raises TableError for an unknown name."""
        return self.level if name == "level" else _choice(self.place, name)

    @property
    def _by(self) -> dict[str, Any]:
        """The choices by which wood is told."""
        return {
            "division": str(self.choice("division")),
            "solid_cuft_per_cord": float(self.choice("solid_cuft_per_cord")),
            "log_rule": str(self.choice("log_rule")),
        }

    @chapter("Measuring the land")
    def measured(self) -> Measured:
        """Acres, contacts, distances, and the faults of the lines."""
        place = self.place
        return layout.measured(place.parcels, place.stands, place.features, place.home, region=place.region)

    @chapter("Comparing lines")
    def near(self) -> pd.DataFrame:
        """Lines of parcels and drawn stands that nearly agree; one that is a whole parcel has no line of its own."""
        place = self.place
        stands = place.stands[~place.stands["stand_id"].isin(place.whole_parcels)]
        return near_lines.near_lines(place.parcels, stands, place.features, region=place.region)

    @property
    def taught(self) -> Taught:
        """What the jobs of the woodpile taught table and cord, by which the place is read already."""
        place = self.place
        return lessons(place.ledger, place.choices, self.day, region=place.region)

    @chapter("Counting what stands")
    def standing(self) -> Standing:
        """Plots and trees to cords, board feet, basal area and trees, each with its range."""
        return cruised.standing(self.measured.stands, self.place.plots, self.place.trees, **self._standing_by)

    @property
    def _standing_by(self) -> dict[str, Any]:
        """By what plots and trees become cords."""
        place = self.place
        return self._by | {
            "form_class": place.choices.get("form_class"),
            "level": self.level,
            "region": place.region,
            "plot_times": plot_times.plot_times(
                self.measured.stands,
                place.features,
                place.plots,
                place.trees,
                edges=place.cruise.get("edges"),
                prisms=place.prisms,
                region=place.region,
            ),
            "above": self._above,
        }

    @property
    def _above(self) -> Above | None:
        """What the raster of tree heights shows at the plots, where the family says that it may help."""
        place, lines = self.place, ledger.standing(self.place.ledger)
        cut = lines.loc[lines["kind"].isin(FELLED_KINDS), ["date", "stand_id"]]
        tops = seen_from_above.canopy_of(place.rasters)
        return raster_at_plots.above(
            self.measured.stands, place.plots, tops, place.rasters_at_plots, cut, region=place.region
        )

    @chapter("Looking at rasters and water")
    def seen(self) -> Seen:
        """Slope, canopy, cover, strips along water, steep ground and distances of the stands."""
        place = self.place
        return seen_from_above.seen(
            self.measured.stands,
            place.parcels,
            place.features,
            place.rasters,
            place.home,
            codes=place.cover_codes,
            state=place.choices.get("state"),
            region=place.region,
        )

    @property
    def next_plots(self) -> dict[str, Any]:
        """What the next plots are for, as the family or its region chose: answer, within (a share), hours."""
        chosen, region = self.place.cruise, self.place.region
        return {
            "answer": chosen.get("answer", TOTAL),
            "within": chosen.get("within_pct", region.figure("defaults_sampling", "within_pct")) / 100.0,
            "hours": chosen.get("hours", region.figure("defaults_stand", "weekend_hours")),
        }

    def lacking(self, ids: Sequence[str] | None = None) -> tuple[pd.DataFrame, Wish]:
        """The stands that the family's answer is of, or those named, and what it still lacks."""
        answer, stands = self.next_plots["answer"], self.measured.stands
        if answer == THIS_WINTER:
            cut = [one.stand_id for one in self.winter.tasks if one.stand_id] if ids is None else []
            answer, ids = (THIS_WINTER, cut) if cut else (TOTAL, ids)
        rows = next_plots.table(stands, self.standing.each_ac["cords"], ids, region=self.place.region)
        return rows, next_plots.wish(rows, answer, self.next_plots["within"], self.level)

    @chapter("Laying out the next plots")
    def first_plots(self) -> FirstPlots:
        """Where the plots of the next day in the woods tell most, and the rounds to them."""
        return self.plots_for()

    def plots_for(self, ids: Sequence[str] | None = None) -> FirstPlots:
        """The same for the stands named; water is looked for only where a plot is wanted."""
        place, land, hours = self.place, self.measured, self.next_plots["hours"]
        rows, lacks = self.lacking(ids)
        steps = next_plots.in_order(rows, lacks, MORE_HOURS * hours, self.level)
        return weekend.first_plots(
            land.stands,
            land.parcels,
            place.features,
            self.seen.strips if steps else place.features,
            place.home,
            steps,
            hours,
            set(place.plots["plot_id"].astype(str)),
            next_plots.kept_for_good(land.stands, region=place.region),
            self.seed,
            region=place.region,
        )

    @chapter("Looking back before the last day of plots")
    def before_last_day(self) -> tuple[Estimate, float] | None:
        """Cords by the plots of all days but the last on which any were measured, and the acres with plots then.

        None where there were none.
        """
        place, last = self.place, self.place.plots["date"].max()
        kept = place.plots["date"] != last
        if pd.isna(last) or not kept.any():
            return None
        plots = place.plots[kept].reset_index(drop=True)
        there = place.trees["plot_id"].astype(str).isin(plots["plot_id"].astype(str))
        then = replace(self, place=replace(place, plots=plots, trees=place.trees[there].reset_index(drop=True)))
        vars(then)["_kept"] = {"measured": (self.measured, frozenset())}  # the land is the same
        return cruised.cords_in_all(then.measured.stands, plots, then.place.trees, **then._standing_by)

    @chapter("Drawing the ground")
    def backdrop(self) -> Backdrop:
        """Pictures and contours that the map lies on."""
        return seen_from_above.backdrop(self.place.parcels, self.place.rasters, self.seen, region=self.place.region)

    @chapter("Likening stands without plots")
    def lent(self) -> Lent:
        """What stands that nobody has cruised borrow from the measured ones most like them."""
        stood = self.standing
        measured_ac = {name: stood.each_ac[name] for name in ("cords", "basal_sqft", "trees")}
        off = {"cords": {tally.VOLUME_TABLE: float(stood.volume_cv.mean())}} if len(stood.volume_cv) else None
        return seen_from_above.lend(
            self.seen, self.measured.stands, measured_ac, off, level=self.level, region=self.place.region
        )

    @chapter("Growing the woods to the day")
    def woods(self) -> Woods:
        """Every stand grown from the day of its plots to the day asked, less what the ledger says was cut."""
        place, stood = self.place, self.standing
        tables = (place.earlier_plots, place.earlier_trees, place.plots, place.trees, place.ledger)
        today = woods_today.bring_forward(
            self.measured.stands,
            stood.stands,
            stood.table,
            stood.trees,
            stood.totals["cords by stand_id"],
            place.cores,
            place.ledger,
            self.day,
            **self._by,
            region=place.region,
            bare=woods_today.understory_bare(place.seedlings),
            again=visits.again(*tables, stood.plot_times.times, region=place.region)
            if len(place.earlier_plots)
            else None,
        )
        rows = self.wishes.of(SUGARBUSH)
        sap = today.stands["stand_id"].isin(rows.index[rows["rules"].to_numpy(dtype=bool)])
        return replace(today, stands=today.stands.assign(sap=sap))

    @property
    def cord_rates(self) -> dict[tuple[str, str], float]:
        """Cords of stem behind each unit in which the ledger notes felled wood."""
        by, trees = self._by, self.standing.trees
        return done.rates(trees, by["log_rule"], by["solid_cuft_per_cord"], region=self.place.region)

    @property
    def cut_this_winter(self) -> pd.Series:
        """Cords felled in each stand since the winter began, by stand_id."""
        began = winter_began(self.day)
        return done.cut_by_stand(self.place.ledger, began, self.cord_rates, until=self.day)

    @property
    def balances(self) -> dict[str, balance.Balance]:
        """Growth against cut of each stand by stand_id."""
        table, stood = self.ceilings.table, self.standing.stands.set_index("stand_id")["measured_on"]
        grows = dict(zip(table["stand_id"].astype(str), table["grows"], strict=True))
        by, place = self.cord_rates, self.place
        return balance.balances(grows, stood, place.ledger, by, self.day, region=place.region)

    @chapter("Looking up the first cruise")
    def first_cords(self) -> dict[str, float]:
        """Cords an acre as the first visits saw them, of stands that were cruised before."""
        place = self.place
        plots, trees = woods_today.first_cruise(place.earlier_plots, place.earlier_trees)
        if not len(plots):
            return {}
        form = place.choices.get("form_class")
        then = cruised.standing(
            self.measured.stands,
            plots,
            trees,
            **self._by,
            form_class=form,
            level=self.level,
            region=place.region,
            plot_times=self.standing.plot_times,  # by the names of the same plots
        )
        return {stand: one.value for stand, one in then.each_ac["cords"].items() if one.value is not None}

    @chapter("Choosing trees to fell")
    def felling(self) -> Felling:
        """Which trees of the tally fall this winter: what ``fell`` shows without options."""
        return self.felled(self.tally_left)

    @property
    def tally_left(self) -> pd.DataFrame:
        """Trees of the tally that stand: those of a job that the ledger calls felled are gone."""
        return rest(self.place.tally, ledger.standing(self.place.ledger))

    def felled(self, tally: pd.DataFrame, whole: bool = False) -> Felling:
        """The same for some trees of the tally; whole: they all fall."""
        place = self.place
        clear = felling.cleared(tally, place.needs.get("clear", ()))
        asked = wants.open_lines(self.wants)
        return felling.felling(tally, asked, clear | whole, **self._by, region=place.region)

    @chapter("Laying the family's wishes on the ground")
    def wishes(self) -> Wishes:
        """What the family wishes of its ground in the winter that is planned."""
        land, place = self.measured, self.place
        return wished.wishes(land.stands, place.parcels, place.features, winter_began(self.day).year)

    @chapter("Finding the ground to work on")
    def to_work(self) -> pd.DataFrame:
        """The stands with the acres on which wood may be cut."""
        return turns.to_work(self.measured, self.seen, self.wishes)

    @chapter("Working out what may be cut")
    def ceilings(self) -> Yearly:
        """Ceilings of the yearly cut, by stand, by parcel and in all."""
        place = self.place
        return ceilings.yearly_cut(
            self.woods,
            self.to_work,
            self.standing.totals["cords by stand_id"],
            place.region,
            self.level,
            self.seed,
            chosen_sqft=place.leave_sqft,
            first_cords=self.first_cords,
        )

    @chapter("Telling the years")
    def years_told(self) -> YearsTold:
        """Every stand in 10, 25 and 50 years, uncut and cut by its own guide."""
        return years_told.years_told(self.woods, self.ceilings, region=self.place.region)

    @chapter("Going on for a hundred years")
    def futures(self) -> Futures:
        """How likely the stock falls if all is cut that may be, in many futures of the family's own stands."""
        cords = self.standing.totals["cords by stand_id"]
        return futures.futures(self.woods, self.ceilings, cords, self.place.region, self.level, self.seed)

    @chapter("Taking off what is made")
    def wants(self) -> tuple[Want, ...]:
        """What the household wants, in its order, less what the ledger says is made."""
        place = self.place
        lines = ledger.standing(place.ledger) if len(place.ledger) else place.ledger
        lists = place.needs, place.wants, place.to_build
        return wants.wanted(*lists, lines, self.day, place.region, self._by["solid_cuft_per_cord"])

    @chapter("Counting posts, poles and logs")
    def pieces(self) -> Pieces:
        """Posts, poles and logs that the trees of each species and size give, for what the family's list asks."""
        return pieces.pieces_by_class(
            self.woods.species,
            self.standing.trees,
            wanted.named(self.wants),
            **self._by,
            burn_logs=self._burn_logs,
            region=self.place.region,
        )

    @property
    def _burn_logs(self) -> bool:
        return bool(self.place.choices.get("burn_logs"))

    @chapter("Counting what the stove gets")
    def stove(self) -> dict[str, np.ndarray]:
        """Heat, stove wood and logs that the trees of each species and size give when cut for their best use."""
        return stove_wood.by_class(
            self.woods.species,
            self.standing.trees,
            **self._by,
            burn_logs=self._burn_logs,
            region=self.place.region,
        )

    @chapter("Measuring the way to the road")
    def road_ft(self) -> pd.Series:
        """Feet from each stand to the nearest road or landing drawn, by stand_id."""
        return job.ft_from_road(self.to_work, self.place.features)

    @property
    def _pace(self) -> labor.Pace:
        """Hours a cord: the published ones as the family's ledger teaches them."""
        return labor.pace(done.pace_hours_per_cord(self.place.ledger), region=self.place.region)

    @property
    def _called(self) -> list[str]:
        """Lines of the household's list that are open, as the schedule calls them."""
        return wanted.called(self.wants)

    @property
    def wants_met(self) -> tuple[winter_list.Want, ...]:
        """What is wanted, with what the trees of the tally give of it; no schedule is made for it."""
        return winter_list.wants_met(self.felling, self._called)

    @chapter("Working up the tally")
    def tally_work(self) -> tuple[Task, ...]:
        """The trees of the tally that fall this winter, as work by stand."""
        solid, region = self._by["solid_cuft_per_cord"], self.place.region
        return winter_list.of_tally(
            self.felling, self._called, self.to_work, self.road_ft, solid, self._pace, region=region
        )

    @property
    def _to_cut(self) -> Woods:
        """The woods without the trees of the tally that fall this winter, which no schedule cuts again."""
        return self._less_tally(self.woods)

    def _less_tally(self, woods: Woods) -> Woods:
        cords = pd.Series({task.stand_id: 0.0 for task in self.tally_work}, dtype=float)
        for task in self.tally_work:
            cords[task.stand_id] += task.cords
        return woods_today.less(woods, cords) if len(cords) else woods

    def _planned(self, plan_years: int, step_yr: int, **more: bool) -> Schedule:
        place, began = self.place, winter_began(self.day)
        stands = self.to_work.assign(ft_from_road=self.road_ft.to_numpy())
        over = began.year, plan_years // step_yr, step_yr
        due, ahead = wanted.by_period(self.wants, *over), wanted.ahead(self.wants, *over)
        return scheduled.scheduled(
            self._to_cut,
            self.ceilings,
            stands,
            began.year,
            stove=self.stove,
            need_mmbtu=due.pop(wanted.HEAT, None),
            pieces=self.pieces,
            wanted=due,
            ahead=ahead,
            taken=winter_list.taken(
                self.tally_work,
                float(done.felled(place.ledger, began, self.cord_rates, until=self.day, dead=False)["cords"].sum()),
                self.felling,
            ),
            days_per_yr=place.limits.get("days_of_work_per_yr"),
            pace=self._pace,
            years=plan_years,
            step=step_yr,
            neighbors=scheduled.neighbors_of(stands),
            region=place.region,
            seed=self.seed,
            **more,
        )

    @chapter("Planning the cuts")
    def cutting(self) -> Cutting:
        """When each stand is cut over the coming years, and the job of this winter."""
        place, stands, ceilings = self.place, self.to_work, self.ceilings
        schedule = self._planned(self.years, self.step_yr, cut_more=self.cut_more)
        jobs = job.jobs(
            self._to_cut, ceilings, schedule, stands, self.standing.trees, self.road_ft, region=place.region
        )
        return Cutting(self.woods, ceilings, schedule, jobs)

    @chapter("Listing this winter's work")
    def winter(self) -> WinterList:
        """Trees of the tally, salvage and jobs of the schedule in one order, with what they meet."""
        cutting, called, stands = self.cutting, self._called, self.woods.stands
        ids, parcel_of = (stands[name].fillna("").astype(str) for name in ("stand_id", "parcel_id"))
        parcels = dict(zip(ids, parcel_of, strict=True))
        growing = cutting.schedule.growing
        dying = growing[growing["salvage"].astype(bool)]
        jobs = winter_list.of_jobs(cutting.jobs, cutting.schedule, dying["stand_id"].tolist(), called, parcels=parcels)
        losing = dying.loc[dying["may"] & dying["next_year"].isna(), "stand_id"] if called else dying["stand_id"][:0]
        have = self.place.limits.get("days_of_work_per_yr")
        return winter_list.winter_list(self.tally_work, jobs, called, have, self.felling, losing.tolist())

    @chapter("Looking fifty years ahead")
    def later(self) -> Schedule:
        """The schedule over fifty years in steps of five, without what is in its way: nobody fells by it."""
        return self._planned(*FAR, explained=False)

    def supposed(self, scenario: str) -> "Season":
        """The same place on the same day as a scenario has it (``plan.what_ifs``); this season stays as it is."""
        region, other = self.place.region, replace(self)
        known = scenario not in what_ifs.CUTS_STAY
        with reading() as reads:
            woods = what_ifs.altered(scenario, self.woods, region=region)
            wants = self.wants
            if scenario in what_ifs.NEEDS:
                wants = what_ifs.burning(wants, what_ifs.figure(scenario, "need_times", region))
            same_woods, same_wants = woods is self.woods, wants is self.wants
            kept = [*APART, *(() if known and not same_woods else ("ceilings",))]
            kept += [] if known and not (same_woods and same_wants) else ["later"]
            for name in kept:
                getattr(self, name)
        chapters = {name: vars(self)["_kept"][name] for name in kept}
        vars(other)["_kept"] = chapters | {"woods": (woods, frozenset(reads)), "wants": (wants, frozenset(reads))}
        return other

    def what_if(self, scenario: str | None = None) -> Outcome:
        """What the far plan comes to as a scenario has it; None: as it is planned."""
        other, place = self if scenario is None else self.supposed(scenario), self.place
        far, region, start = other.later, place.region, winter_began(self.day).year
        woods = {case: self._less_tally(what_ifs.altered(scenario, self.woods, case, region=region)) for case in CASES}
        cuts = browse_from_cuts.planned(far.entries, far.growing, start, far.step_yr)
        deer = browse_from_cuts.food_later(place.stands, place.ledger, cuts, self.day, FAR[0], region)
        return what_ifs.outcome(scenario, self._to_cut, woods, other.ceilings, far, deer, region)

    @chapter("Asking the neighbors")
    def group(self) -> Group:
        """The family and the neighbors who pool ground and take with it; alone it is a group of one."""
        place = self.place
        killed = killed_by_fall(place.bag, ledger.standing(place.ledger), place.region)[["does", "bucks"]]
        return pooled(family_of(place.name, place.parcels, killed), place.group.families, region=place.region)

    @property
    def _overhead(self) -> Overhead:
        """What the cruise says of the ground over the seedlings; trees are counted only where seedlings were."""
        place = self.place
        basal = {}
        if len(place.seedlings) and len(place.plots):
            means = self.standing.each_ac["basal_sqft"]
            basal = {stand: mean.value for stand, mean in means.items() if mean.value is not None}
        return Overhead(place.stands, place.plots, place.trees, basal)

    @chapter("Counting the deer")
    def hunt(self) -> Deer[Estimate, Words]:
        """The deer: how many, what they eat, how many may be taken at most; nothing of the cuts to come."""
        place = self.place
        return hunt.season(
            place.parcels,
            pellets=place.pellets,
            browse=place.browse,
            counts=place.counts,
            seedlings=place.seedlings,
            over=self._overhead,
            state=place.choices.get("state"),
            bag=place.bag,
            winters=place.winters,
            stands=place.stands,
            ledger=place.ledger,
            land_cover=seen_from_above.land_cover_of(place.rasters),
            cover_codes=place.cover_codes,
            options=place.deer,
            limits=place.limits,
            meat_lb=place.needs.get("meat_lb"),
            name=place.name,
            group=self.group,
            as_of=self.day,
            region=place.region,
            level=self.level,
        )

    @chapter("Counting what coming cuts feed")
    def herd(self) -> Deer[Estimate, Words]:
        """``hunt`` with what the cuts to come add to eat."""
        place, food, near = self.place, self.hunt.food, self.cutting
        if food is None:
            return self.hunt
        coming = browse_from_cuts.planned(near.schedule.entries, near.schedule.growing, winter_began(self.day).year)
        cuts = browse_from_cuts.coming_food(place.stands, place.ledger, coming, self.day, region=place.region)
        return replace(self.hunt, food=replace(food, cuts=cuts))

    @chapter("Counting cords for the house")
    def heat(self) -> Household:
        """What the house needs, what is dry, what is short."""
        place = self.place
        return heating.household(
            place.needs,
            ledger.standing(place.ledger) if len(place.ledger) else place.ledger,
            self.day,
            float(sum(task.firewood_cords for task in self.winter.tasks)),
            solid_cuft_per_cord=self._by["solid_cuft_per_cord"],
            region=place.region,
        )


def _choice(place: Place, name: str) -> Any:
    chosen = place.choices.get(name)
    return place.region.choice(name) if chosen is None else chosen


def season(place: Place, level: float | None = None, seed: int = 1, **ahead: Any) -> Season:
    """The season of a place. level None: as the family or its region chose; ahead: years, step_yr, cut_more."""
    return Season(place, float(_choice(place, "level")) if level is None else level, seed, **ahead)
