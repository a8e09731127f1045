"""A family: its raw files, and what is true of them."""

import json
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["Family", "meant"]


@dataclass(frozen=True)
class Family:
    """Raw files by name, what is true of them, and the commands that a new user types.

    folder: where the raw files lie. commands: one a line; behind # what the screen must say, behind "# stops:" the same
    of a command that ends with exit code 1.
    """

    name: str
    about: str
    files: Mapping[str, bytes]
    folder: str
    truth: Mapping[str, Any]
    commands: str

    def toml(self) -> str:
        """What is true, as text."""
        lines = [
            f"about = {_value(self.about)}",
            f"folder = {_value(self.folder)}",
            f"commands = '''{self.commands}'''",
        ]
        plain = {key: value for key, value in self.truth.items() if not isinstance(value, Mapping)}
        lines += [f"{key} = {_value(value)}" for key, value in plain.items()]
        for key, table in self.truth.items():
            if isinstance(table, Mapping):
                lines += ["", f"[{key}]", *(f"{_value(k)} = {_value(v)}" for k, v in table.items())]
        return "\n".join(lines) + "\n"


def _value(value: Any) -> str:
    """Text, numbers, yes or no and lists are the same in TOML as in JSON."""
    return json.dumps(value, ensure_ascii=False)


def meant(words: Iterable[str], meaning: Mapping[str, str]) -> dict[str, int]:
    """Trees by the species that is meant."""
    count = Counter(meaning[word] for word in words)
    return {name: count[name] for name in sorted(count)}
