"""Frozen records to plain JSON and back: text for Decimals and ISO days, lists for tuples."""

from collections.abc import Hashable
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from types import UnionType
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

Record = TypeVar("Record")


def to_json(record: Any) -> Any:
    if is_dataclass(record):
        return {field.name: to_json(getattr(record, field.name)) for field in fields(record)}
    if isinstance(record, tuple | list):
        return [to_json(item) for item in record]
    if isinstance(record, Decimal):
        return str(record)
    if isinstance(record, date):
        return record.isoformat()
    return record


def from_json(kind: type[Record], given: Any) -> Record:
    """Read a record back; keys that this version does not know are passed over."""
    hints = _hints(cast(Hashable, kind))
    return kind(**{name: _read(hints[name], item) for name, item in given.items() if name in hints})


@cache
def _hints(kind: Hashable) -> dict[str, Any]:
    """Return the types of a record's fields. Reading them costs more than reading a record, so it is done once."""
    record = cast(type[Any], kind)
    hints = get_type_hints(record)
    return {field.name: hints[field.name] for field in fields(record)}


def _read(hint: Any, given: Any) -> Any:
    if given is None:
        return None
    origin, arguments = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        return _read(next(argument for argument in arguments if argument is not type(None)), given)
    if origin is tuple:
        if len(arguments) == 2 and arguments[1] is Ellipsis:
            return tuple(_read(arguments[0], item) for item in given)
        return tuple(_read(argument, item) for argument, item in zip(arguments, given, strict=True))
    if is_dataclass(hint):
        return from_json(hint, given)  # type: ignore[arg-type]
    if hint is Decimal:
        return Decimal(given)
    if hint is date:
        return date.fromisoformat(given)
    return given
