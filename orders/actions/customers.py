"""Write customers into the book."""

from collections.abc import Sequence

from django.db import IntegrityError, transaction

from formulas.models import Material
from orders.models import Customer
from soapshop.audit import changed_fields, note_event
from soapshop.models import User

CHANGED = ("name", "email", "phone", "address", "avoid_groups", "note")


def save_customer(
    *, customer: Customer, avoid_materials: Sequence[Material], by: User, is_new: bool = False
) -> Customer:
    """Write a customer, new or changed, with the materials to avoid. The same new form sent twice gives one."""
    if not is_new:
        return _change(customer, avoid_materials, by=by)
    try:
        return _add(customer, avoid_materials, by=by)
    except IntegrityError:
        taken = _taken(customer)
        if taken is None:
            raise
        return taken


@transaction.atomic
def _add(customer: Customer, avoid_materials: Sequence[Material], *, by: User) -> Customer:
    taken = _taken(customer)
    if taken is not None:
        return taken
    customer.save(force_insert=True)
    customer.avoid_materials.set(avoid_materials)
    note_event(by=by, verb="create_customer", subject=customer, text=f"Wrote down {customer.name}.")
    return customer


@transaction.atomic
def _change(customer: Customer, avoid_materials: Sequence[Material], *, by: User) -> Customer:
    kept = Customer.objects.select_for_update().get(pk=customer.pk)
    before, after = changed_fields(kept, {field: getattr(customer, field) for field in CHANGED})
    names = {material.name for material in kept.avoid_materials.all()}
    wanted = {material.name for material in avoid_materials}
    if names != wanted:
        before["avoid_materials"], after["avoid_materials"] = sorted(names), sorted(wanted)
        kept.avoid_materials.set(avoid_materials)
    if not after:
        return kept
    fields = [field for field in CHANGED if field in after]
    for field in fields:
        setattr(kept, field, after[field])
    kept.save(update_fields=fields)
    text = f"Changed what is written of {kept.name}."
    note_event(by=by, verb="change_customer", subject=kept, text=text, before=before, after=after)
    return kept


def _taken(customer: Customer) -> Customer | None:
    if customer.typed_once is None:
        return None
    return Customer.objects.filter(typed_once=customer.typed_once).first()
