"""Real woods to test on: a stem map of longleaf pines, and 32 plots of northern Michigan."""

import gzip
import struct
import zlib
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

STEM_MAPS = Path("/usr/lib/R/site-library/spatstat.data/data")
REFERENCE = Path(__file__).parents[2].parent / "shared" / "reference"


class Serialized:
    """Just enough of R's serialized form to read lists, numbers and words."""

    def __init__(self, data: bytes):
        """Start behind the heading of a record."""
        assert data[:2] == b"X\n", "not R's portable serialized form"
        self.data, self.at, self.known = data, 2, []
        if self.integers(3)[0] == 3:
            self.words()

    def integers(self, count: int) -> tuple[int, ...]:
        """The next whole numbers."""
        self.at += 4 * count
        return struct.unpack(f">{count}i", self.data[self.at - 4 * count : self.at])

    def words(self) -> str:
        """The next string: its length, then its bytes."""
        (length,) = self.integers(1)
        self.at += max(length, 0)
        return self.data[self.at - max(length, 0) : self.at].decode("latin1")

    def item(self):
        """The next thing: a list as a dict where it has names, numbers as arrays, words as strings."""
        (flags,) = self.integers(1)
        kind = flags & 0xFF
        if kind in (254, 253, 242, 241):
            return None
        if kind == 255:
            return self.known[(flags >> 8 or self.integers(1)[0]) - 1]
        if kind == 1:
            self.known.append(self.item())
            return self.known[-1]
        if kind == 247:
            count = self.integers(2)[1]
            self.known.append([self.item() for _ in range(count)])
            return None
        if kind == 9:
            return self.words()
        if kind in (2, 6):
            attributes = self.item() if flags & 0x200 else None
            tag = self.item() if flags & 0x400 else None
            return {"": attributes, tag: self.item()} | (self.item() or {})
        (length,) = self.integers(1)
        if kind in (10, 13):
            value = np.array(self.integers(length))
        elif kind == 14:
            value = np.frombuffer(self.data, ">f8", length, self.at).astype(float)
            self.at += 8 * length
        elif kind in (16, 19, 20):
            value = [self.item() for _ in range(length)]
        else:
            raise ValueError(f"kind {kind} is not read here")
        attributes = (self.item() or {}) if flags & 0x200 else {}
        if "levels" in attributes:
            return np.array(attributes["levels"])[value - 1]
        names = attributes.get("names")
        return dict(zip(names, value, strict=True)) if names else value


def stem_map(name: str) -> dict:
    """One object of the stem maps' lazy-load store."""
    index = Serialized(gzip.decompress((STEM_MAPS / "Rdata.rdx").read_bytes())).item()
    start, length = (int(n) for n in index["variables"][name])
    record = (STEM_MAPS / "Rdata.rdb").read_bytes()[start : start + length]
    return Serialized(zlib.decompress(record[4:])).item()


@pytest.fixture(scope="session")
def longleaf() -> pd.DataFrame:
    """584 longleaf pines of 4 ha: x_ft, y_ft, dbh_in. Platt, Evans and Rathbun 1988, in r-cran-spatstat.data."""
    if not (STEM_MAPS / "Rdata.rdx").exists():
        pytest.skip("the stem map of longleaf pines is not here: install Debian's r-cran-spatstat.data")
    told = stem_map("longleaf")
    return pd.DataFrame({"x_ft": told["x"] / 0.3048, "y_ft": told["y"] / 0.3048, "dbh_in": told["marks"] / 2.54})


@pytest.fixture(scope="session")
def lansing() -> pd.DataFrame:
    """2,251 trees of 19.6 acres near Lansing, Michigan: x_ft, y_ft, species. Gerrard 1969, in r-cran-spatstat.data."""
    if not (STEM_MAPS / "Rdata.rdx").exists():
        pytest.skip("the stem map of Lansing woods is not here: install Debian's r-cran-spatstat.data")
    told = stem_map("lansing")
    return pd.DataFrame({"x_ft": told["x"] * 924.0, "y_ft": told["y"] * 924.0, "species": told["marks"]})


@pytest.fixture(scope="session")
def michigan() -> tuple[pd.DataFrame, pd.DataFrame]:
    """Plots and trees (5 in and up) of 32 plots of .1 ha; FoRTE data, Atkins and others, CC BY 4.0."""
    if not (REFERENCE / "forest_growth_umbs_trees.csv").exists():
        pytest.skip("the open northern Michigan plots are not beside the checkout (../shared/reference)")
    plots = pd.read_csv(REFERENCE / "forest_growth_umbs_plots.csv")
    plots = plots.assign(stand_id="all", kind="fixed", radius_ft=np.sqrt(plots["area_m2"] / np.pi) / 0.3048)
    trees = pd.read_csv(REFERENCE / "forest_growth_umbs_trees.csv")
    trees = trees.assign(alive=trees["health"] != "dead", species=trees["species"].str.lower())
    return plots, trees[trees["dbh_in"] >= 5.0].reset_index(drop=True)


@pytest.fixture(scope="session")
def big_woods() -> pd.DataFrame:
    """Trees of the Big Woods alive in 2014, of every other square of 40 m: x_ft, y_ft, dbh_in, square_x, square_y."""
    if not (REFERENCE / "forest_growth_bigwoods_trees.csv").exists():
        pytest.skip("the Big Woods trees are not beside the checkout (../shared/reference)")
    rows = pd.read_csv(REFERENCE / "forest_growth_bigwoods_trees.csv")
    rows = rows[(rows["alive_2014"] == 1) & (rows["dbh_2014_in"] > 0)]
    spots = {"x_ft": rows["x_m"] / 0.3048, "y_ft": rows["y_m"] / 0.3048, "dbh_in": rows["dbh_2014_in"]}
    return pd.DataFrame(spots | {"square_x": rows["quad40_x"], "square_y": rows["quad40_y"]})
