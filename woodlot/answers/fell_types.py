"""The answer of ``woodlot fell`` and what it holds, as frozen values; a unit stands at the end of a field's name."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from woodlot.answers.as_json import LEFT_OUT
from woodlot.answers.want_types import Wanted
from woodlot.wood.account import Left
from woodlot.wood.products import PostYears

__all__ = ["Cut", "CutShort", "FellAnswer", "FellWords", "SheetTree"]


@dataclass(frozen=True)
class FellBase:
    """What the numbers rest on: the cord, the log rule, the division of the volume equations."""

    solid_cuft_per_cord: float
    log_rule: str
    division: str


@dataclass(frozen=True, kw_only=True)
class TallyTree:
    """A tree of the tally; wood_cuft: its stem without bark; position: its row, from 0."""

    tree: str | None
    parcel_id: str | None
    stand_id: str | None
    species: str
    dbh_in: float
    height_ft: float
    height_from: str
    wood_cuft: float
    alive: bool | None
    position: int


@dataclass(frozen=True, kw_only=True)
class Part:
    """What all trees become of one part: amounts with their ends, cords of firewood; kind: of the range."""

    part: str
    cuft: float | None
    dry_lb: float
    green_lb: float
    air_dry_lb: float
    kind: str
    cords: float | None
    what: str
    cuft_low: float | None
    cuft_high: float | None
    dry_lb_low: float
    dry_lb_high: float
    green_lb_low: float
    green_lb_high: float
    air_dry_lb_low: float
    air_dry_lb_high: float
    cords_low: float | None
    cords_high: float | None


@dataclass(frozen=True, kw_only=True)
class Piece:
    """A piece of a tree (stem: position), number from the butt; line: of the list it is for, -1 where
    it is for nobody in particular); from_ft, to_ft: above ground; taper_cuft: as drawn; grade: the best its size allows
    a log, 0 for none; its faces are not seen.
    """

    stem: int
    number: int
    line: int | None = field(default=None, metadata=LEFT_OUT)
    product: str
    kind: str
    length_ft: float
    from_ft: float
    to_ft: float
    small_end_in: float
    large_end_in: float
    taper_cuft: float
    bdft: float
    grade: int


@dataclass(frozen=True)
class Scaling:
    """Stems above the stump as they are drawn and by the volume equation, to which pieces are scaled."""

    taper_cuft: float
    equation_cuft: float


@dataclass(frozen=True, kw_only=True)
class Need:
    """A line of the household's list that is open; purpose: what it is for; mmbtu_wanted, mmbtu_got: gross heat of
    firewood, wanted only where the line is met in heat; words: what is missing and the nearest these trees have, or
    nothing.
    """

    line: str
    purpose: str
    product: str
    unit: str
    wanted: float
    got: float
    short: float
    mmbtu_wanted: float | None
    mmbtu_got: float | None
    words: str


@dataclass(frozen=True)
class NotByHand:
    """A tree that is not for hand felling, and why."""

    position: int
    tree: str | None
    species: str
    dbh_in: float
    why: str


@dataclass(frozen=True)
class Cut:
    """A piece on the sheet; from_ft, to_ft: along the stem from the stump cut; grade: the best its size allows, 0 for
    none; purpose: of its line; asked: whether a line asks for it.
    """

    product: str
    length_ft: float
    from_ft: float
    to_ft: float
    small_end_in: float
    grade: int
    purpose: str
    asked: bool


@dataclass(frozen=True, kw_only=True)
class CutShort:
    """What the words on a tree left of its pieces; from_ft, to_ft: where it lies above ground, if that was written."""

    words: str
    fork: bool
    from_ft: float | None
    to_ft: float | None
    longest_log_ft: float
    best_grade: int
    longest_post_ft: float
    poles: bool
    first_ft_to_stove: float
    scale_left_share: float


@dataclass(frozen=True, kw_only=True)
class SheetTree:
    """A tree to fell and its cuts from the butt up; why: not by hand (then no cuts); rest: firewood or chips; short:
    what words left of its pieces, None where there are none.
    """

    tree: str
    stand_id: str
    species: str
    dbh_in: float
    height_ft: float
    why: str
    cuts: tuple[Cut, ...]
    rest: str
    short: CutShort | None


@dataclass(frozen=True, kw_only=True)
class FellWords:
    """Sentences of the answer, each "" where there is nothing to say; posts marks figures from memory with †."""

    becomes: str
    measured: str
    not_judged: str
    to_fell: str
    heat: str
    surplus: str
    burnt: str
    short: str
    not_for_lines: str
    posts: str
    left: str
    not_by_hand: str


@dataclass(frozen=True, kw_only=True)
class FellAnswer:
    """What the trees become and which to fell.

    parts, pieces, bdft: of all trees, cut up for their best use (all felled: for the needs first); per_tree: position,
    cubic feet of each part, pounds; heights: how many trees have theirs from where; wants: all that is asked for;
    needs: what of it is open, none where nothing is, then what follows from them (met to burnt_bdft) is not there
    either; fell: positions; cleared: of trees that fall whatever is wanted; standing_cuft: wood of the trees to fell;
    cost: worth given up standing and in cutting (index: a board foot in a grade-1 log of red oak); gap_pct: no choice
    costs less by more than that; stopped: the search ended at its limit; heat_mmbtu: gross, of what goes to the stove;
    surplus_logs, surplus_bdft: logs nobody asked for, for the pile; burnt_bdft: board feet burnt or chipped that could
    by their size be grade 1 or 2; left, posts, sheet: of the trees to fell; fits: how they and the stands of the plan
    share what is wanted ("" where only some trees or all of them are asked about).
    """

    name: str
    as_of: str
    base: FellBase
    trees: tuple[TallyTree, ...]
    parts: tuple[Part, ...]
    per_tree: tuple[Mapping[str, float], ...]
    pieces: tuple[Piece, ...]
    scaling: Scaling
    bdft: float
    heights: Mapping[str, int]
    cull_not_judged: int
    wants: tuple[Wanted, ...]
    needs: tuple[Need, ...]
    fell: tuple[int, ...]
    cleared: tuple[int, ...] = ()
    not_by_hand: tuple[NotByHand, ...]
    met: bool | None = field(default=None, metadata=LEFT_OUT)
    standing_cuft: float | None = field(default=None, metadata=LEFT_OUT)
    cost: float | None = field(default=None, metadata=LEFT_OUT)
    gap_pct: float | None = field(default=None, metadata=LEFT_OUT)
    proven: bool | None = field(default=None, metadata=LEFT_OUT)
    stopped: bool | None = field(default=None, metadata=LEFT_OUT)
    heat_mmbtu: float | None = field(default=None, metadata=LEFT_OUT)
    surplus_logs: int | None = field(default=None, metadata=LEFT_OUT)
    surplus_bdft: float | None = field(default=None, metadata=LEFT_OUT)
    burnt_bdft: float | None = field(default=None, metadata=LEFT_OUT)
    left: Left
    posts: tuple[PostYears, ...]
    sheet: tuple[SheetTree, ...]
    cautions: tuple[str, ...]
    fits: str = ""
