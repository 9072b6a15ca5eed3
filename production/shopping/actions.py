"""Keep what a supplier sells."""

from decimal import Decimal

from django.db import transaction

from formulas.models import Material
from production.shopping.models import Offer
from production.stock.actions import StockRefusal
from production.stock.models import Supplier
from soapshop.audit import note_event
from soapshop.models import User
from soapshop.units import format_grams, round_grams


@transaction.atomic
def save_offer(
    *, supplier_id: int, material: Material, pack_grams: Decimal, by: User, price: Decimal | None = None
) -> Offer:
    """Put a pack on a supplier's list, or give one that is on it a new price."""
    supplier = Supplier.objects.select_for_update().get(pk=supplier_id)
    pack_grams = round_grams(pack_grams)
    if pack_grams <= 0:
        raise StockRefusal("A pack weighs more than nothing. Type what stands on it, such as 5 kg.")
    offer, _ = Offer.objects.update_or_create(
        supplier=supplier, material=material, pack_grams=pack_grams, defaults={"price": price}
    )
    text = f"{supplier.name} sells {material.name} by {format_grams(pack_grams)}."
    note_event(by=by, verb="save_offer", subject=supplier, text=text, after={"price": price})
    return offer


@transaction.atomic
def remove_offer(*, offer_id: int, by: User) -> None:
    """Take a pack off a supplier's list; one that is gone already is left at that."""
    offer = Offer.objects.select_for_update().select_related("supplier", "material").filter(pk=offer_id).first()
    if offer is None:
        return
    text = f"{offer.supplier.name} no longer sells {offer.material.name} by {format_grams(offer.pack_grams)}."
    note_event(by=by, verb="remove_offer", subject=offer.supplier, text=text)
    offer.delete()
