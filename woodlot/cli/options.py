"""Each shared option once, so that it means one thing in every verb; and the place opened as the options say."""

import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any
from warnings import warn

import click

from woodlot import trade
from woodlot.cli import waiting
from woodlot.errors import InputError, WoodlotWarning
from woodlot.say.bring import waits
from woodlot.say.words import id_list, noun

if TYPE_CHECKING:
    from woodlot.place import Place
    from woodlot.season import Season

__all__ = ["open_place", "open_season", "shared"]


class _Day(click.ParamType):
    name = "day"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(value)
        except ValueError:
            self.fail(f"{value!r} is no day; write it as 2026-10-09", param, ctx)


DAY = _Day()


class Home(click.Path):
    """The folder of a place; of a bundle that was unpacked, the place in it."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The folder that is read."""
        home = Path(value)
        if home.suffix.lower() == ".zip" and home.is_file():
            self.fail(f"{value} is a file. Lay it out as a place first:  woodlot start NEW --from {value}", param, ctx)
        unpacked = (home / "bagit.txt").is_file() and not (home / "place.toml").exists()
        return super().convert(home / "data" if unpacked else value, param, ctx)


class Among(click.Choice):
    """One word of a closed list of the trade, refused in the words in which tables refuse it."""

    def __init__(self, words: Mapping[str, trade.Word]):
        """Take the keys as the choices that the help shows."""
        super().__init__(list(words))
        self.words = words

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The key of a word."""
        key = trade.key_of(str(value), self.words)
        if key not in self.words:
            self.fail(f"{value!r}: {trade.unknown(str(value), self.words)}", param, ctx)
        return key


_SHARED: dict[str, Callable] = {
    "place": click.argument("place", metavar="[PLACE]", default=".", type=Home(path_type=Path), required=False),
    "region": click.option("--region", metavar="NAME", help="Use this region instead of the one in place.toml."),
    "parcel": click.option("--parcel", metavar="ID", help="Only this parcel."),
    "stand": click.option("--stand", metavar="ID", help="Only this stand."),
    "as_of": click.option(
        "--as-of", type=DAY, metavar="DAY", help="Answer for this day, as 2026-11-25.  [default: today]"
    ),
    "level": click.option(
        "--level",
        type=click.FloatRange(0.5, 0.99),
        metavar="SHARE",
        help="How often a range should hold the truth, 0.5 to 0.99.  [default: as in place.toml, else 0.9]",
    ),
    "within": click.option(
        "--within",
        "within_pct",
        type=click.FloatRange(1, 100),
        metavar="PCT",
        help="How near the truth you want to come, each way, with the plots that are laid out.  [default: as in "
        "place.toml, else 25]",
    ),
    "answer": click.option(
        "--answer",
        type=Among(trade.ANSWERS),
        metavar="WHAT",
        help=f"What these plots are to narrow: {', '.join(trade.ANSWERS)}.  [default: as in place.toml, else total]",
    ),
    "hours": click.option(
        "--hours",
        type=click.FloatRange(0.5, 100),
        metavar="HOURS",
        help="Hours in the woods for these plots.  [default: as in place.toml, else 10]",
    ),
    "seed": click.option("--seed", type=int, default=1, show_default=True, help="Start of the random draws."),
    "csv": click.option(
        "--csv",
        "csv_file",
        metavar="FILE",
        type=click.Path(dir_okay=False, path_type=Path),
        help="Write the table too: into a new file, or over one that woodlot wrote and nobody changed since (it knows "
        "it by the last column).",
    ),
    "json": click.option("--json", "as_json", is_flag=True, help="Print unrounded numbers as JSON and nothing else."),
}


def shared(*names: str) -> Callable:
    """A decorator that gives a command the shared options named, in that order in its help.

    The command receives place (Path), region, parcel, stand, answer (text or None), as_of (date or None), level,
    within_pct, hours (float or None), seed (int), csv_file (Path or None), as_json (bool).
    """

    def decorate(command: Callable) -> Callable:
        for name in reversed(names):
            command = _SHARED[name](command)
        return command

    return decorate


def open_place(
    place: Path,
    region: str | None = None,
    as_of: date | None = None,
    parcel: str | None = None,
    stand: str | None = None,
) -> "Place":
    """The place as the shared options ask for it; parcel and stand, if given, must be in it.

    Raises PlaceError with the faults of the files, InputError for a parcel or stand that is not there.
    """
    from woodlot.place import read

    opened = read(place, as_of=as_of, region=region)
    for what, wanted, there in (
        ("parcel", parcel, opened.parcels["parcel_id"]),
        ("stand", stand, opened.stands["stand_id"]),
    ):
        if wanted is not None and wanted not in set(there):
            near = trade.closest(wanted, list(there)) if len(wanted) > 2 else ""
            ask = f"did you mean {near!r}?" if near else _those(what, list(there))
            raise InputError(f"there is no {what} {wanted!r}; {ask}")
    return opened


def open_season(
    place: Path,
    region: str | None = None,
    as_of: date | None = None,
    level: float | None = None,
    parcel: str | None = None,
    stand: str | None = None,
    cruise: Mapping[str, Any] | None = None,
    **more: Any,
) -> "Season":
    """The season of the place that the shared options ask for; more: seed and how far ahead the cut is planned.

    cruise: keys of the part [cruise] of place.toml that go before what stands there; None says nothing.
    """
    from woodlot.place import unread
    from woodlot.season import at_work, season

    asked = click.get_current_context()
    asked.with_resource(waiting.shown(bool(asked.params.get("as_json")) or not _at_a_terminal()))
    with at_work.get()("Reading the files"):
        opened = open_place(place, region, as_of, parcel, stand)
    said = {key: value for key, value in (cruise or {}).items() if value is not None}
    opened = replace(opened, cruise=opened.cruise | said) if said else opened
    if waiting_files := unread(place):
        warn(waits([path.name for path in waiting_files]), WoodlotWarning, stacklevel=2)
    return season(opened, level, **more)


def _at_a_terminal() -> bool:
    return sys.stdout.isatty() and sys.stderr.isatty()


def _those(what: str, ids: list[str]) -> str:
    """The ids there are: "there are 1 to 19" when they are numbers in a row, else up to twelve of them."""
    if not ids:
        return f"no {what} is drawn yet"
    return f"there {noun(len(ids), 'is only', 'are')} {id_list(ids, 12)}"
