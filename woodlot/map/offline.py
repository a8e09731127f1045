"""Everything the page needs put inside the one file, and a check that nothing else is asked for.

leaflet_js, leaflet_css, jquery_js   the libraries' text, ready to stand inside a page
data_uri                             a small file as a data: address
POLICY                               the Content-Security-Policy: nothing may be fetched
safe_json                            data that can stand inside a script element
outside(html)                        addresses a page would fetch; must be none
finished(html)                       the page as it goes into its file
"""

import base64
import json
import re
from functools import cache
from html.parser import HTMLParser
from importlib.resources import files
from typing import Any

from woodlot.errors import InputError
from woodlot.map import isolate

__all__ = [
    "POLICY",
    "data_uri",
    "finished",
    "icon_js",
    "jquery_js",
    "leaflet_css",
    "leaflet_js",
    "outside",
    "own",
    "safe_json",
]

POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: blob:; "
    "base-uri 'none'; form-action 'none'"
)
_KIND = {".png": "image/png", ".webp": "image/webp", ".jpg": "image/jpeg", ".svg": "image/svg+xml"}
_FETCHING = ("src", "srcset", "action", "formaction", "poster", "data", "background", "ping", "manifest")
_IN_STYLE = re.compile(r"""url\(\s*([^)]*)\)|@import\s+["']?([^"';]+)""", re.IGNORECASE)


def _data(package: str) -> Any:
    return files(package) / "data"


def _script(text: str) -> str:
    """Script text that cannot close its own tag and asks for no source map."""
    text = re.sub(r"(?m)^//[#@] sourceMappingURL=.*$", "", text)
    return re.sub(r"</(script)", r"<\\/\1", text, flags=re.IGNORECASE)


def data_uri(data: bytes, name: str) -> str:
    """A small file as a data: address; its kind shows in the end of its name."""
    kind = next((k for end, k in _KIND.items() if name.lower().endswith(end)), None)
    if kind is None:
        raise InputError(f"{name}: a picture on the map must be one of {', '.join(_KIND)}")
    return f"data:{kind};base64,{base64.b64encode(data).decode('ascii')}"


@cache
def leaflet_js() -> str:
    """Leaflet itself."""
    return _script((_data("xstatic.pkg.leaflet") / "leaflet.js").read_text(encoding="utf-8"))


@cache
def jquery_js() -> str:
    """The slim jQuery that folium's popups call."""
    return _script((_data("xstatic.pkg.jquery") / "jquery.slim.min.js").read_text(encoding="utf-8"))


@cache
def leaflet_css() -> str:
    """Leaflet's style sheet with its pictures inside."""
    home = _data("xstatic.pkg.leaflet")
    text = (home / "leaflet.css").read_text(encoding="utf-8")

    def inside(address: re.Match) -> str:
        name = address.group(1).strip("\"'")
        if name.startswith(("#", "data:")):
            return address.group(0)
        return f"url({data_uri((home / name).read_bytes(), name)})"

    return re.sub(r"url\(([^)]+)\)", inside, text)


@cache
def icon_js() -> str:
    """Sets Leaflet's default pin to pictures inside the page, for maps that others add pins to."""
    home = _data("xstatic.pkg.leaflet") / "images"
    names = ("marker-icon.png", "marker-icon-2x.png", "marker-shadow.png")
    pin, twice, shadow = (data_uri((home / n).read_bytes(), n) for n in names)
    return (
        "L.Icon.Default.imagePath='';"
        f"L.Icon.Default.mergeOptions({{iconUrl:'{pin}',iconRetinaUrl:'{twice}',shadowUrl:'{shadow}'}});"
    )


@cache
def own(name: str, chapter: str = "map") -> str:
    """A script, style sheet or page frame of ours, by file name."""
    return (files("woodlot") / chapter / name).read_text(encoding="utf-8")


def safe_json(value: Any) -> str:
    """JSON that can stand inside a script element: no tag, no comment and no line separator can end it."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for mark in "<>&\u2028\u2029":
        text = text.replace(mark, f"\\u{ord(mark):04x}")
    return isolate.escaped(text)


class _Asked(HTMLParser):
    """Collects what the tags and style sheets of a page would fetch; words between tags are only words."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.addresses: list[str] = []
        self.style = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.style = tag == "style"
        for name, value in attrs:
            if name in _FETCHING or (name in ("href", "xlink:href") and tag != "a"):
                self._keep(value or "")
            elif name == "style":
                self.handle_style(value or "")

    def handle_endtag(self, tag: str) -> None:
        self.style = False

    def handle_data(self, data: str) -> None:
        if self.style:
            self.handle_style(data)

    def handle_style(self, text: str) -> None:
        for first, second in _IN_STYLE.findall(text):
            self._keep(first or second)

    def _keep(self, address: str) -> None:
        address = address.strip().strip("\"'")
        if address and not address.lower().startswith(("data:", "blob:", "#")):
            self.addresses.append(address)


def outside(html: str) -> list[str]:
    """Addresses that a page would fetch from elsewhere; a link that waits for a tap is none."""
    asked = _Asked()
    asked.feed(html)
    asked.close()
    return asked.addresses


def finished(html: str) -> str:
    """The page as it is written to a file, names from right to left each by itself. Raises InputError where it would
    ask for something outside.
    """
    if addresses := outside(html):
        raise InputError(f"the page would fetch {', '.join(addresses[:3])}")
    return isolate.isolated(html)
