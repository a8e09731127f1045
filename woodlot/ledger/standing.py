"""Which lines of the ledger count, and what they come to.

standing       the lines that count
forks          lines of which only one counts, since two hands set the same line right
bearing        lines that bear a number, an id or the beginning of one; letters: those beginnings
borne_twice    lines whose number another bears too; heads: what a line that sets one right names
fresh          which notes the ledger does not hold yet; given_later: which it holds from before they had an id;
               clashing: which it holds under the same id otherwise
totals         amounts by year and kind
"""

from collections import Counter
from collections.abc import Sequence

import numpy as np
import pandas as pd

from woodlot.errors import InputError
from woodlot.ledger.lines import ID
from woodlot.ledger.notes import NO_CELL, sheet_ids, told_by
from woodlot.trade import LEDGER_KINDS, WORDS_ALONE

#: Other words for a kind -> the kind.
_SAME = {also: word.key for word in LEDGER_KINDS.values() for also in word.also}
#: Letters of an id by which it may be named, where no other id begins so.
LEAST_LETTERS = 4
#: Kinds whose notes are counted and whose amounts are not added up: the stack, the sick trees, the snow of one day may
#: be there another day too.
NEVER_SUMMED = ("measured stack", *WORDS_ALONE)


def _by_number(ledger: pd.DataFrame) -> bool:
    """Whether a number may name a line: where all have ids, ``read_book`` has put them in the place of numbers."""
    return "line" in ledger and not ("id" in ledger and ledger["id"].notna().all())


def _names(ledger: pd.DataFrame) -> pd.Series:
    """The id of each line, its number where it has none, with its row where another line bears that too."""
    if "id" in ledger and ledger["id"].notna().all():
        return ledger["id"].astype("string")
    numbers = ledger["line"].astype("Int64").astype("string") if "line" in ledger else pd.Series("", ledger.index)
    twice = numbers.duplicated(keep=False)
    numbers = numbers.where(~twice, numbers + " in row " + pd.Series(range(len(ledger)), ledger.index).astype("string"))
    return numbers if "id" not in ledger else ledger["id"].astype("string").fillna(numbers)


def _replaced(ledger: pd.DataFrame) -> tuple[np.ndarray, np.ndarray, pd.Series]:
    """Position of each line that replaces, what it replaces (a code), and the code of each line's own name.

    A number that two lines bear names neither.
    """
    of = _named(ledger["corrects"]).explode().dropna()
    names = _names(ledger)
    bears: dict[str, list[str]] = {}
    if _by_number(ledger):
        numbers = ledger["line"].astype("Int64").astype("string")
        for number, name in zip(numbers[numbers.isin(of)], names[numbers.isin(of)], strict=True):
            bears.setdefault(number, []).append(name)
    target = of.map(
        lambda one: bears[one][0] if len(bears.get(one, ())) == 1 else f"line {one}" if one in bears else one
    )
    target = target[~target.str.startswith("line ")]
    codes, _ = pd.factorize(pd.concat([names, target]).to_numpy(dtype=object))
    at = ledger.index.get_indexer(target.index)
    return at, codes[len(names) :], pd.Series(codes[: len(names)], ledger.index)


