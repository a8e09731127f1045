"""The lists of place.toml, declared like the columns of the tables: [[needs.pieces]], [[wants]], [[builds]],
[[leave]], [[prism]], [[group]].

Piece, Want, Build, Leave, Prism, Neighbor   one entry of each
LISTS, Lists         parts that stand as often as the family has something to say
names_of_woods, names_of_trees   checks of a text that names woods, or trees alone
"""

from typing import Annotated, TypeVar

from pydantic import AfterValidator, BeforeValidator, ValidationInfo, computed_field, model_validator

from woodlot import covers, trade
from woodlot.column_kinds import Among, Day, Row, Text, column, lower
from woodlot.errors import InputError
from woodlot.say.words import capital
from woodlot.stand.eye import prism_factor

__all__ = ["LISTS", "Build", "Leave", "Lists", "Neighbor", "Piece", "Prism", "Want", "names_of_trees", "names_of_woods"]


def names_of_woods(names: str, info: ValidationInfo) -> str:
    """The text, where each of its names is a wood (``trade.WOODS``) or a tree of the region."""
    for name in names.split(";"):
        if name.strip().lower() not in trade.WOODS:
            try:
                info.context["region"].species.name(name)  # type: ignore[index]
            except InputError as error:
                near = str(error).partition("; did you mean ")[2]
                more = f" Did you mean {near}" if near else ""
                raise ValueError(f"Write any, hardwood, softwood, or names of trees.{more}") from None
    return names


def names_of_trees(names: str, info: ValidationInfo) -> str:
    """The text, where each of its names is a tree of the region."""
    if any(name.strip().lower() in trade.WOODS for name in names.split(";")) or not names.strip(" ;"):
        raise ValueError("Write names of trees, such as  red oak; sugar maple.")
    return names_of_woods(names, info)


class _Sized(Row):
    """How many of what size and wood, once or each year."""

    product: Annotated[str, Among(trade.PRODUCTS)] = column("post, pole, sawlog ...", must=True)
    number: float = column("pieces, full cords, cubic yards or board feet", "", 0, 100_000, must=True)
    length_ft: float | None = column("length of a piece", "ft", 1, 60)
    top_in: float | None = column("least thin end, inside bark", "in", 1, 40)
    butt_in: float | None = column("largest butt, inside bark", "in", 1, 60)
    wood: Annotated[Text, AfterValidator(names_of_woods)] | None = column(
        "any, lasting (posts are, unless wood says another), hot, hardwood, softwood, or names of trees"
    )
    often: Annotated[str, Among(trade.OFTEN)] | None = column("left out: firewood and chips each year, all else once")

    @model_validator(mode="after")
    def _all_is_read(self) -> "_Sized":
        """Nothing stands in a line that its product leaves unread."""
        sizes = [name for name in ("length_ft", "top_in", "butt_in") if getattr(self, name) is not None]
        if self.product in trade.LOOSE and sizes:
            raise ValueError(f"{capital(self.product)} has no size here. Take out {' and '.join(sizes)}.")
        if self.top_in is not None and self.butt_in is not None and self.butt_in <= self.top_in:
            raise ValueError(
                f"Its largest butt, {self.butt_in:g} in, has to be thicker than its least thin end, {self.top_in:g} in."
            )
        return self


class Piece(_Sized):
    """One line of [[needs.pieces]]: how many of what size and wood, once or each year."""

    lasting: bool | None = column("of a wood that lasts in the ground (posts are, unless wood says another)")
    hot: bool | None = column("of a wood that burns hot")

    @model_validator(mode="after")
    def _one_wood(self) -> "Piece":
        woods = [name for name in ("lasting", "hot", "wood") if getattr(self, name)]
        if len(woods) > 1:
            raise ValueError(f"Of {' and '.join(woods)} only one can be read. Keep one of them.")
        return self


class Want(_Sized):
    """One [[wants]]: what the household wants besides, for what, by when."""

    purpose: Text | None = column("what it is for, in your words")
    by: Day | None = column("last day; firewood with a day is wanted once")
    asked: Day | None = column("day it was written: what was noted since then is taken off")

    @model_validator(mode="after")
    def _days_fit(self) -> "Want":
        if self.often == "each year" and self.by is not None:
            raise ValueError("What is wanted each year has no last day. Take out by, or write once.")
        return _in_order(self)


class Build(Row):
    """One [[builds]]: what the family wants to build; its pieces stand in builds.csv, or in a ready list."""

    name: Annotated[Text, BeforeValidator(lower)] = column("trellis, fence, raised bed ...", must=True)
    number: float | None = column("how many of it; left out: one", "", 0.01, 1_000)
    purpose: Text | None = column("what or where it is for, in your words")
    by: Day | None = column("last day")
    asked: Day | None = column("day it was written: what was noted since then is taken off")

    @model_validator(mode="after")
    def _days_fit(self) -> "Build":
        return _in_order(self)


