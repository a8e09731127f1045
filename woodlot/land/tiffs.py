"""What is refused of a raster before its cells are read: other files than TIFF, and more than can be read.

check_tiff    by its first letters, before it is opened
check_pieces  bands, and the pieces in which cells are stored
check_cells   cells under outlines
"""

from pathlib import Path
from typing import Any

import numpy as np

from woodlot.errors import InputError

__all__ = ["check_cells", "check_pieces", "check_tiff"]

#: What a TIFF begins with; more bands, and larger pieces that have to be held at once [bytes], are refused.
TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
MOST_BANDS, MOST_PIECE_BYTES = 200, 500_000_000
#: Cells under outlines, of all of them together: 500,000 acres in cells of 3 ft.
MOST_CELLS = 3_000_000_000


def check_tiff(path: Path, of: Path) -> None:
    """InputError unless a file is a TIFF by its first letters: other kinds could lead to files elsewhere, a pipe would
    be waited for without end.
    """
    if path != of and not path.exists():
        return
    if not path.is_file():
        if path.exists():
            raise InputError(f"{path.name} is no file")
        raise InputError(f"{path.name} {'is a link that leads nowhere' if path.is_symlink() else 'is not there'}")
    try:
        with path.open("rb") as file:
            begins = file.read(4)
    except OSError as error:
        raise InputError(f"{path.name} cannot be read as a raster: {error.strerror}") from None
    if begins not in TIFF:
        raise InputError(f"{path.name} cannot be read as a raster: it is no TIFF; save it again as a GeoTIFF")


def check_pieces(source: Any, name: str) -> None:
    """InputError for more bands than a picture has, or pieces too large to be held."""
    if source.count > MOST_BANDS:
        raise InputError(f"{name} has {source.count:,} bands; save the one that is wanted alone")
    rows, columns = source.block_shapes[0]
    bytes_ = rows * columns * np.dtype(source.dtypes[0]).itemsize
    bytes_ *= source.count if source.interleaving.value.lower() == "pixel" else 1
    if bytes_ > MOST_PIECE_BYTES:
        raise InputError(f"{name} is stored in pieces of {bytes_ / 1e6:,.0f} MB; save it again as a tiled GeoTIFF")


def check_cells(boxes: np.ndarray, sheet: Any) -> None:
    """InputError for more cells than can be read under outlines; boxes: their bounds in columns and rows."""
    sides = np.clip(boxes, 0.0, np.array([sheet.columns, sheet.rows] * 2))
    cells = float(np.nansum((sides[:, 2] - sides[:, 0]) * (sides[:, 3] - sides[:, 1])))
    if cells > MOST_CELLS:
        raise InputError(
            f"{sheet.name} has {cells:,.0f} cells under the outlines, more than can be read; save it again with cells "
            "of 3 feet or more"
        )
