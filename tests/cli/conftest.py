"""The one Chromium that the map's tests start."""

import importlib.util
from pathlib import Path

_spec = importlib.util.spec_from_file_location("map_conftest", Path(__file__).parent.parent / "map" / "conftest.py")
_map = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_map)

chromium = _map.chromium
