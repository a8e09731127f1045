"""One headless Chromium for all tests that need one: playwright cannot be started twice in a process."""

import shutil

import pytest

_open = {"users": 0, "maker": None, "browser": None}


def lend():
    """The browser, started at the first call; skips aloud where there is none."""
    found = next((p for p in map(shutil.which, ("chromium", "chromium-browser", "google-chrome")) if p), None)
    if found is None:
        pytest.skip("no Chromium on this machine: nothing was opened in a browser")
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: nothing was opened")
    if _open["browser"] is None:
        _open["maker"] = playwright.sync_playwright().start()
        _open["browser"] = _open["maker"].chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
    _open["users"] += 1
    return _open["browser"]


def give_back():
    """Closes the browser when the last one who borrowed it is done."""
    _open["users"] -= 1
    if _open["users"] == 0:
        _open["browser"].close()
        _open["maker"].stop()
        _open["browser"] = _open["maker"] = None


#: Milliseconds that a browser is given to put away what a page kept, longer each time it did not.
PAUSES_MS = (50, 150, 450, 1350, 4000)


def again(page):
    """The page closed and opened again once the browser has put away what the page last kept.

    A browser writes what a page keeps in its own time; on a busy machine the page opened again may come first, and what
    was under way is then lost. It is kept once more then, word for word as the page had it.
    """
    kept = page.evaluate("({ ...localStorage })")
    for pause in PAUSES_MS:
        page.wait_for_timeout(pause)
        page.reload()
        if page.evaluate("({ ...localStorage })") == kept:
            return
        page.evaluate("kept => { localStorage.clear(); Object.assign(localStorage, kept); }", kept)
    raise AssertionError(f"the browser did not keep {kept}")
