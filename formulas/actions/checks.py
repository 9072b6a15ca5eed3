"""What the actions of the book ask of every entry alike: a name of its own, and each material once."""

from collections.abc import Hashable, Iterable

from django.db.models import Model


def is_name_taken(row: Model, name: str) -> bool:
    """Whether another entry of the same kind has this name, capitals apart."""
    return type(row)._default_manager.filter(name__iexact=name).exclude(pk=row.pk).exists()


def has_repeats(keys: Iterable[Hashable]) -> bool:
    """Whether something stands in a list twice."""
    listed = list(keys)
    return len(listed) > len(set(listed))
