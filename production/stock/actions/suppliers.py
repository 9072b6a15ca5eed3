"""Who delivers: written down once, with the days from order to door."""

from django.db import transaction

from production.stock.actions.lots import StockRefusal
from production.stock.models import Supplier
from soapshop.audit import changed_fields, note_event
from soapshop.models import User


@transaction.atomic
def save_supplier(*, name: str, lead_days: int | None, by: User, contact: str = "") -> Supplier:
    """Return the supplier of this name, written down now if it is new."""
    known = Supplier.objects.filter(name__iexact=name.strip()).first()
    if known is not None:
        return known
    supplier = Supplier.objects.create(name=name.strip(), contact=contact.strip(), lead_days=lead_days)
    note_event(by=by, verb="save_supplier", subject=supplier, text=f"Added the supplier {supplier.name}.")
    return supplier


@transaction.atomic
def change_supplier(*, supplier_id: int, name: str, lead_days: int | None, contact: str, by: User) -> Supplier:
    """Write a supplier's new name, contact or days to the door."""
    supplier = Supplier.objects.select_for_update().get(pk=supplier_id)
    wanted = {"name": name.strip(), "contact": contact.strip(), "lead_days": lead_days}
    if Supplier.objects.filter(name__iexact=name.strip()).exclude(pk=supplier.pk).exists():
        raise StockRefusal(f"There is another supplier named {name.strip()}. Give this one a name of its own.")
    before, after = changed_fields(supplier, wanted)
    if not after:
        return supplier
    for field, new in after.items():
        setattr(supplier, field, new)
    supplier.save(update_fields=list(after))
    text = f"Changed the supplier {supplier.name}."
    note_event(by=by, verb="change_supplier", subject=supplier, text=text, before=before, after=after)
    return supplier
