"""What a household still wants of its woods: for what, by when, once or each year, less what the ledger says is made.

Want, wanted   the family's list in its order: needs of place.toml, then wants, then builds piece by piece
open_lines     lines of what is still to make, for ``needs.choose``

A family wants its own list back, shorter by what it did: nothing asked for again that lies in the shed, nothing told
as yearly that is built once. Two hundred fence posts are two hundred, not two thousand in ten years.

A want counts notes from the day it was asked on, or from the start of this winter; what is wanted each year begins anew
every winter. A build that is noted as built takes off its pieces, and notes of them until then went into it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import ceil
from typing import Any

import pandas as pd

from woodlot.region import Region
from woodlot.trade import OFTEN, USED_UP, WOODS
from woodlot.wood.drawn_down import SPRING, Due, met, notes_of, winter_began
from woodlot.wood.heating import burned_woods, cords_needed, mmbtu_per_cord
from woodlot.wood.need_lines import Line, asked, line_of

__all__ = ["EACH_YEAR", "FIREWOOD", "ONCE", "Want", "open_lines", "wanted"]

ONCE, EACH_YEAR = OFTEN
FIREWOOD = "firewood"
BUILT = "built"


@dataclass(frozen=True)
class Want:
    """One thing wanted.

    line: product, size and wood; its number is what is still to make (this winter, of what is wanted each year), its
    mmbtu the heat of that; asked_number, made_number: in the unit of the line; often: a word of ``trade.OFTEN``; by:
    the last day, if there is one; asked_on: the day from which notes count for it, where one is written; purpose: what
    it is for; price_order: its place on the list, 0 first; build: name of the build it is a piece of, or "";
    mmbtu_each: gross heat of a cord of firewood; of_wood: the wood that cord is taken to be of.
    """

    line: Line
    asked_number: float
    made_number: float
    often: str
    by: date | None
    purpose: str
    price_order: int
    asked_on: date | None = None
    build: str = ""
    mmbtu_each: float = 0.0
    of_wood: tuple[str, ...] = ()

    @property
    def left(self) -> float:
        """What is still to make."""
        return self.line.number

    def late(self, as_of: date) -> bool:
        """Whether its day has gone by and it is not made."""
        return self.by is not None and self.by < as_of and self.left > 0


@dataclass(frozen=True)
class _Ask:
    """One entry of the list before anything is taken off; built: pieces that stand in finished builds, built_on: since
    when; names: what the words of a note may call it; heat: million Btu of a cord.
    """

    line: Line
    often: str
    by: date | None = None
    asked: date | None = None
    build: str = ""
    built: float = 0.0
    built_on: date | None = None
    heat: float = 0.0
    of_wood: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """What a note may call it, in small letters."""
        return tuple(name.lower() for name in (self.build, self.line.purpose) if name)

    @property
    def hot(self) -> bool:
        """Whether it is a part of all firewood."""
        return self.line.product == FIREWOOD and self.line.woods == "hot"


def wanted(
    needs: Mapping[str, Any],
    wants: Sequence[Mapping[str, Any]],
    builds: Sequence[Mapping[str, Any]],
    ledger: pd.DataFrame,
    as_of: date,
    region: Region,
    solid_cuft_per_cord: float = 79.0,
) -> tuple[Want, ...]:
    """What a household wants, in its own order, each with what is made of it and what is left.

    Parameters
    ----------
    needs
        The part [needs] of place.toml. Firewood is the house's, however its need is known (``heating.cords_needed``).
    wants, builds
        Its [[wants]] and [[builds]]; a build with its pieces (``builds.pieces_of``) under "pieces".
    ledger
        Its standing lines (``ledger.standing``); what is dated after the day is not looked at.
    as_of
        The day asked for.
    region, solid_cuft_per_cord
        As for ``need_lines.line_of`` and the heat of a cord.
    """
    ledger = ledger[ledger["date"] <= pd.Timestamp(as_of)] if len(ledger) else ledger
    house, stems = needs, {"chip_stems": True} if needs.get("chip_stems") else {}
    listed = [{**stems, **one} for one in wants]
    if needs.get("firewood_cord") is None:
        cords = cords_needed(needs, None, solid_cuft_per_cord, region=region)
        house = {**needs, "firewood_cord": None if cords is None else cords.value}
    each = [_ask(one, needs.get("firewood_of"), solid_cuft_per_cord, region=region) for one in (*asked(house), *listed)]
    each += _of_builds(builds, ledger, as_of, region=region)
    got = _drawn_down(each, ledger, as_of)
    rest = [max(one.line.number - has, 0.0) for one, has in zip(each, got, strict=True)]
    fires = [at for at, one in enumerate(each) if one.line.product == FIREWOOD and not one.hot]
    for at, one in enumerate(each):
        if one.hot and fires:  # a part of all firewood: no more of it is wanted than of all
            rest[at] = min(one.line.number, sum(rest[k] for k in fires))
    return tuple(
        Want(
            line=replace(one.line, number=left, mmbtu=left * one.heat),
            asked_number=one.line.number,
            made_number=one.line.number - left,
            often=one.often,
            by=one.by,
            purpose=one.line.purpose,
            price_order=at,
            asked_on=one.asked,
            build=one.build,
            mmbtu_each=one.heat,
            of_wood=one.of_wood,
        )
        for at, (one, left) in enumerate(zip(each, rest, strict=True))
    )


def _ask(one: Mapping[str, Any], firewood_of: str | None, solid: float, *, region: Region) -> _Ask:
    """A need or want; firewood and chips are wanted each year unless it says otherwise or has a last day."""
    line, by = line_of(one, region=region), one.get("by")
    usual = EACH_YEAR if line.product in USED_UP and by is None else ONCE
    out = _Ask(line, str(one.get("often") or usual), by, one.get("asked"))
    if line.product != FIREWOOD:
        return out
    wood = burned_woods(firewood_of if line.woods in WOODS else line.woods, region=region)
    return replace(out, heat=mmbtu_per_cord(wood, solid, region=region), of_wood=tuple(wood))


def _of_builds(builds: Sequence[Mapping[str, Any]], ledger: pd.DataFrame, as_of: date, *, region: Region) -> list[_Ask]:
    """Every piece of every build, of which those of finished builds stand already."""
    names = [str(build["name"]) for build in builds]
    done = ledger[ledger["kind"] == BUILT].sort_values("date", kind="stable") if len(ledger) else ledger
    notes, finished = notes_of(done, names), [0.0] * len(builds)
    for at in sorted(range(len(builds)), key=lambda k: (builds[k].get("by") or date.max, k)):
        since = builds[at].get("asked") or winter_began(as_of)
        finished[at] = notes.take(float(builds[at].get("number") or 1.0), since, as_of, names[at : at + 1])
    out = []
    for build, name, n in zip(builds, names, finished, strict=True):
        many = float(build.get("number") or 1.0)
        last = notes.days[notes.named == name].max().astype(object) if n else None
        for piece in build["pieces"]:
            whole, left = (_whole(piece["number"] * k) for k in (many, many - n))
            what = f"{' for '.join(filter(None, (name, build.get('purpose'))))}: {piece['piece']}"
            line = line_of({**piece, "number": whole, "purpose": what}, region=region)
            out.append(_Ask(line, ONCE, build.get("by"), build.get("asked"), name, whole - left, last))
    return out


def _whole(number: float) -> float:
    """Pieces, the part of one as a whole one."""
    return float(ceil(number - 1e-9))


def _drawn_down(each: Sequence[_Ask], ledger: pd.DataFrame, as_of: date) -> list[float]:
    """What is made of each; a past winter's wood is used up."""
    dues = [(at, due) for at, one in enumerate(each) if not one.hot for due in _dues(one, as_of)]
    got = [one.built for one in each]
    for (at, due), has in zip(dues, met([due for _, due in dues], ledger), strict=True):
        is_past = each[at].often == EACH_YEAR and due.until < as_of
        got[at] += 0.0 if due.first or is_past else has
    return got


def _dues(one: _Ask, as_of: date) -> list[Due]:
    """The numbers of a want with the days whose notes may meet them: a winter each of what is wanted each year."""
    began, product, number = winter_began(as_of), one.line.product, one.line.number
    since = one.asked or began
    if one.often == EACH_YEAR:
        winters = [date(year, SPRING, 1) for year in range(winter_began(since).year, began.year + 1)]
        ends = [date(first.year + 1, SPRING, 1) - timedelta(days=1) for first in winters]
        both = zip(winters, ends, strict=True)
        return [Due(product, number, max(first, since), end, end, one.names) for first, end in both]
    last = one.by or date.max
    rest = Due(product, number - one.built, since, as_of, last, one.names)
    if one.built_on is None:
        return [rest]
    return [Due(product, one.built, since, one.built_on, last, one.names, first=True), rest]


def open_lines(wants: Iterable[Want]) -> list[Line]:
    """Lines of what is still to make, in the family's order."""
    return [want.line for want in wants if want.left > 0]
