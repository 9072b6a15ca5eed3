"""Exact money: how many decimals a currency has, how an amount is written, and how a sum is shared to the last cent."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import floor

# ISO 4217: the exponent of each currency's minor unit. Amounts are stored in hundredths, so none has more than two.
MINOR_PLACES = {
    "AUD": 2,
    "CAD": 2,
    "CHF": 2,
    "CZK": 2,
    "DKK": 2,
    "EUR": 2,
    "GBP": 2,
    "JPY": 0,
    "NOK": 2,
    "NZD": 2,
    "PLN": 2,
    "SEK": 2,
    "USD": 2,
}
SIGNS = {"AUD": "$", "CAD": "$", "EUR": "€", "GBP": "£", "JPY": "¥", "NZD": "$", "USD": "$"}


class MoneyRefused(ValueError):
    """A sum that cannot be worked out; the message says why, for people."""


def minor_places(currency: str) -> int:
    try:
        return MINOR_PLACES[currency]
    except KeyError:
        known = ", ".join(MINOR_PLACES)
        raise MoneyRefused(f"“{currency}” is not a currency used here. Choose one of: {known}.") from None


def smallest_coin(currency: str) -> Decimal:
    """Return the least amount of the currency: 0.01 for USD."""
    return Decimal(1).scaleb(-minor_places(currency))


def round_money(amount: Decimal, *, currency: str) -> Decimal:
    """Round to the currency's least amount; a half goes away from nothing (commercial rounding)."""
    return amount.quantize(smallest_coin(currency), rounding=ROUND_HALF_UP)


def format_money(amount: Decimal, *, currency: str) -> str:
    """Write "$1,234.50" or "1,234.50 SEK"; less than nothing as "−$5.00"."""
    rounded = round_money(amount, currency=currency)
    digits = f"{abs(rounded):,.{minor_places(currency)}f}"
    sign = "−" if rounded < 0 else ""
    if currency in SIGNS:
        return f"{sign}{SIGNS[currency]}{digits}"
    return f"{sign}{digits} {currency}"


def allocate(total: Decimal, weights: tuple[Decimal, ...], *, currency: str) -> tuple[Decimal, ...]:
    """Share a sum in proportion to the weights so that the parts add up to it exactly.

    Largest remainder: each part is first rounded down, then the coins left over go one each to the parts that lost
    most by it, the earlier one first where two lost the same.
    """
    coin = smallest_coin(currency)
    if total != round_money(total, currency=currency):
        raise MoneyRefused(f"{total} {currency} has parts of a {coin} coin. Round the sum first, then share it out.")
    if any(weight < 0 for weight in weights) or sum(weights) <= 0:
        raise MoneyRefused("A sum can only be shared out over parts of which at least one counts more than nothing.")
    if total < 0:
        return tuple(-part for part in allocate(-total, weights, currency=currency))
    coins = int(total / coin)
    whole = sum(map(Fraction, weights))
    exact = [coins * Fraction(weight) / whole for weight in weights]
    floors = [floor(share) for share in exact]
    by_loss = sorted(range(len(weights)), key=lambda index: (floors[index] - exact[index], index))
    for index in by_loss[: coins - sum(floors)]:
        floors[index] += 1
    return tuple(count * coin for count in floors)
