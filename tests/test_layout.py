"""The design is held by its import lines: chapters look only to their left, heavy libraries stay where they belong."""

import ast
import re
import sys
import tomllib
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "woodlot"
ORDER = ["land", "ledger", "tree", "stand", "wood", "deer", "plan"]
FREE = {
    "trade",
    "units",
    "columns",
    "column_kinds",
    "region",
    "species",
    "covers",
    "estimate",
    "errors",
    "solver",
    "news",
}
ONLY_IN = {
    "bagit": ("place/bundle.py",),
    "click": ("cli/",),
    "folium": ("map/page.py",),
    "matplotlib": ("paper/",),
    "rasterio": ("land/ground.py",),
    "exactextract": ("land/quantiles.py",),
    "sklearn": ("stand/likeness.py", "stand/raster_at_plots.py"),
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
    elif where == "say":
        allowed = FREE | {"say"} | set(ORDER)
    elif where == "place" or where == "season":
        allowed = FREE | {"say", "place"} | set(ORDER)
    elif where == "answers":
        allowed = FREE | {"say", "place", "season", "answers"} | set(ORDER)
    elif where in ("map", "paper"):
        allowed = FREE | {"say", "answers", "map", "paper"} | set(ORDER)
    elif where in ("__init__", "__main__"):
        allowed = {"cli"}
    else:
        assert where == "cli", f"{path} is in no chapter"
        allowed = FREE | {"say", "place", "season", "answers", "map", "paper", "cli"} | set(ORDER)
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


def as_registered(name: str) -> str:
    """A distribution's name as registries compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def test_what_is_imported_is_stated_and_what_is_stated_is_imported():
    """Dependencies of pyproject.toml, weasyprint for the extra pdf; xstatic's packages are named by their files."""
    project = tomllib.loads((PACKAGE.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extra = project["optional-dependencies"]["pdf"]
    stated = {as_registered(re.split("[<>=!~ ;]", one)[0]) for one in [*project["dependencies"], *extra]}
    tops = {name.split(".")[0] for path in FILES for name in imported(path)} - {"woodlot", *sys.stdlib_module_names}
    known = packages_distributions()
    used = {as_registered(one) for top in tops for one in known.get(top, [top])}
    texts = "".join(path.read_text(encoding="utf-8") for path in FILES)
    used |= {f"xstatic-{name}" for name in re.findall(r'"xstatic\.pkg\.(\w+)"', texts)}
    assert used == stated


def test_verbs_and_files_agree():
    """Every verb that help lists has a file of its name with a command of its name, and the other way round."""
    from woodlot.cli import VERBS, main

    helpers = {"__init__", "ends", "options", "show", "waiting"}
    files = {p.stem for p in (PACKAGE / "cli").glob("*.py")} - helpers
    assert files == {verb.replace("-", "_") for verb in VERBS}
    for verb in VERBS:
        command = main.get_command(None, verb)
        assert command is not None and command.name == verb
        assert "Example" in (command.help or ""), f"woodlot {verb} --help shows no example"


def test_every_table_row_has_a_known_source_and_mark():
    """Each coefficient row says source, where and seen; each source key stands in sources.csv once."""
    import pandas as pd

    from woodlot.region import read_table

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
        frame = read_table(file)
        unknown = set(frame["source"]) - keys
        assert not unknown, f"{file.name}: sources not listed: {sorted(unknown)}"
        seen += len(frame)
    assert seen > 100


def test_no_search_is_stopped_by_a_clock():
    """A slow or busy machine gets the same plan: no solver is given seconds and nothing reads a running clock."""
    clocks = ("time_limit", "perf_counter", "monotonic", "process_time", "time.time(")
    found = [f"{p.relative_to(PACKAGE)}: {c}" for p in FILES for c in clocks if c in p.read_text(encoding="utf-8")]
    assert found == []


#: What a notebook calls and no verb does, by file.
LIBRARY = {
    "woodlot.map.explore": {"explore", "parcels_table", "stands_table"},
    "woodlot.plan.done": {"built"},
    "woodlot.wood.grades": {"grade_possible"},  # the rule by itself, for one log at a time
    "woodlot.ledger.reading": {"parse"},  # a ledger as a table
    "woodlot.ledger.rewriting": {"brought_over"},  # and as this woodlot writes it
    "woodlot.ledger.notes": {"format_line", "line_cells"},
    "woodlot.place.noting": {"append_note", "append_notes"},  # notes from Python
    "woodlot.answers.as_json": {"field_lines", "from_json"},  # answers of other years are read back by them
}


def name_of(path: Path) -> str:
    """The dotted name of a file of the package."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


TREES = {name_of(path): ast.parse(path.read_text(encoding="utf-8")) for path in FILES}


def defined(tree: ast.Module) -> dict[str, ast.stmt]:
    """Functions, classes and constants at the top of a file; dunders are not counted."""
    out: dict[str, ast.stmt] = {}
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            out[node.name] = node
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            out |= {n.id: node for target in targets for n in ast.walk(target) if isinstance(n, ast.Name)}
    return {name: node for name, node in out.items() if not name.startswith("__")}


DEFINED = {(file, name): node for file, tree in TREES.items() for name, node in defined(tree).items()}


def taken_in(tree: ast.Module) -> list[tuple[str, str, str]]:
    """Local name, file and name in it of all that is imported from the package; the last is "" for a whole file."""
    out = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "woodlot":
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                of = (whole, "") if whole in TREES else (node.module, alias.name)
                out.append((alias.asname or alias.name, *of))
    return out


TAKEN = {file: taken_in(tree) for file, tree in TREES.items()}
BROUGHT = {file: {local: (of, name) for local, of, name in told} for file, told in TAKEN.items()}


def home(file: str, name: str) -> tuple[str, str] | None:
    """Where a name that a file offers is defined, through files that hand it on."""
    while (file, name) not in DEFINED:
        if name not in BROUGHT.get(file, {}):
            return None
        file, name = BROUGHT[file][name]
    return file, name


def named(file: str, within: ast.AST) -> set[tuple[str, str]]:
    """What of the package a piece of a file names."""
    out = set()
    for node in ast.walk(within):
        if isinstance(node, ast.Name):
            out.add(home(file, node.id))
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            of, inner = BROUGHT[file].get(node.value.id, ("", "-"))
            out.add(home(of, node.attr) if not inner else None)
    return {told for told in out if told}


def test_everything_public_is_reached_by_a_verb():
    """What no verb runs, through whatever it calls, is in nobody's way but ours: it is deleted or listed in LIBRARY."""
    todo = {told for told in DEFINED if told[0].startswith("woodlot.cli")}
    todo |= {(file, name) for file, names in LIBRARY.items() for name in names}
    assert todo <= set(DEFINED)
    for file, tree in TREES.items():
        for node in tree.body:
            if not isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Assign | ast.AnnAssign):
                todo |= named(file, node)
    reached: set[tuple[str, str]] = set()
    while todo:
        reached |= todo
        todo = set().union(*(named(file, DEFINED[file, name]) for file, name in todo)) - reached
    idle = sorted(f"{file}.{name}" for file, name in set(DEFINED) - reached if not name.startswith("_"))
    assert idle == []


def test_no_file_imports_in_a_circle():
    """Imports inside functions and for types count; a file with no import on one of its sides is taken away in turn."""
    left = {file: {of for _, of, _ in told} - {file} for file, told in TAKEN.items()}
    while free := [f for f, of in left.items() if not of & set(left) or not any(f in left[other] for other in left)]:
        for file in free:
            del left[file]
    assert left == {}


def test_no_file_takes_what_another_keeps_to_itself():
    """A name with an underscore is used in its own file alone."""
    taken = []
    for file, tree in TREES.items():
        taken += [f"{file}: {of}.{name}" for _, of, name in TAKEN[file] if name.startswith("_") and name[1] != "_"]
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.attr.startswith("_"):
                of, name = BROUGHT[file].get(node.value.id, ("", "-"))
                if not name and not node.attr.startswith("__"):
                    taken.append(f"{file}: {of}.{node.attr}")
    assert taken == []


WORDS = {n.value for tree in TREES.values() for n in ast.walk(tree) if isinstance(n, ast.Constant)}


def test_every_table_is_named_in_the_code():
    """A table of coefficients that no file names is read by nobody."""
    idle = {file.stem for file in PACKAGE.glob("regions/*/*.csv")} - WORDS
    assert idle == set()


def test_every_source_is_cited():
    """A source that no row and no file cites says nothing of the figures."""
    import pandas as pd

    keys, cited = set(), set()
    printed = Path(__file__).parent / "printed"  # figures that the defaults rest on, held by tests
    for file in [*PACKAGE.glob("regions/*/*.csv"), *printed.glob("*.csv")]:
        frame = pd.read_csv(file, dtype=str)
        if "source" not in frame:
            continue
        keys, cited = (
            (keys | set(frame["key"]), cited) if file.stem == "sources" else (keys, cited | set(frame["source"]))
        )
    told = " ".join(word for word in WORDS if isinstance(word, str))
    assert {key for key in keys - cited if key not in told} == set()
