"""Sentences stand in one room: chapters give numbers and reasons, ``woodlot.say`` has the words."""

import ast
from pathlib import Path

import pytest

from woodlot.say.reasons import WORDS

PACKAGE = Path(__file__).parent.parent / "woodlot"
CHAPTERS = ("land", "tree", "stand", "wood", "deer", "plan")
FILES = sorted(path for chapter in CHAPTERS for path in (PACKAGE / chapter).glob("*.py"))
#: A text of so many words is a sentence or a part of one; units and names of figures are shorter.
SENTENCE = 5


def _texts(tree):
    """Texts of a file with their lines; not docstrings, and not what is raised: an error is told where it is met."""
    passed = set()
    for node in ast.walk(tree):
        raised = isinstance(node, ast.Raise)
        if raised or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)):
            passed |= {id(part) for part in ast.walk(node)}
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.JoinedStr):
            passed |= {id(part) for part in ast.walk(node)}
            yield node.lineno, "".join(part.value if isinstance(part, ast.Constant) else "{}" for part in node.values)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in passed:
            yield node.lineno, node.value


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(PACKAGE).as_posix())
def test_no_sentence_in_a_chapter(path):
    """A chapter holds no sentence: keys and numbers leave it."""
    found = [(line, text) for line, text in _texts(ast.parse(path.read_text("utf-8"))) if len(text.split()) >= SENTENCE]
    assert found == []


def test_every_reason_has_its_words_and_all_words_a_reason():
    """Keys that ``reason`` is called with in the package are those that have words."""
    keys = set()
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", getattr(node.func, "attr", "")) == "reason":
                keys.add(node.args[0].value)
    assert keys == set(WORDS)


def test_no_key_has_words_in_two_chapters():
    """Words of the chapters are laid together: a key that stands twice would lose one of its sentences."""
    parts = []
    for path in (PACKAGE / "say").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            target = getattr(node, "target", None) or next(iter(getattr(node, "targets", [])), None)
            if getattr(target, "id", "") == "WORDS" and isinstance(node.value, ast.Dict):
                parts += [key.value for key in node.value.keys if key is not None]
    assert len(parts) > 20 and sorted(parts) == sorted(set(parts)) and set(parts) == set(WORDS)
