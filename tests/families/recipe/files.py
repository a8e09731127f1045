"""Files as phones, spreadsheets, web maps and county offices save them; the same bytes each time they are made."""

import io
import json
import tempfile
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import shapely
from shapely.geometry import Point, Polygon

__all__ = ["csv", "geojson", "geopackage", "gpx", "kml", "pdf", "photo", "shapefile_zip", "workbook", "zipped"]

DAY = (2026, 10, 1, 12, 0, 0)
Rows = Sequence[Sequence[Any]]


def csv(rows: Rows, sep: str = ",", ends: str = "\r\n", encoding: str = "utf-8", comma: bool = False) -> bytes:
    """Rows as text; comma: numbers with a decimal comma."""

    def text(value: Any) -> str:
        told = "" if value is None else str(value)
        told = told.replace(".", ",") if comma and isinstance(value, float) else told
        return f'"{told}"' if sep in told else told

    return "".join(sep.join(map(text, row)) + ends for row in rows).encode(encoding)


def zipped(files: Mapping[str, bytes]) -> bytes:
    """A ZIP whose files all bear one day."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as out:
        for name, data in files.items():
            one = zipfile.ZipInfo(name, DAY)
            one.compress_type, one.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            out.writestr(one, data)
    return packed.getvalue()


def workbook(sheets: Mapping[str, Rows]) -> bytes:
    """An XLSX with these sheets."""
    import datetime as dt

    from openpyxl import Workbook
    from openpyxl.writer.excel import ExcelWriter

    book = Workbook()
    book.remove(book.active)
    book.properties.created = book.properties.modified = dt.datetime(*DAY)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    first = io.BytesIO()
    with zipfile.ZipFile(first, "w") as out:
        ExcelWriter(book, out).save()
    with zipfile.ZipFile(first) as made:
        return zipped({name: made.read(name) for name in made.namelist()})


def _ring(shape: Polygon) -> str:
    return " ".join(f"{x},{y},0" for x, y in shape.exterior.coords)


def _placemark(name: str, about: str, shape: Polygon) -> str:
    told = f"<description>{escape(about)}</description>" if about else ""
    ring = f"<outerBoundaryIs><LinearRing><coordinates>{_ring(shape)}</coordinates></LinearRing></outerBoundaryIs>"
    return (
        f"<Placemark><name>{escape(name)}</name>{told}<Polygon><tessellate>1</tessellate>{ring}</Polygon></Placemark>"
    )


def kml(title: str, folders: Mapping[str, Sequence[tuple[str, str, Polygon]]]) -> bytes:
    """A KML of a web map: folder -> (name, description, outline in degrees)."""
    inner = "\n".join(
        f"<Folder><name>{escape(folder)}</name>\n" + "\n".join(_placemark(*mark) for mark in marks) + "\n</Folder>"
        for folder, marks in folders.items()
    )
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
    return f"{head}<name>{escape(title)}</name>\n{inner}\n</Document></kml>\n".encode()


def gpx(name: str, shape: Polygon, about: str = "", closed: bool = True) -> bytes:
    """One walk round an outline (degrees), a point a few seconds apart; open: the walker stopped short of the start."""
    points = list(shape.exterior.coords)[: None if closed else -1]
    steps = "\n".join(
        f'<trkpt lat="{y}" lon="{x}"><ele>{300 + i % 7}</ele><time>2026-09-12T{13 + i // 3600:02d}:'
        f"{i // 60 % 60:02d}:{i % 60:02d}Z</time></trkpt>"
        for i, (x, y) in enumerate(points)
    )
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="phone" '
    head += 'xmlns="http://www.topografix.com/GPX/1/1">'
    told = f"<desc>{escape(about)}</desc>" if about else ""
    return f"{head}\n<trk><name>{escape(name)}</name>{told}<trkseg>\n{steps}\n</trkseg></trk>\n</gpx>\n".encode()


def geojson(features: Sequence[tuple[dict[str, Any], Polygon | Point]]) -> bytes:
    """A GeoJSON of (properties, outline or point in degrees)."""
    told = [
        {"type": "Feature", "properties": about, "geometry": shapely.geometry.mapping(shape)}
        for about, shape in features
    ]
    return (json.dumps({"type": "FeatureCollection", "features": told}) + "\n").encode()


def _frame(rows: Sequence[dict[str, Any]], shapes: Sequence[Polygon], crs: str) -> Any:
    import geopandas as gpd

    return gpd.GeoDataFrame(list(rows), geometry=list(shapes), crs=crs)


def shapefile_zip(inner: str, rows: Sequence[dict[str, Any]], shapes: Sequence[Polygon], crs: str, prj: bool) -> bytes:
    """A zipped Shapefile, with or without its .prj."""
    import pyogrio

    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / f"{Path(inner).name}.shp"
        pyogrio.write_dataframe(
            _frame(rows, shapes, crs), path, driver="ESRI Shapefile", DBF_DATE_LAST_UPDATE="2026-10-01"
        )
        files = {file.suffix: file.read_bytes() for file in sorted(Path(scratch).iterdir())}
    return zipped({inner + end: data for end, data in files.items() if prj or end != ".prj"})


def geopackage(layers: Mapping[str, tuple[Sequence[dict[str, Any]], Sequence[Polygon]]], crs: str) -> bytes:
    """A GeoPackage with these layers."""
    import pyogrio

    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": "2026-10-01T12:00:00.000Z"})
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "made.gpkg"
        for name, (rows, shapes) in layers.items():
            pyogrio.write_dataframe(_frame(rows, shapes, crs), path, layer=name, driver="GPKG", append=path.exists())
        return path.read_bytes()


def photo(seed: int) -> bytes:
    """A small picture of nothing."""
    import numpy as np
    from PIL import Image

    rows = np.random.default_rng(seed).integers(60, 190, (6, 8, 3), dtype=np.uint8)
    out = io.BytesIO()
    Image.fromarray(rows).resize((160, 120)).save(out, "JPEG", quality=60)
    return out.getvalue()


def pdf(words: str) -> bytes:
    """One page with one line on it."""
    text = f"BT /F1 12 Tf 72 720 Td ({words}) Tj ET".encode()
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Contents 4 0 R "
        b"/Resources << /Font << /F1 << /Type /Font /Subtype /Type1 /BaseFont /Times-Roman >> >> >> >>",
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(text), text),
    ]
    out, starts = b"%PDF-1.4\n", []
    for number, part in enumerate(parts, start=1):
        starts.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, part)
    table = b"".join(b"%010d 00000 n \n" % start for start in starts)
    tail = b"xref\n0 5\n0000000000 65535 f \n%strailer << /Size 5 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n"
    return out + tail % (table, len(out))
