"""The design is held by its import lines: chapters look only to their left, heavy libraries stay where they belong."""

import ast
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "woodlot"
ORDER = ["land", "tree", "stand", "wood", "deer", "plan"]
FREE = {"words", "units", "columns", "tables", "estimate", "errors", "solver"}
ONLY_IN = {
    "click": ("cli/",),
    "folium": ("map/page.py",),
    "matplotlib": ("paper/",),
    "rasterio": ("land/ground.py",),
    "exactextract": ("land/quantiles.py",),
    "sklearn": ("stand/likeness.py",),
}
FILES = sorted(PACKAGE.rglob("*.py"))


@cache
def imported(path: Path) -> list[str]:
    """Dotted names that a file imports, anywhere in it."""
    names = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: relative import"
            names += [f"{node.module}.{alias.name}" for alias in node.names]
    return names


def chapters_of(path: Path) -> set[str]:
    """Second parts of the woodlot modules that a file imports ("land", "units", "story" ...)."""
    return {n.split(".")[1] for n in imported(path) if n.startswith("woodlot.") and len(n.split(".")) > 1}


def test_there_are_files_to_read():
    """The walk below finds the package."""
    assert len(FILES) > 15


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_chapters_import_only_to_their_left(path):
    """A chapter imports the free modules, itself and the chapters before it; nothing else of ours."""
    where = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    found = chapters_of(path) - {"__version__"}
    if where in ORDER:
        allowed = FREE | set(ORDER[: ORDER.index(where) + 1])
    elif where in FREE:
        allowed = FREE
    elif where == "place" or where == "season":
        allowed = FREE | {"place"} | set(ORDER)
    elif where == "story":
        allowed = FREE | {"place", "season", "story"} | set(ORDER)
    elif where in ("map", "paper"):
        allowed = FREE | {"story", "map", "paper"} | set(ORDER)
    elif where in ("__init__", "__main__"):
        allowed = {"cli"}
    else:
        assert where == "cli", f"{path} is in no chapter"
        allowed = FREE | {"place", "season", "story", "map", "paper", "cli"} | set(ORDER)
    assert found <= allowed, f"{path.name} may not import {sorted(found - allowed)}"


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_heavy_library_stays_in_its_place(library):
    """Click only in cli, folium only in map/page.py, and so on."""
    users = [
        path.relative_to(PACKAGE).as_posix()
        for path in FILES
        if any(name.split(".")[0] == library for name in imported(path))
    ]
    strangers = [u for u in users if not u.startswith(ONLY_IN[library])]
    assert strangers == []


def test_verbs_and_files_agree():
    """Every verb that help lists has a file of its name with a command of its name, and the other way round."""
    from woodlot.cli import VERBS, main

    helpers = {"__init__", "options", "show", "waiting"}
    files = {p.stem for p in (PACKAGE / "cli").glob("*.py")} - helpers
    assert files == set(VERBS)
    for verb in VERBS:
        command = main.get_command(None, verb)
        assert command is not None and command.name == verb
        assert "Example" in (command.help or ""), f"woodlot {verb} --help shows no example"


def test_every_table_row_has_a_known_source_and_mark():
    """Each coefficient row says source, where and seen; each source key stands in sources.csv once."""
    import pandas as pd

    from woodlot import tables

    keys: set[str] = set()
    for file in PACKAGE.glob("regions/*/sources.csv"):
        frame = pd.read_csv(file)
        assert not frame["key"].duplicated().any(), f"{file}: a key stands twice"
        assert frame[["key", "title"]].notna().all().all()
        keys |= set(frame["key"])
    seen = 0
    for file in sorted(PACKAGE.glob("regions/*/*.csv")):
        if file.name == "sources.csv":
            continue
        frame = tables.table(file.stem, of=file.parent.name)
        unknown = set(frame["source"]) - keys
        assert not unknown, f"{file.name}: sources not listed: {sorted(unknown)}"
        seen += len(frame)
    assert seen > 100


def test_no_search_is_stopped_by_a_clock():
    """A slow or busy machine gets the same plan: no solver is given seconds and nothing reads a running clock."""
    clocks = ("time_limit", "perf_counter", "monotonic", "process_time", "time.time(")
    found = [f"{p.relative_to(PACKAGE)}: {c}" for p in FILES for c in clocks if c in p.read_text(encoding="utf-8")]
    assert found == []
