"""What the cost pages and panels show."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from formulas.models import Design
from orders.models import HouseTerms, ListPrice, Order, OrderLine
from orders.money.cost import CrossCheck, Margin, cross_check, margin_at
from orders.money.pricing import PriceFacts, PriceRefused, SuggestedPrice, suggested_price
from orders.money.reads import account_now
from orders.money.records import price_rules
from production.batches.models import Batch
from production.batches.proposal import GONE
from production.costing.pots import PotCost, batch_pots, design_pot
from soapshop.models import Workshop
from soapshop.panels import Panel

COST_RANK = 60


@dataclass(frozen=True)
class LineCost:
    line: OrderLine
    net_price: Decimal | None
    pots: tuple[PotCost, ...]
    today: PotCost
    suggestion: SuggestedPrice | None
    no_suggestion: str

    @property
    def counted(self) -> PotCost:
        """What the line is judged by: its batches as made, else the plan at today's prices."""
        return self.pots[0] if self.pots else self.today

    @property
    def margin(self) -> Margin | None:
        return _margin(self.net_price, self.counted)

    @property
    def margin_today(self) -> Margin | None:
        return _margin(self.net_price, self.today)

    @property
    def check(self) -> CrossCheck | None:
        sheet = self.counted.sheet
        return None if self.net_price is None or sheet is None else cross_check(self.net_price, sheet)

    @property
    def is_under_cost(self) -> bool:
        return self.margin is not None and self.margin.per_bar < 0


@dataclass(frozen=True)
class OrderCost:
    order: Order
    lines: tuple[LineCost, ...]
    terms: HouseTerms

    @property
    def margin(self) -> Decimal | None:
        """What the whole order leaves; None while a price or a cost is missing."""
        margins = [(line.margin, line.line.bars) for line in self.lines]
        if any(margin is None for margin, _ in margins):
            return None
        return sum((margin.per_bar * bars for margin, bars in margins if margin is not None), Decimal(0))

    @property
    def is_complete(self) -> bool:
        return all(line.counted.sheet is not None and line.counted.sheet.is_complete for line in self.lines)


def order_cost(order: Order, *, today: date) -> OrderCost:
    """Cost each line of an order by the batches that serve it, and at today's prices. Fetch with ``for_page()``."""
    workshop, terms = Workshop.current(), HouseTerms.current()
    account = account_now(order, today=today)
    rows = account.sum.lines if account.sum else ()
    lines = []
    for index, line in enumerate(order.lines.all()):
        net = rows[index].net / line.bars if rows else None
        batches = list(Batch.objects.filter(serves__line=line).exclude(status__in=GONE).order_by("pour_on"))
        pots = tuple(batch_pots(batches, workshop=workshop, terms=terms).values())
        today_pot = design_pot(_design(line.design_id), workshop=workshop, terms=terms, bars=line.bars, line=line)
        suggestion, missing = _suggestion(line.design_id, today_pot, terms, workshop)
        lines.append(LineCost(line, net, pots, today_pot, suggestion, missing))
    return OrderCost(order, tuple(lines), terms)


def _design(pk: int) -> Design:
    return Design.objects.for_page().prefetch_related("parts__part__ingredients").get(pk=pk)


def _suggestion(
    design_id: int, pot: PotCost, terms: HouseTerms, workshop: Workshop
) -> tuple[SuggestedPrice | None, str]:
    listed = ListPrice.objects.filter(design=design_id).first()
    facts = PriceFacts(
        cost_per_bar=pot.sheet.per_bar if pot.sheet else None,
        bar_grams=pot.bar_grams,
        list_price=listed.price_per_bar if listed else None,
    )
    try:
        return suggested_price(facts, price_rules(terms, currency=workshop.currency)), ""
    except PriceRefused as refusal:
        return None, str(refusal)


def _margin(net_price: Decimal | None, pot: PotCost) -> Margin | None:
    return None if net_price is None or pot.sheet is None else margin_at(net_price, pot.sheet)


def design_cost_panel(design: Design) -> Panel:
    """Cost a design that was fetched for its page; its formula and its materials are read once for all panels."""
    workshop, terms = Workshop.current(), HouseTerms.current()
    pot = design_pot(design, workshop=workshop, terms=terms)
    suggestion, missing = _suggestion(design.pk, pot, terms, workshop)
    margin = _margin(suggestion.price, pot) if suggestion else None
    context = {"pot": pot, "suggestion": suggestion, "no_suggestion": missing, "margin": margin}
    return Panel("production/costing/design_panel.html", context, rank=COST_RANK)


def order_cost_panel(order: Order) -> Panel:
    """A way to the order's cost page; costing an order sizes its batches, which is too much for every visit."""
    return Panel("production/costing/order_panel.html", {"order": order}, rank=COST_RANK)


def freight_panel(_: object) -> Panel:
    return Panel("production/costing/freight_link.html", rank=COST_RANK)
