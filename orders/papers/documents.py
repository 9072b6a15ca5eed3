"""A customer's paper as PDF: the same record gives the same bytes."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.template.loader import render_to_string

from formulas.drawing import bar_cross_section_svg
from orders.agreement.records import drawn_line
from orders.agreement.sheet import OrderSheet
from orders.papers.records import CustomerPaper
from soapshop.money import format_money
from soapshop.paper import PaperRefused, render_pdf
from soapshop.paper_words import exact_words

# ISO 216 and ANSI Y14.1, in millimeters
PAGE_RULES = {"letter": "@page { size: 215.9mm 279.4mm }", "a4": "@page { size: 210mm 297mm }"}
WITH_PICTURES = ("quote", "confirmation")
WITH_PRICES = ("quote", "confirmation", "invoice")
LONGEST_WORDS = 600


def customer_paper_pdf(paper: CustomerPaper) -> bytes:
    """Return the PDF; raises PaperRefused that names a letter the typeface lacks, or PaperUnavailable."""
    if paper.paper_size not in PAGE_RULES:
        raise PaperRefused(f"“{paper.paper_size[:20]}” is not a paper size. Choose letter or a4 in the settings.")
    paper = exact_words(paper, longest=LONGEST_WORDS)
    html = render_to_string("orders/papers/customer_paper.html", _context(paper))
    return render_pdf(html, stylesheets=(PAGE_RULES[paper.paper_size], render_to_string("orders/papers/paper.css")))


def _context(paper: CustomerPaper) -> dict[str, Any]:
    sheet, currency = paper.sheet, paper.sheet.currency
    return {
        "paper": paper,
        "sheet": sheet,
        "issued": _day(paper.issued_on),
        "has_prices": paper.kind in WITH_PRICES,
        "is_packing": paper.kind == "packing_list",
        "lines": [_line(index, paper) for index in range(len(sheet.lines))],
        "fees": [(fee.name, _money(fee.amount, currency)) for fee in sheet.fees],
        "sums": _sums(paper) if paper.kind in WITH_PRICES else [],
        "dates": _dates(sheet),
        "paid": [(_day(row.on), row.words, _money(row.amount, currency)) for row in paper.paid],
        "amount": None if paper.amount is None else _money(paper.amount, currency),
        "amount_tax": None if not paper.amount_tax else _money(paper.amount_tax, currency),
        "to_be_paid": None if paper.to_be_paid is None else _money(paper.to_be_paid, currency),
    }


def _line(index: int, paper: CustomerPaper) -> dict[str, Any]:
    line, currency = paper.sheet.lines[index], paper.sheet.currency
    notes = [", ".join(f"{bars} {name}" for name, bars in line.finishes if name != "plain" or len(line.finishes) > 1)]
    notes += [f"Wording: “{line.wording}”"] if line.wording else []
    notes += [f"Packed: {line.packaging}"] if line.packaging else []
    notes += [f"Scent: {line.scent}"] if line.scent else []
    return {
        "line": line,
        "notes": [note for note in notes if note],
        "price": _money(line.price_per_bar, currency),
        "amount": _money(line.amount, currency),
        "picture": bar_cross_section_svg(drawn_line(line), key=f"line-{index}", is_small=True)
        if paper.kind in WITH_PICTURES
        else "",
    }


def _sums(paper: CustomerPaper) -> list[tuple[str, str, bool]]:
    """Return what stands below the lines: words, amount, and whether it closes the sum."""
    sheet, currency = paper.sheet, paper.sheet.currency
    rows = []
    if sheet.discount:
        words = f"Discount, {sheet.discount_words}" if sheet.discount_words else "Discount"
        rows.append((words, _money(-sheet.discount, currency), False))
    rate = f"{sheet.tax_name or 'Tax'}, {_plain(sheet.tax_percent)} %"
    if sheet.is_tax_inside:
        rows.append(("Total", _money(sheet.total, currency), True))
        if sheet.tax:
            rows.append((f"Inside it: {rate}", _money(sheet.tax, currency), False))
    else:
        if sheet.tax:
            rows.append(("Without tax", _money(sheet.net, currency), False))
            rows.append((rate, _money(sheet.tax, currency), False))
        rows.append(("Total", _money(sheet.total, currency), True))
    if paper.kind != "invoice":
        by = f", by {_day(sheet.deposit_due_on)}" if sheet.deposit_due_on else " to book it"
        rows.append((f"Deposit{by}", _money(sheet.deposit, currency), False))
        by = f", by {_day(sheet.balance_due_on)}" if sheet.balance_due_on else " before hand-over"
        rows.append((f"Balance{by}", _money(sheet.balance, currency), False))
    return rows


def _dates(sheet: OrderSheet) -> list[tuple[str, str]]:
    rows = [
        ("Occasion", sheet.occasion),
        ("Event", _day(sheet.event_date)),
        ("Needed in hand by", _day(sheet.needed_by)),
        ("Hand-over", sheet.hand_over + (f", {sheet.travel_days} days on the way" if sheet.travel_days else "")),
    ]
    return [(name, words) for name, words in rows if words]


def _day(day: date | None) -> str:
    return f"{day:%b} {day.day}, {day.year}" if day else ""


def _money(amount: Decimal, currency: str) -> str:
    return format_money(amount, currency=currency)


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
