"""What a gram costs at the door: of one lot, and of a material by its newest delivery with a price."""

from collections.abc import Iterable
from decimal import Decimal

from formulas.models import Material, Part
from orders.money.cost import landed_price_per_gram
from production.stock.models import Lot

FREE_BY_KEY = ("water",)  # plain water: from the tap, or so cheap that nobody books it


def lot_price_per_gram(lot: Lot) -> Decimal | None:
    """Return the landed price of a gram, freight included; None when no price was written down."""
    if lot.price is None:
        return None
    return landed_price_per_gram(lot.price, lot.freight or Decimal(0), lot.received_grams)


def todays_prices(material_ids: Iterable[int]) -> dict[int, Decimal]:
    """Return the landed price a gram of each material by its newest priced lot; plain water costs nothing."""
    wanted = set(material_ids)
    found: dict[int, Decimal] = {}
    lots = Lot.objects.filter(material_id__in=wanted, price__isnull=False)
    for lot in lots.only("material_id", "price", "freight", "received_grams").order_by("received_on", "pk"):
        price = lot_price_per_gram(lot)
        if price is not None:
            found[lot.material_id] = price
    for water in Material.objects.filter(key__in=FREE_BY_KEY, pk__in=wanted - set(found)).values_list("pk", flat=True):
        found[water] = Decimal(0)
    return found


def part_price(part: Part, prices: dict[int, Decimal]) -> Decimal | None:
    """Return what goes into one piece; None when an ingredient has no price. Fetch the part with its ingredients."""
    items = list(part.ingredients.all())
    if not items or any(item.material_id not in prices for item in items):
        return None
    per_gram = sum((item.percent * prices[item.material_id] / 100 for item in items), Decimal(0))
    return per_gram * part.unit_grams


def part_materials(parts: Iterable[Part]) -> set[int]:
    return {item.material_id for part in parts for item in part.ingredients.all()}
