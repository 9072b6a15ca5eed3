"""What a paper for a customer shows, as one frozen record; it is kept as it was and printed from there."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from orders.agreement.sheet import OrderSheet


@dataclass(frozen=True)
class PaidRow:
    on: date
    words: str
    amount: Decimal  # below nothing: paid back


@dataclass(frozen=True)
class TaxRow:
    rate_percent: Decimal
    net: Decimal
    tax: Decimal


@dataclass(frozen=True)
class CustomerPaper:
    kind: str
    title: str
    number: str
    issued_on: date
    shop_name: str
    shop_lines: tuple[str, ...]
    customer_lines: tuple[str, ...]
    sheet: OrderSheet
    paper_size: str
    tax_number: str = ""
    replaces: str = ""
    words: str = ""
    foot_words: str = ""
    terms: tuple[str, ...] = ()
    taxes: tuple[TaxRow, ...] = ()
    paid: tuple[PaidRow, ...] = ()
    amount: Decimal | None = None
    amount_tax: Decimal | None = None
    to_be_paid: Decimal | None = None
