"""The licences in DEVELOPERS.md are those that the libraries state of themselves."""

import re
import tomllib
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
FAMILIES = (
    "BSD",
    "MIT",
    "Apache",
    "Mozilla|MPL",
    "GNU|GPL",
    "Python Software|PSF",
    "jQuery",
    "Leaflet",
    "Zlib",
    "CC0",
    "Public Domain",
)


def told() -> dict[str, str]:
    """Library -> licence, as DEVELOPERS.md tells."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Licences\n")[2].partition("\n## ")[0]
    rows = re.findall(r"^\| ([\w.-]+) \| (.+?) \|$", text, re.MULTILINE)
    return {name: words for name, words in rows if name != "library"}


def named() -> list[str]:
    """Every library that pyproject.toml names."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lists = [project["dependencies"], *project["optional-dependencies"].values()]
    return [re.match(r"[\w.-]+", one)[0] for names in lists for one in names]


def families(words: str) -> set[str]:
    """Which licences words speak of."""
    return {one for one in FAMILIES if re.search(rf"\b(?:{one})", words, re.IGNORECASE)}


def test_every_library_has_its_licence():
    """One row for each library that is named, and each names a licence that is known."""
    assert list(told()) == named()
    assert [name for name, words in told().items() if not families(words)] == []


@pytest.mark.parametrize("name", named())
def test_a_library_states_the_licence_that_is_told(name):
    """By its expression, else its classifiers, else the first line of its licence; older ones say less."""
    try:
        of = metadata(name)
    except PackageNotFoundError:
        pytest.skip(f"{name} is not installed")
    classifiers = " and ".join(one for one in of.get_all("Classifier", []) if one.startswith("License"))
    lines = (of.get("License") or "").strip().splitlines() or [""]
    stated = families(of.get("License-Expression") or classifiers or lines[0])
    assert stated and stated <= families(told()[name])
