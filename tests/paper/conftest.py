"""The same made-up place and browser as the map's tests."""

import importlib.util
from pathlib import Path

_spec = importlib.util.spec_from_file_location("map_conftest", Path(__file__).parent.parent / "map" / "conftest.py")
_map = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_map)

made_up, frames, answers, drawn = _map.made_up, _map.frames, _map.answers, _map.drawn
plain_answers, typed = _map.plain_answers, _map.typed
map_file, chromium, lent_page, open_page = _map.map_file, _map.chromium, _map.lent_page, _map.open_page