def _leaves(ledger: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Of each line: whether no other replaces it, and the number of its family of lines that set one another right.

    Where the lines of a family go round in a ring, all of them stand as if none were replaced.
    """
    at, target, own = _replaced(ledger)
    most = int(max(own.max(), target.max(initial=0))) + 1
    family = _joined(own.to_numpy()[at], target, most)
    leaf, mine = ~own.isin(target).to_numpy(), family[own.to_numpy()]
    return leaf | ~np.isin(mine, mine[leaf]), mine


def _joined(one: np.ndarray, other: np.ndarray, many: int) -> np.ndarray:
    """Of each of so many codes the least that is joined to it by pairs, through others too.

    Each round the least of a pair becomes the head of both heads, and each takes the head of its head.
    """
    head = np.arange(many)
    while True:
        now, least = head.copy(), np.minimum(head[one], head[other])
        np.minimum.at(now, head[one], least)
        np.minimum.at(now, head[other], least)
        now = now[now]
        if np.array_equal(now, head):
            return head
        head = now


def standing(ledger: pd.DataFrame) -> pd.DataFrame:
    """The lines that count, kinds by their own names: without those that a later line replaces, and without
    replacements that only void.

    Of several lines that replace the same one, none of them knowing of the other, the one written last counts, of one
    day a line before a void; the same whichever copy of the ledger is read.
    """
    if not len(ledger):
        return ledger
    keep = (ledger["kind"] != "void").to_numpy(dtype=bool, copy=True)
    at = _set_right(ledger)
    if len(at):
        few = ledger.iloc[at].reset_index(drop=True)
        leaf, family = _leaves(few)
        keep[at] &= leaf & ~_outdone(few, leaf, family)
    lines = (ledger if keep.all() else ledger[keep]).reset_index(drop=True)
    also = lines["kind"].isin(list(_SAME))
    return lines.assign(kind=lines["kind"].replace(_SAME)) if also.any() else lines


def _set_right(ledger: pd.DataFrame) -> np.ndarray:
    """Positions of the lines that replace others, and of all that bear a name by which one is replaced."""
    replaces = ledger["corrects"].notna().to_numpy()
    if not replaces.any():
        return np.arange(0)
    of = _named(ledger["corrects"][replaces]).explode().dropna()
    here = _names(ledger).isin(of).to_numpy(dtype=bool)
    if _by_number(ledger) and of.str.isdigit().any():
        here = here | ledger["line"].astype("Int64").astype("string").isin(of).to_numpy(dtype=bool)
    return np.flatnonzero(replaces | here)


def _named(corrects: pd.Series) -> pd.Series:
    """The names in cells of ``corrects``, a list each."""
    return corrects.astype("string").str.replace(".0", "", regex=False).str.split()


def _outdone(ledger: pd.DataFrame, leaf: np.ndarray, family: np.ndarray) -> np.ndarray:
    """Lines that nobody replaces, but beside which another of their family counts."""
    rank = pd.DataFrame(
        {
            "family": family,
            "leaf": leaf,
            "written": pd.to_datetime(ledger["written"]).to_numpy() if "written" in ledger else pd.NaT,
            "says": (ledger["kind"] != "void").to_numpy(),
            "name": _names(ledger).to_numpy(dtype=object),
        }
    )
    order = rank[rank["leaf"]].sort_values(["written", "says", "name"], na_position="first", kind="stable")
    first = order.index[order["family"].duplicated(keep="last")]
    out = np.zeros(len(ledger), dtype=bool)
    out[first] = True
    return out


def forks(ledger: pd.DataFrame) -> list[list[int]]:
    """Positions of lines that nobody replaces and that replace the same line, the one that counts last.

    Two hands set one line right, and neither knew of the other's: a line that names both settles it.
    """
    at = _set_right(ledger)
    if not len(at):
        return []
    few = ledger.iloc[at].reset_index(drop=True)
    leaf, family = _leaves(few)
    beside = _outdone(few, leaf, family)
    found = pd.Series(np.flatnonzero(leaf)).groupby(family[leaf])
    many = [rows.tolist() for _, rows in found if len(rows) > 1]
    return [at[sorted(rows, key=lambda one: (not beside[one], one))].tolist() for rows in many]


def bearing(lines: pd.DataFrame, named: int | str) -> list[int]:
    """Positions of the lines that bear a number, an id, or an id that begins so (four letters or more)."""
    name = str(named).lower()
    if name.isdigit():
        return np.flatnonzero(pd.to_numeric(lines["line"], errors="coerce") == int(name)).tolist()
    if len(name) < LEAST_LETTERS:
        return []
    ids = lines["id"].astype("string").fillna("")
    found = np.flatnonzero(ids.str.startswith(name))
    return (found if len(found) else np.flatnonzero(lines["check"] == name)).tolist()


def letters(names: Sequence[str], ids: pd.Series) -> list[str]:
    """The first letters of each of some ids by which it is told from all others, four or more."""
    begin = {name[:LEAST_LETTERS] for name in names}
    alike: dict[str, set[str]] = {}
    for one in ids.to_numpy(dtype=object):
        if one[:LEAST_LETTERS] in begin:
            alike.setdefault(one[:LEAST_LETTERS], set()).add(one)
    return [_letters(name, alike.get(name[:LEAST_LETTERS], set()) - {name}) for name in names]


def _letters(name: str, others: set[str]) -> str:
    longs = range(LEAST_LETTERS, len(name))
    long = next((n for n in longs if not any(one.startswith(name[:n]) for one in others)), len(name))
    return name[:long]


def borne_twice(ledger: pd.DataFrame) -> pd.Series:
    """Whether another line bears the number of a line too: then it is spoken of by its id."""
    return ledger["line"].notna() & ledger["line"].duplicated(keep=False)


def heads(lines: pd.DataFrame, at: int) -> list[str]:
    """Ids of the lines that count, or stand beside one that does, in the family of a line: what a line that sets it
    right names.
    """
    leaf, family = _leaves(lines.assign(corrects=lines["corrects"].where(lines["corrects"] != "")))
    return lines["id"].iloc[np.flatnonzero(leaf & (family == family[at]))].tolist()


def fresh(notes: Sequence[Sequence[str]], lines: pd.DataFrame) -> list[int]:
    """Positions of the notes (cells as ``notes.as_cells`` gives them) that no line holds yet.

    A note with an id is known by it, or was read without one before (``given_later``). Others are compared in all
    columns as the ledger stores them; those that are equal throughout are two loads of wood: with one such line in the
    ledger, one of two is new.
    """
    known, later = set(lines["id"]), given_later(notes, lines)
    bare = [not cells[ID] for cells in notes]
    there = Counter(map(told_by, lines.fillna("").to_numpy().tolist())) if any(bare) else Counter[tuple[str, ...]]()
    new = []
    for at, (cells, name) in enumerate(zip(notes, sheet_ids(notes), strict=True)):
        key = told_by(cells)
        if bare[at] and there[key]:
            there[key] -= 1
        elif name not in known and at not in later:
            known.add(name)
            new.append(at)
    return new


def given_later(notes: Sequence[Sequence[str]], lines: pd.DataFrame) -> dict[int, str]:
    """Position of each note that was read before it had an id -> the id of its line.

    A page gave its notes ids only after a file of it was read. The line of such a note has the id that ``sheet_ids``
    made of what it says, so that nobody gave it; of two equal loads the second has another.
    """
    known = set(lines["id"])
    unknown = [at for at, cells in enumerate(notes) if cells[ID] and cells[ID] not in known]
    bare = [[*notes[at][:ID], "", *notes[at][ID + 1 :]] for at in unknown]
    return {at: name for at, name in zip(unknown, sheet_ids(bare), strict=True) if name in known}


def clashing(notes: Sequence[Sequence[str]], lines: pd.DataFrame) -> dict[int, list[str]]:
    """Position of each note whose id a line of the ledger, or an earlier note, bears that says something else -> the
    cells of that.
    """
    there = dict(zip(lines["id"], lines.fillna("").to_numpy().tolist(), strict=True))
    out = {}
    for at, cells in enumerate(notes):
        if (name := cells[ID]) and name != NO_CELL:
            held = there.setdefault(name, list(cells))
            if told_by(held) != told_by(cells):
                out[at] = held
    return out


def totals(ledger: pd.DataFrame, year_begins: int = 1) -> pd.DataFrame:
    """Amounts of the standing lines by year, kind, unit and (for deer) sex and age.

    Parameters
    ----------
    ledger
        The ledger as ``woodlot.place.read`` gives it.
    year_begins
        Month in which a year begins: 1 for calendar years, 7 for winters; a year is named by the one it begins in.

    Returns
    -------
    Frame with year, kind, sex_age ("" when not a deer), unit, amount (in that unit; NaN when no line gives one, and of
    kinds that are told again and not added up), lines.
    """
    if year_begins not in range(1, 13):
        raise InputError(f"a year begins in a month from 1 to 12, not {year_begins!r}")
    lines = standing(ledger)
    day = lines["date"]
    rows = pd.DataFrame(
        {
            "year": day.dt.year - (day.dt.month < year_begins).astype(int),
            "kind": lines["kind"].fillna(""),
            "sex_age": lines["sex_age"].fillna(""),
            "unit": lines["unit"].fillna(""),
            "amount": lines["amount"].mask(lines["kind"].isin(NEVER_SUMMED)),
        }
    ).dropna(subset="year")
    rows["year"] = rows["year"].astype("int64")
    groups = rows.groupby(["year", "kind", "sex_age", "unit"], as_index=False, sort=True)
    return groups.agg(amount=("amount", _sum), lines=("amount", "size"))


def _sum(amounts: pd.Series) -> float:
    return float(amounts.sum(min_count=1))