Dated = TypeVar("Dated", Want, Build)


def _in_order(one: Dated) -> Dated:
    """Refuse a last day before the day it was asked on."""
    if one.by is not None and one.asked is not None and one.by < one.asked:
        raise ValueError(
            f"Its last day, {one.by.isoformat()}, is before {one.asked.isoformat()}, the day it was asked."
        )
    return one


def _thinned(name: str, info: ValidationInfo) -> str:
    """The name of a cover that the region thins."""
    region = info.context["region"]  # type: ignore[index]
    thinned = [one for one in covers.known(region) if covers.are_thinned([one], region)[0]]
    if name in thinned:
        return name
    if name in covers.known(region):
        raise ValueError(f"Nothing is left standing there by basal area: {name} is not thinned. Take it out.")
    raise ValueError(trade.unknown(name, thinned))


class Leave(Row):
    """One [[leave]]: how dense the family wishes to keep one cover when it is thinned; it goes before the usual."""

    cover: Annotated[Text, BeforeValidator(lower), AfterValidator(_thinned)] = column(
        "cover that is thinned", must=True
    )
    sqft: float = column("basal area to leave", "sq ft/ac", 20, 250, must=True)


def _once_each(entries: list[Leave]) -> list[Leave]:
    """Refuse two entries of one cover."""
    named = [one.cover for one in entries]
    if twice := next((one for one in named if named.count(one) > 1), None):
        raise ValueError(f"{capital(twice)} stands twice. Keep one of the two.")
    return entries


class Prism(Row):
    """One [[prism]]: what a target just shifted by its own width says of a prism and of all plots counted with it."""

    factor: float = column("factor on the prism, as in plots.csv", "sq ft/ac", 1, 100, must=True)
    width_ft: float = column("width of the target", "ft", 0.1, 20, must=True)
    distance_ft: float = column(
        "from the prism to the target, where its shifted side just meets the other", "ft", 1, 500, must=True
    )
    doubtful_taped: bool = column(
        "true where every doubtful tree was taped at the factor on the prism: then its plots stay as they are",
        default=False,
    )

    @computed_field  # type: ignore[prop-decorator]
    @property
    def real(self) -> float:
        """The true factor."""
        return float(prism_factor(self.width_ft, self.distance_ft))

    @model_validator(mode="after")
    def _can_be(self, info: ValidationInfo) -> "Prism":
        """A true factor near the one on the prism."""
        off = info.context["region"].figure("defaults_sampling", "prism_off_share")  # type: ignore[index]
        if abs(self.real / self.factor - 1.0) > off:
            far = self.distance_ft * (self.real / self.factor) ** 0.5
            raise ValueError(
                f"By this it is a factor of {self.real:.3g}, too far from {self.factor:g}. At {self.factor:g} the "
                f"distance is about {far:.1f} ft. Was it measured from the prism, and the target's width in its unit?"
            )
        return self


def _one_factor(entries: list[Prism]) -> list[Prism]:
    """Refuse two entries of one factor."""
    named = [one.factor for one in entries]
    if twice := next((one for one in named if named.count(one) > 1), None):
        raise ValueError(f"Factor {twice:g} stands twice. Keep one of the two, or the mean of their distances.")
    return entries


class Neighbor(Row):
    """One [[group]]: a family that shares the deer, and whether it agreed to pool ground and take."""

    family: Text = column("its name, as in the file it handed out", must=True)
    agreed: bool = column("true where it agreed to share one take; false leaves its ground and kills out", must=True)


def _named_once(entries: list[Neighbor]) -> list[Neighbor]:
    """Refuse two entries of one family."""
    named = [one.family.casefold() for one in entries]
    if twice := next((one for one in entries if named.count(one.family.casefold()) > 1), None):
        raise ValueError(f"{twice.family} stands twice. Keep one of the two.")
    return entries


class Lists(Row):
    """What place.toml lists under [[wants]], [[builds]], [[leave]], [[prism]] and [[group]]."""

    wants: list[Want] | None = column("what the household wants besides, once or each year")
    builds: list[Build] | None = column("what the family wants to build")
    leave: Annotated[list[Leave], AfterValidator(_once_each)] | None = column("how dense it wishes to keep its woods")
    prism: Annotated[list[Prism], AfterValidator(_one_factor)] | None = column("what its prisms truly are")
    group: Annotated[list[Neighbor], AfterValidator(_named_once)] | None = column("with whom it shares the deer")


LISTS: dict[str, type[Row]] = {"wants": Want, "builds": Build, "leave": Leave, "prism": Prism, "group": Neighbor}
