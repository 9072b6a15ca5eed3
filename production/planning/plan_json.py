"""The planning input and answer as JSON and back, so that a plan can be kept, repeated and moved to another machine.

Each record is an object with its fields by name, a day is 2026-05-12, a row of records is a list. Fields that are left
out take their starting figure; fields nobody knows are refused.
"""

import dataclasses
import hashlib
import json
import types
from datetime import date
from enum import Enum
from typing import Any, TypeVar, get_args, get_origin, get_type_hints

Record = TypeVar("Record")


class PlanJsonError(ValueError):
    """This JSON is no planning record; the message says where and what is wanted."""


def as_json(record: Any) -> Any:
    """Return a frozen record as plain lists and objects."""
    if dataclasses.is_dataclass(record) and not isinstance(record, type):
        return {field.name: as_json(getattr(record, field.name)) for field in dataclasses.fields(record)}
    if isinstance(record, tuple | list):
        return [as_json(each) for each in record]
    if isinstance(record, Enum):
        return record.value
    return record.isoformat() if isinstance(record, date) else record


def from_json(kind: type[Record], raw: Any) -> Record:
    """Return the frozen record of this kind that the JSON describes."""
    return _read(kind, raw, kind.__name__)


def input_hash(record: Any) -> str:
    """Return a fingerprint that is the same for the same input on every machine."""
    text = json.dumps(as_json(record), sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def _read(kind: Any, raw: Any, place: str) -> Any:
    if dataclasses.is_dataclass(kind):
        return _read_record(kind, raw, place)
    if get_origin(kind) is tuple:
        return _read_row(get_args(kind), raw, place)
    if get_origin(kind) is types.UnionType:
        inner = next(each for each in get_args(kind) if each is not type(None))
        return None if raw is None else _read(inner, raw, place)
    if kind is date:
        return _read_day(raw, place)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(raw)
    if kind is float and isinstance(raw, int):
        return float(raw)
    if not isinstance(raw, kind) or (kind is int and isinstance(raw, bool)):
        raise PlanJsonError(f"{place} should be a {kind.__name__}, but {str(raw)[:40]!r} stands there.")
    return raw


def _read_record(kind: Any, raw: Any, place: str) -> Any:
    if not isinstance(raw, dict):
        raise PlanJsonError(f"{place} should be an object with named fields.")
    hints = get_type_hints(kind)
    known = {field.name: field for field in dataclasses.fields(kind)}
    unknown = sorted(set(raw) - set(known))
    if unknown:
        raise PlanJsonError(f"{place} has a field “{unknown[0]}” that nobody knows. Take it out.")
    missing = sorted(
        name
        for name, field in known.items()
        if name not in raw and field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    )
    if missing:
        raise PlanJsonError(f"{place} lacks “{missing[0]}”. Add it.")
    return kind(**{name: _read(hints[name], part, f"{place}.{name}") for name, part in raw.items()})


def _read_row(kinds: tuple[Any, ...], raw: Any, place: str) -> tuple[Any, ...]:
    if not isinstance(raw, list):
        raise PlanJsonError(f"{place} should be a list.")
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(_read(kinds[0], each, f"{place}[{at}]") for at, each in enumerate(raw))
    if len(kinds) != len(raw):
        raise PlanJsonError(f"{place} should have {len(kinds)} entries, but has {len(raw)}.")
    return tuple(_read(kind, each, f"{place}[{at}]") for at, (kind, each) in enumerate(zip(kinds, raw, strict=True)))


def _read_day(raw: Any, place: str) -> date:
    try:
        return date.fromisoformat(raw)
    except (TypeError, ValueError) as fault:
        raise PlanJsonError(f"{place} should be a day such as 2026-05-12.") from fault
