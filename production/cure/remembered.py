"""The rack as it was read last, for as long as nothing was written since.

Every action leaves an event, so the newest event says whether the rack that was read before still stands. The newest
rows of the books that the rack is read from, and of what was put right by hand in the admin, are looked at as well,
in the same query.
"""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.contrib.admin.models import LogEntry
from django.db.models import Model, QuerySet, Subquery
from django.template.loader import render_to_string

from production.batches.models import Batch, BatchFor
from production.cure.models import BarMove, Check, CureWeighing
from production.cure.reads import Rack, read_rack
from production.plan.models import WorkWeek
from soapshop.models import AuditEvent

Standing = tuple[object, ...]
BOOKS: tuple[type[Model], ...] = (Batch, BatchFor, BarMove, CureWeighing, Check, LogEntry)


@dataclass(frozen=True)
class KeptRack:
    """One reading of the rack, with what was drawn from it."""

    standing: Standing
    rack: Rack
    drawn: dict[str, str] = field(default_factory=dict)

    def draw(self, name: str, template: str, context: dict[str, Any]) -> str:
        """Return this part of the page, drawn once. Nothing in it may depend on who asks."""
        if name not in self.drawn:
            self.drawn[name] = render_to_string(template, context)
        return self.drawn[name]


_kept: dict[str, KeptRack] = {}


def kept_rack(today: date) -> KeptRack:
    """Return the rack on this day; one query while nothing was written since the last look."""
    found = _standing()
    standing, places = (today, found), found[-1] if found else None
    kept = _kept.get("rack")
    if kept is None or kept.standing != standing:
        kept = KeptRack(standing, read_rack(today=today, places=places))
        _kept["rack"] = kept
    return kept


def forget_rack() -> None:
    _kept.clear()


def _standing() -> tuple[Any, ...] | None:
    """The newest event, the newest row of each book, and last how many bars the rack holds."""
    newest = {f"newest_{book._meta.model_name}": Subquery(_newest(book).values("pk")[:1]) for book in BOOKS}
    newest["places"] = Subquery(WorkWeek.objects.filter(pk=1).values("rack_bars"))
    return AuditEvent.objects.order_by("-pk").annotate(**newest).values_list("pk", "at", *newest).first()


def _newest(book: type[Model]) -> QuerySet[Model]:
    return book._default_manager.order_by("-pk")
