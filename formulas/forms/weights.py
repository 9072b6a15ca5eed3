"""A recipe written in weights becomes percent: the oils of all oils, the additions of the oils."""

from decimal import Decimal

from django.http import QueryDict

from formulas.chemistry.scaling import rounded_shares
from soapshop.quantity import QuantityRefused, mass_grams, plain_number
from soapshop.units import plain

HUNDRED, STEP = Decimal(100), Decimal("0.0001")
MOST_ROWS = 60


def with_percents(typed: QueryDict) -> tuple[QueryDict, str]:
    """Return what was typed with weights turned into percent, or unchanged with the sentence that refuses it."""
    oils = _boxes(typed, "oils")
    try:
        grams = {box: mass_grams(text, default_unit="gram") for box, text in oils.items()}
        total = sum(grams.values(), Decimal(0))
        if total <= 0:
            return typed, "There are no weights to turn into percent. Type the oils, such as 400 g or 14.9 oz."
        additions = {box: text for box, text in _boxes(typed, "extras").items() if not _is_number(text)}
        percents = {box: HUNDRED * mass_grams(text) / total for box, text in additions.items()}
    except QuantityRefused as refusal:
        return typed, str(refusal)
    turned = typed.copy()
    shares = rounded_shares(tuple(grams.values()), places=4, whole=HUNDRED)
    for box, share in (*zip(grams, shares, strict=True), *percents.items()):
        turned[box] = f"{plain(share.quantize(STEP)):f}"
    return turned, ""


def _boxes(typed: QueryDict, prefix: str) -> dict[str, str]:
    """Return the boxes of one list that hold something, by name."""
    names = (f"{prefix}-{place}-percent" for place in range(MOST_ROWS))
    return {name: text for name in names if (text := typed.get(name, "").strip())}


def _is_number(text: str) -> bool:
    try:
        plain_number(text.removesuffix("%").strip())
    except QuantityRefused:
        return False
    return True
