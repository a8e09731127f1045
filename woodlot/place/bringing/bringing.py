"""The job of bringing files into a place: opened once, understood as often as something is answered, written once."""

import os
from collections.abc import Sequence
from pathlib import Path

from woodlot.errors import Fault, InputError, PlaceError
from woodlot.land.parcels import acres_geodesic
from woodlot.place.bringing import into
from woodlot.place.bringing.headings import heading_row
from woodlot.place.bringing.model import Answers, Layer, Understood
from woodlot.place.bringing.opening import open_layers
from woodlot.place.bringing.understanding import known_headings, understand
from woodlot.place.reading import unread
from woodlot.place.remedies import unusable
from woodlot.place.starting import laid_out
from woodlot.place.with_care import data_of
from woodlot.place.writing import add_to_tables

__all__ = ["Bringing"]


class Bringing:
    """Files on their way into a place."""

    def __init__(self, place: Path, files: Sequence[Path], region: str | None, sheet: str = "", layer: str = ""):
        """Open the files, or those that lie in the place unread.

        Raises InputError where there is none, PlaceError with the faults of all that cannot be opened.
        """
        self.place = place
        self.new = not os.path.lexists(place / "place.toml")
        self.files = [_found(place, Path(file)) for file in files] or unread(place)
        if not self.files:
            raise InputError(f"no file lies in {place} that waits to be brought; name one behind it")
        there = into.there(place, region)
        known = known_headings(there, Answers())
        self.layers: list[Layer] = []
        self.data: dict[str, bytes] = {}
        self.left: dict[str, list[str]] = {}
        faults: list[Fault] = []
        for path in self.files:
            if not os.path.lexists(path):
                raise InputError(f"there is no file {path}")
            try:
                layers = open_layers(path, lambda rows: heading_row(rows, known))
                self.data[path.name] = data_of(path)
            except PlaceError as error:
                faults += error.faults
                continue
            except OSError as error:
                faults += unusable(path.name, error, "Close programs that hold the file.").faults
                continue
            wanted = [one for one in layers if _named(one, sheet if one.shapes is None else layer)]
            if not wanted:
                names = ", ".join(one.name for one in layers)
                raise InputError(f"{path.name} has no {sheet or layer!r}; it has {names}")
            self.layers += wanted
            if rest := [one.name for one in layers if one not in wanted]:
                self.left[path.name] = rest
        if faults:
            raise PlaceError(faults)
        self.asked, self.there = region, there
        self._lay_out(Answers())

    def _lay_out(self, answers: Answers) -> None:
        """The region of a place that is new: the one asked for, else by where its outlines lie."""
        lies_in = into.region_from(self.layers, answers) if self.new and not self.asked else ""
        self.region = self.asked or lies_in or "lake_states"
        self.region_told = "said" if self.asked else "lies" if lies_in else ""
        if self.new:
            self.there = into.there(self.place, self.region)

    def understand(self, answers: Answers) -> Understood:
        """What the files say, with these answers. PlaceError with the faults of every row once nothing is open."""
        self._lay_out(answers)
        understood = understand(self.layers, self.there, answers)
        if understood.faults or not understood.questions:
            if faults := into.checked(understood, self.there):
                raise PlaceError(faults)
            if not understood.parts:
                raise InputError(
                    "nothing in these files belongs in a place's tables; a sheet of notes goes into the ledger with "
                    "woodlot note PLACE --from FILE"
                )
        return understood

    def acres(self, understood: Understood) -> float | None:
        """Acres of the parcels that came in, None without any."""
        shapes = [shape for part in understood.parts if part.table == "parcels" for shape in part.shapes]
        return float(sum(acres_geodesic(shape) for shape in shapes)) if shapes else None

    def write(self, understood: Understood) -> into.Written:
        """Write the tables; a place that is not there yet is laid out. PlaceError as ``into.texts``."""
        written = into.texts(understood, self.place, self.data)
        new, before = dict(written.texts), dict(written.before)
        if self.new:
            full = self.place.is_dir() and any(self.place.iterdir())
            for name, text in laid_out(self.place, self.region, full, understood.home).items():
                new.setdefault(name, str(text))
        add_to_tables(self.place, new, before)
        return into.Written(new, before, written.added, written.same)


def _found(place: Path, file: Path) -> Path:
    """A file by its path, or by its name within the place."""
    return place / file if not os.path.lexists(file) and os.path.lexists(place / file) else file


def _named(layer: Layer, wanted: str) -> bool:
    return not wanted or layer.name.strip().lower() == wanted.strip().lower()
