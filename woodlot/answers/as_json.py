"""Answers as plain JSON values and back: a key is the name of its field.

as_json      any answer -> mappings, lists, numbers and words
from_json    what a file of answers holds -> the answers
field_lines  every field with its type, a line each: what a change of must raise ``types.SCHEMA``
field_types  the fields of one kind with their types; bare: a kind without what stands in its brackets

A field marked ``LEFT_OUT`` (metadata) is not written where it holds nothing.
"""

import types
from collections.abc import Mapping
from dataclasses import Field, fields, is_dataclass
from functools import cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from woodlot.errors import InputError

__all__ = ["LEFT_OUT", "as_json", "bare", "field_lines", "field_types", "from_json"]

#: Of a field that is not written where there is nothing to say.
LEFT_OUT = {"left_out": True}
_T = TypeVar("_T")


def as_json(answer: Any) -> Any:
    """An answer, or a mapping or sequence of them, as JSON can say it."""
    if is_dataclass(answer) and not isinstance(answer, type):
        pairs = ((f, getattr(answer, f.name)) for f in fields(answer))
        return {f.name: as_json(value) for f, value in pairs if value is not None or not _left_out(f)}
    if isinstance(answer, Mapping):
        return {str(key): as_json(value) for key, value in answer.items()}
    if isinstance(answer, (list, tuple)):
        return [as_json(value) for value in answer]
    return answer


def from_json(kind: type[_T], plain: Any) -> _T:
    """The answer of a kind that a JSON value holds.

    Raises InputError, with the way to the value, for a field that is missing, one that is not known, and a value of
    another kind.
    """
    return _read(kind, plain, _type_words(kind))  # type: ignore[no-any-return]


def field_lines(kind: type) -> list[str]:
    """``Class.field: type`` of a kind and of all that it holds, in the order in which they are met."""
    out: list[str] = []
    met: set[Any] = set()

    def walk(hint: Any) -> None:
        if not is_dataclass(bare(hint)):
            for part in get_args(hint):
                walk(part)
        elif hint not in met:
            met.add(hint)
            hints = field_types(hint)
            out.extend(f"{_type_words(hint)}.{name}: {_type_words(each)}" for name, each in hints.items())
            for each in hints.values():
                walk(each)

    walk(kind)
    return out


def bare(hint: Any) -> Any:
    """``Food`` of ``Food[Number, str]``; any other type as it is."""
    return get_origin(hint) or hint


@cache
def field_types(kind: Any) -> dict[str, Any]:
    """Fields -> their types; in those of ``Food[Number, str]`` Number and str stand where Food says N and W."""
    given = dict(zip(getattr(bare(kind), "__parameters__", ()), get_args(kind), strict=True))
    hints = get_type_hints(bare(kind))
    for name, hint in hints.items():
        free = getattr(hint, "__parameters__", ())
        hints[name] = given[hint] if hint in given else hint[tuple(map(given.get, free))] if free else hint
    return {field.name: hints[field.name] for field in fields(bare(kind))}


def _left_out(field: Field) -> bool:
    return bool(field.metadata.get("left_out"))


def _type_words(hint: Any) -> str:
    """A type as it is written: ``tuple[Stand, ...]``, ``float | None``."""
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return " | ".join(_type_words(part) for part in args)
    if origin is Literal:
        return f"Literal[{', '.join(repr(part) for part in args)}]"
    if args and not is_dataclass(origin):
        return f"{getattr(origin, '__name__', origin)}[{', '.join(_type_words(part) for part in args)}]"
    if hint is Ellipsis:
        return "..."
    return "None" if hint is type(None) else str(getattr(bare(hint), "__name__", hint))


def _read(hint: Any, plain: Any, at: str) -> Any:
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return _read_one_of(args, plain, at)
    if is_dataclass(bare(hint)):
        return _read_fields(hint, plain, at)
    if origin is tuple:
        parts = _sure(plain, list, "a list", at)
        kinds = [args[0]] * len(parts) if args[-1] is Ellipsis else args
        if len(kinds) != len(parts):
            raise InputError(f"{at}: {len(parts)} values, must be {len(kinds)}")
        return tuple(_read(k, p, f"{at}[{i}]") for i, (k, p) in enumerate(zip(kinds, parts, strict=True)))
    if origin is not None and origin is not Literal and issubclass(origin, Mapping):
        return {k: _read(args[1], v, f"{at}[{k}]") for k, v in _sure(plain, dict, "a mapping", at).items()}
    if origin is Literal:
        if plain not in args:
            raise InputError(f"{at}: {plain!r}, must be one of {', '.join(map(str, args))}")
        return plain
    good: tuple[type, ...] = (int, float) if hint is float else (hint,)
    if not isinstance(plain, good) or (isinstance(plain, bool) and hint is not bool):
        raise InputError(f"{at}: {plain!r} is no {hint.__name__}")
    return plain


def _read_one_of(kinds: tuple[Any, ...], plain: Any, at: str) -> Any:
    """One of two kinds, of which one may be None."""
    if plain is None and type(None) in kinds:
        return None
    some = [k for k in kinds if k is not type(None)]
    return _read(some[0], plain, at)


def _read_fields(kind: Any, plain: Any, at: str) -> Any:
    known, hints = {f.name: f for f in fields(bare(kind))}, field_types(kind)
    given = _sure(plain, dict, "a mapping", at)
    strange = [key for key in given if key not in known]
    lacks = [name for name, f in known.items() if name not in given and not _left_out(f)]
    if strange or lacks:
        words = [f"no field {', '.join(strange)}"] * bool(strange) + [f"{', '.join(lacks)} is missing"] * bool(lacks)
        raise InputError(f"{at}: {'; '.join(words)}")
    return bare(kind)(**{key: _read(hints[key], value, f"{at}.{key}") for key, value in given.items()})


def _sure(plain: Any, kind: type, wanted: str, at: str) -> Any:
    if not isinstance(plain, kind):
        raise InputError(f"{at}: {plain!r} is not {wanted}")
    return plain
