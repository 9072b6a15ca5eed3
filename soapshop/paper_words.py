"""Words of a frozen record made fit to print, before a template sees them."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar

from soapshop.paper import PaperRefused, missing_letters_sentence
from soapshop.typeface import missing_letters, settled_text, spelled_out

LONGEST_TEXT = 600  # letters in one place of a ticket: about 20 lines of a narrow column

Record = TypeVar("Record")


def plain_words(record: Record, *, longest: int = LONGEST_TEXT) -> Record:
    """Return the same record; letters that cannot be drawn are written as their code, "[U+1F642]".

    Raises PaperRefused when one text is longer than a paper can hold in one place.
    """
    return _each_text(record, lambda text: spelled_out(_short_enough(text, longest)))


def exact_words(record: Record, *, longest: int = LONGEST_TEXT) -> Record:
    """Return the same record, composed; raises PaperRefused naming the letters that cannot be drawn.

    For papers that must say exactly what was approved, such as labels.
    """
    if missing := missing_letters("".join(_texts(record))):
        raise PaperRefused(missing_letters_sentence(missing))
    return _each_text(record, lambda text: settled_text(_short_enough(text, longest)))


def _short_enough(text: str, longest: int) -> str:
    if len(text) <= longest:
        return text
    raise PaperRefused(
        f"The text “{spelled_out(text[:30])}…” has {len(text):,} letters; this paper holds {longest:,} in one place. "
        "Shorten it, then print again."
    )


def _each_text(thing: Any, change: Any) -> Any:
    if isinstance(thing, str):
        return change(thing) if type(thing) is str else thing
    if isinstance(thing, tuple):
        return tuple(_each_text(part, change) for part in thing)
    if is_dataclass(thing) and not isinstance(thing, type):
        changes = {field.name: _each_text(getattr(thing, field.name), change) for field in fields(thing)}
        return replace(thing, **changes)
    return thing


def _texts(thing: Any) -> Iterator[str]:
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, tuple):
        for part in thing:
            yield from _texts(part)
    elif is_dataclass(thing) and not isinstance(thing, type):
        for field in fields(thing):
            yield from _texts(getattr(thing, field.name))
