"""Running numbers without gaps or doubles: taken inside the transaction that uses them."""

from django.db import transaction

from soapshop.models import NumberSeries


@transaction.atomic
def next_number(series: str, *, first: int = 1) -> int:
    """Take the next number of a series. A transaction that fails gives its number back."""
    NumberSeries.objects.get_or_create(name=series, defaults={"last": first - 1})
    taken = NumberSeries.objects.select_for_update().get(name=series)
    taken.last += 1
    taken.save(update_fields=["last"])
    return taken.last
