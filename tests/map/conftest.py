"""The made-up place, its page on disk, and a Chromium without a network for the map's tests."""

import importlib.util
import sys
from pathlib import Path

import pytest

from woodlot.answers.types import Answers

HERE = Path(__file__).parent


def _load(name):
    """A helper beside this file, loaded once for all who ask."""
    known = f"woodlot_tests_{name}"
    if known not in sys.modules:
        spec = importlib.util.spec_from_file_location(known, HERE / f"{name}.py")
        sys.modules[known] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[known])
    return sys.modules[known]


@pytest.fixture(scope="session")
def made_up():
    """The module that makes the place up."""
    return _load("made_up_place")


@pytest.fixture(scope="session")
def frames(made_up):
    """Parcels, stands and features."""
    return made_up.frames()


@pytest.fixture(scope="session")
def plain_answers(made_up):
    """The answers as JSON holds them, to be changed in a copy."""
    return made_up.plain()


@pytest.fixture(scope="session")
def answers(made_up):
    """The answers."""
    return made_up.answers()


@pytest.fixture(scope="session")
def typed(made_up):
    """Makes answers of a mapping."""
    return lambda plain: made_up.filled(Answers, plain)


@pytest.fixture(scope="session")
def drawn(answers, frames):
    """The layers of the made-up place."""
    from woodlot.map import layers

    return layers.build(answers, *frames)


@pytest.fixture(scope="session")
def map_file(answers, frames, tmp_path_factory):
    """The map page on disk."""
    from woodlot.map import page

    file = tmp_path_factory.mktemp("map") / "map.html"
    file.write_text(page.html(answers, *frames), encoding="utf-8")
    return file


@pytest.fixture(scope="session")
def chromium():
    """A headless Chromium; skips aloud where there is none."""
    browser = _load("browser")
    yield browser.lend()
    browser.give_back()


WIDE = {"viewport": {"width": 1280, "height": 900}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


def _fresh(chromium, **more):
    """A page of a profile of its own, with the network cut; it keeps what it asked for and complained of."""
    context = chromium.new_context(**more)
    context.set_offline(True)
    page = context.new_page()
    page.asked, page.complaints = [], []
    page.again = lambda: _load("browser").again(page)
    page.on("request", lambda r: page.asked.append(r.url))
    page.on("console", lambda m: page.complaints.append(m.text) if m.type == "error" else None)
    page.on("pageerror", lambda e: page.complaints.append(str(e)))
    return page


@pytest.fixture(scope="session")
def lent_page(chromium, tmp_path_factory):
    """Gives the one wide page or the one phone of the session as if it were new: nothing stored, no mouse on it."""
    empty = tmp_path_factory.mktemp("empty") / "empty.html"
    empty.write_text("<title>empty</title>", encoding="utf-8")
    pages = {}

    def lend(phone):
        if phone not in pages:
            pages[phone] = _fresh(chromium, **(PHONE if phone else WIDE))
        page = pages[phone]
        page.emulate_media(media="null")
        page.goto(empty.as_uri())
        page.evaluate("localStorage.clear(); sessionStorage.clear()")
        page.again()
        page.mouse.move(0, 0)
        page.asked, page.complaints = [], []
        return page

    yield lend
    for page in pages.values():
        page.context.close()


@pytest.fixture
def open_page(chromium, lent_page):
    """Opens a file with the network cut. A test that asks for more of the browser, or changes its profile for good
    (``own``), gets a profile of its own; starting one costs more than all else such a test does.
    """
    contexts = []

    def opener(file, phone=False, own=False, **more):
        if own or more:
            page = _fresh(chromium, **((PHONE if phone else WIDE) | more))
            contexts.append(page.context)
        else:
            page = lent_page(phone)
        page.goto(Path(file).as_uri())
        return page

    yield opener
    for context in contexts:
        context.close()
