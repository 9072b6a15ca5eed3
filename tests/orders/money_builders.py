"""A small order with prices, built through the shop's own actions."""

from datetime import date
from decimal import Decimal
from typing import Any

from formulas.models import Design, Formula, FormulaLine, FormulaRevision, Material, Mold
from formulas.models import DesignRow as Layer
from formulas.models import Portion as Jug
from orders.actions import LineWish, create_order, move_order, save_customer
from orders.models import Customer, Order
from orders.order_states import OrderState
from soapshop.models import User

NEEDED_BY = date(2026, 8, 20)


def build_design(name: str = "Two Tides") -> Design:
    olive = Material.objects.get_or_create(
        name="Olive oil", kind=Material.Kind.FAT, defaults={"sap_plan": Decimal(190)}
    )[0]
    lye = Material.objects.get_or_create(name="Lye", kind=Material.Kind.ALKALI, defaults={"alkali_kind": "NaOH"})[0]
    formula = Formula.objects.create(name=f"{name} formula")
    revision = FormulaRevision.objects.create(formula=formula, number=1, status=FormulaRevision.Status.APPROVED)
    FormulaLine.objects.create(revision=revision, material=olive, stage="oils", percent=Decimal(100), position=1)
    FormulaLine.objects.create(revision=revision, material=lye, stage="alkali", percent=Decimal(100), position=2)
    mold = Mold.objects.create(
        name=f"{name} loaf",
        kind="loaf",
        length_mm=Decimal(310),
        width_mm=Decimal(85),
        height_mm=Decimal(65),
        bar_thickness_mm=Decimal(25),
        usable_bars=12,
    )
    design = Design.objects.create(name=name, formula=formula, mold=mold)
    layer = Layer.objects.create(design=design, position=1)
    Jug.objects.create(row=layer, position=1, letter="A", name="sand", color_hex="#e4d3b0")
    return design


def build_customer(*, by: User, name: str = "Maren Holloway", **figures: Any) -> Customer:
    return save_customer(customer=Customer(name=name, **figures), avoid_materials=(), by=by, is_new=True)


def build_order(
    *, by: User, bars: int = 36, price: str | None = "7.90", stage: OrderState = OrderState.ENQUIRY, **terms: Any
) -> Order:
    design = Design.objects.filter(name="Two Tides").first() or build_design()
    order = create_order(
        customer=terms.pop("customer", None) or build_customer(by=by),
        terms={"needed_by": NEEDED_BY, **terms},
        lines=[LineWish(design, bars, price_per_bar=Decimal(price) if price else None)],
        by=by,
    )
    course = [OrderState.QUOTED, OrderState.ACCEPTED, OrderState.IN_PRODUCTION, OrderState.READY, OrderState.PACKED]
    if stage in course:
        for step in course[: course.index(stage) + 1]:
            order = move_order(order_id=order.pk, to=step, by=by)
    return order
