"""The words of the trade stand once: no list of them is copied, and a word nobody knows gets one sentence."""

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from woodlot import trade
from woodlot.errors import InputError
from woodlot.region import shipped
from woodlot.trade import Word

PACKAGE = Path(__file__).parent.parent / "woodlot"
LISTS = {
    name: words
    for name, words in vars(trade).items()
    if isinstance(words, Mapping) and all(isinstance(word, Word) for word in words.values())
}
#: Lists so small or so plain that their keys together are common words; a pair of them is judged by its use.
FILES = [path for path in sorted(PACKAGE.rglob("*.py")) if path.name != "trade.py"]


def constants(nodes: list[ast.expr | None]) -> list[str] | None:
    """The strings of a display, None where something else stands in it."""
    out = [node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    return out if len(out) == len(nodes) else None


def says_words(node: ast.Dict) -> bool:
    """Whether a mapping says its keys again in words, or as other words of the trade.

    What code, number, color or drawing belongs to a word is another thing than the word, and stands where it is used.
    """
    return any(
        isinstance(value, ast.Constant)
        and isinstance(value.value, str)
        and re.fullmatch(r"[A-Za-z ,_'-]+", value.value)
        for value in node.values
    )


def copies(tree: ast.AST) -> Iterator[tuple[int, str, list[str]]]:
    """Line, list and words of each display of two or more words that are all of one list of the trade."""
    for node in ast.walk(tree):
        found = None
        if isinstance(node, ast.List | ast.Tuple | ast.Set):
            found = constants(list(node.elts))
        elif isinstance(node, ast.Dict) and says_words(node):
            found = constants(list(node.keys))
        for name, words in LISTS.items():
            if found and len(set(found)) > 1 and set(found) <= set(words):
                yield node.lineno, name, found


def literals(tree: ast.AST) -> Iterator[int]:
    """Line of each ``Literal[...]`` that holds a string."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Subscript) and ast.unparse(node.value).split(".")[-1] == "Literal":
            parts = node.slice.elts if isinstance(node.slice, ast.Tuple) else [node.slice]
            if any(isinstance(part, ast.Constant) and isinstance(part.value, str) for part in parts):
                yield node.lineno


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_no_list_of_words_of_the_trade_stands_twice(path):
    """Neither as a Literal nor as a list, tuple, set or mapping of its words."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert list(literals(tree)) == []
    assert list(copies(tree)) == []


@pytest.mark.parametrize(
    ("code", "caught"),
    [
        ('RULES = ("scribner", "doyle")', True),
        ('x in ["camera", "tracks"]', True),
        ('{"buck", "doe"}', True),
        ('NAMES = {"post": "posts", "pole": "poles"}', True),
        ('KIND = {"thin": "selection", "patches": "clearcut"}', True),
        ('Kind = Literal["one", "two"]', True),
        ('RULES = {"scribner": log_bdft_scribner, "doyle": log_bdft_doyle}', False),
        ('SHADES = {"sawlog": "#000", "pole": "#666"}', False),
        ('COLUMNS = ["stems", "browsed"]', False),
        ('who = "buck"', False),
    ],
)
def test_a_copy_is_told_from_what_belongs_to_a_word(code, caught):
    """The test above catches a copied list, and lets code, colors and columns be."""
    tree = ast.parse(code)
    assert bool([*copies(tree), *literals(tree)]) is caught


def test_a_list_is_used_or_is_not_there():
    """Every name of trade.py is read in a file of the package beside it."""
    told = "\n".join(path.read_text(encoding="utf-8") for path in FILES)
    own = (PACKAGE / "trade.py").read_text(encoding="utf-8")
    names = [name for name in vars(trade) if name.isupper()]
    unused = [n for n in names if not re.search(rf"\b{n}\b", told) and len(re.findall(rf"\b{n}\b", own)) < 2]
    assert unused == []


@pytest.mark.parametrize("name", LISTS)
def test_a_word_means_one_thing_in_its_list(name):
    """Keys stand under themselves, and no other word for one is a word for another."""
    words = LISTS[name]
    assert all(key == word.key for key, word in words.items())
    said = [word for one in words.values() for word in (one.key, *one.also)]
    assert len(said) == len(set(said)) and all(word == word.lower().strip() for word in said)


def test_groups_are_parts_of_their_lists():
    """A group of words, in whatever order, is a part of one list."""
    groups = {
        name: value
        for name, value in vars(trade).items()
        if name.isupper() and isinstance(value, tuple) and name not in ("UNITS_NOTED", "_TREES")
    }
    assert len(groups) > 10
    for name, group in groups.items():
        assert any(set(group) <= set(words) for words in LISTS.values()), name


def test_the_table_holds_the_classes_of_browse():
    """The classes by which the code speaks are those of the table, in its order."""
    rows = shipped("lake_states").table("deer_browse_classes").sort_values("order")
    assert rows["preference"].tolist() == list(trade.BROWSE)


def test_pieces_and_lines_are_products_of_the_table():
    """What products.csv calls its kinds are the pieces that the code knows."""
    assert set(shipped("base").table("products")["kind"]) <= set(trade.PIECES) | set(trade.LOOSE)


def test_a_word_nobody_knows_gets_one_sentence_by_hand():
    """The list, and the word that was perhaps meant, which may be another word for a key."""
    assert trade.unknown("fewr", trade.GOALS) == "Must be hold, grow or thin. Did you mean fewer?"
    assert trade.unknown("pond", trade.OPEN_WATER) == "Must be stream or lake. Did you mean lake?"
    assert trade.unknown("zzz", ["one"]) == "Must be one."
    assert trade.unknown("pond", trade.PLOT_KINDS) == "Must be prism or fixed."
    with pytest.raises(InputError, match=r"^log rule 'doile': Must be .* or doyle\. Did you mean doyle\?$"):
        trade.known("doile", trade.LOG_RULES, "log rule")


@pytest.mark.parametrize(
    ("said", "key"), [(" Let  Grow ", "grow"), ("HOLD", "hold"), ("less", "thin"), ("bring down", "thin")]
)
def test_what_else_people_write_is_read_as_the_key(said, key):
    """Capitals and blanks do not matter."""
    assert trade.known(said, trade.GOALS, "goal") == key
