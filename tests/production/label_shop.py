"""A small invented shop for the label tests: one order, one poured batch with a seal on every bar and a few toppers."""

from datetime import date, timedelta
from decimal import Decimal

from formulas.actions.revisions import LineDraft, approve_revision, create_formula
from formulas.models import (
    Allergen,
    Design,
    DesignPart,
    DesignRow,
    Material,
    MaterialAllergen,
    Mold,
    Part,
    PartIngredient,
    Portion,
    PortionColor,
)
from orders.actions import LineWish, create_order, move_order, save_customer
from orders.models import Customer
from orders.order_states import OrderState
from production.bar_ledger import BarState
from production.batch_states import BatchState
from production.batches.actions.after_pour import cut_batch
from production.batches.actions.bench import pour_batch, start_batch, weigh_line
from production.batches.actions.planning import plan_batches
from production.batches.models import Batch
from production.cure.models import BarMove, CureWeighing, Release
from production.stock.actions import receive_lot

POUR_DAY = date(2026, 5, 12)
CUT_DAY = POUR_DAY + timedelta(days=1)
TODAY = date(2026, 7, 1)  # seven weeks after the pour
CURE_WEIGHTS = (("0", "128.0"), ("7", "121.5"), ("14", "118.4"), ("28", "115.6"), ("42", "114.9"), ("48", "114.8"))

NAMED = {"has_confirmed_names": True}


def materials() -> dict[str, Material]:
    """Figures near those of the reference tables, so that the superfat comes out as planned."""
    rows = {
        "olive": {
            "name": "Olive oil",
            "kind": "fat",
            "sap_low": "184",
            "sap_plan": "189.3",
            "sap_high": "196",
            "label_name_us": "Olea Europaea (Olive) Fruit Oil",
            "label_name_eu": "Olea Europaea Fruit Oil",
            "soap_name_sodium": "Sodium Olivate",
        },
        "coconut": {
            "name": "Coconut oil",
            "kind": "fat",
            "sap_low": "248",
            "sap_plan": "256",
            "sap_high": "265",
            "label_name_us": "Cocos Nucifera (Coconut) Oil",
            "label_name_eu": "Cocos Nucifera Oil",
            "soap_name_sodium": "Sodium Cocoate",
        },
        "naoh": {
            "name": "Sodium hydroxide",
            "kind": "alkali",
            "alkali_kind": "NaOH",
            "purity_low_percent": "98",
            "purity_percent": "99",
            "purity_high_percent": "100",
            "label_name_us": "Sodium Hydroxide",
            "label_name_eu": "Sodium Hydroxide",
        },
        "water": {
            "name": "Water",
            "kind": "liquid",
            "water_percent": "100",
            "label_name_us": "Water",
            "label_name_eu": "Aqua",
        },
        "scent": {
            "name": "Harbor lavender",
            "kind": "fragrance",
            "label_name_us": "Fragrance",
            "label_name_eu": "Parfum",
            "has_allergen_statement": True,
            "scent_limit_percent": "5",
        },
        "mica": {
            "name": "Sea mica",
            "kind": "colorant",
            "label_name_us": "Mica",
            "label_name_eu": "CI 77019",
            "us_color_listing": "Mica",
            "color_index": "CI 77019",
        },
        "gold": {
            "name": "Gold oxide",
            "kind": "colorant",
            "label_name_us": "Iron Oxides",
            "label_name_eu": "CI 77492",
            "us_color_listing": "Iron Oxides",
            "color_index": "CI 77492",
        },
        "dough": {
            "name": "Soap flakes",
            "kind": "additive",
            "label_name_us": "Sodium Palm Kernelate",
            "label_name_eu": "Sodium Palm Kernelate",
        },
    }
    made = {
        key: Material.objects.create(key=f"test-{key}", **{f: _figure(f, v) for f, v in (figures | NAMED).items()})
        for key, figures in rows.items()
    }
    linalool = Allergen.objects.create(entry="t84", name="Linalool")
    MaterialAllergen.objects.create(material=made["scent"], allergen=linalool, share_percent=Decimal(12))
    return made


def _figure(field, given):
    return Decimal(given) if field.endswith(("_percent", "_low", "_plan", "_high")) else given


def design(stock: dict[str, Material], by, *, name: str = "Harbor Dune") -> Design:
    lines = [
        LineDraft(stock["olive"], "oils", Decimal(70)),
        LineDraft(stock["coconut"], "oils", Decimal(30)),
        LineDraft(stock["naoh"], "alkali", Decimal(100)),
        LineDraft(stock["water"], "liquid", Decimal(100)),
        LineDraft(stock["scent"], "trace", Decimal(3)),
    ]
    figures = {
        "superfat_percent": Decimal(6),
        "liquid_basis": "lye_concentration",
        "liquid_value": Decimal(33),
        "cure_days": 42,
        "least_cure_days": 28,
    }
    revision = create_formula(name=f"{name} base", figures=figures, lines=lines, by=by)
    approve_revision(revision_id=revision.pk, override_reason="tried many times", by=by)
    mold = Mold.objects.create(
        name=f"Loaf for {name}",
        kind="loaf",
        length_mm=Decimal(305),
        width_mm=Decimal(85),
        height_mm=Decimal(65),
        bar_thickness_mm=Decimal(25),
        usable_bars=12,
        owned=2,
    )
    made = Design.objects.create(name=name, formula=revision.formula, mold=mold)
    row = DesignRow.objects.create(design=made, position=1, height_share=Decimal(1))
    portion = Portion.objects.create(row=row, letter="A", name="sea")
    PortionColor.objects.create(portion=portion, material=stock["mica"], percent_of_portion_oils=Decimal("0.5"))
    return made


def parts(stock: dict[str, Material], on: Design) -> tuple[Part, Part]:
    """A seal for every bar, and a topper for some."""
    seal = Part.objects.create(name="Seal", key="seal", kind="seal", unit_grams=Decimal(4), attached_at="cured")
    PartIngredient.objects.create(part=seal, material=stock["dough"], percent=Decimal(95))
    PartIngredient.objects.create(part=seal, material=stock["gold"], percent=Decimal(5))
    shell = Part.objects.create(name="Shell", key="shell", kind="topper", unit_grams=Decimal(6), attached_at="pour")
    PartIngredient.objects.create(part=shell, material=stock["dough"], percent=Decimal(100))
    DesignPart.objects.create(design=on, part=seal, on_every_bar=True)
    DesignPart.objects.create(design=on, part=shell)
    return seal, shell


def planned_batch(
    by, *, bars: int = 10, wording: str = "", with_parts: bool = True, name: str = "Harbor Dune"
) -> Batch:
    stock = {m.key.removeprefix("test-"): m for m in Material.objects.filter(key__startswith="test-")} or materials()
    made = design(stock, by, name=name)
    part_bars = None
    if with_parts:
        seal, shell = parts(stock, made)
        part_bars = {seal.pk: bars, shell.pk: 3}
    return ordered_batch(made, part_bars, by, bars=bars, wording=wording)


def ordered_batch(made: Design, part_bars: dict[int, int] | None, by, *, bars: int = 10, wording: str = "") -> Batch:
    """An accepted order of one line, and the batch planned for it."""
    customer = save_customer(customer=Customer(name=f"Mara Velden of {made}"), avoid_materials=[], by=by, is_new=True)
    order = create_order(
        customer=customer,
        terms={"needed_by": date(2026, 7, 20)},
        lines=[LineWish(made, bars, wording=wording, part_bars=part_bars)],
        by=by,
    )
    for state in (OrderState.QUOTED, OrderState.ACCEPTED):
        move_order(order_id=order.pk, to=state, by=by)
    return plan_batches(order_id=order.pk, today=date(2026, 5, 1), by=by)[0]


def weighed_batch(by, **wish) -> Batch:
    """Every line on the scale, each from its own lot."""
    batch = planned_batch(by, **wish)
    start_batch(batch_id=batch.pk, by=by)
    lots = {}
    for weighing in batch.weighings.all():
        if weighing.material_id not in lots:
            lot = receive_lot(material=weighing.material, received_on=date(2026, 4, 1), grams=Decimal(20000), by=by)
            lots[weighing.material_id] = lot.code
        code = lots[weighing.material_id]
        weigh_line(weighing_id=weighing.pk, lot_code=code, grams=weighing.planned_grams, on=POUR_DAY, by=by)
    return batch


def cut_from(batch: Batch, by) -> Batch:
    pour_batch(batch_id=batch.pk, on=POUR_DAY, by=by, reason="tried")
    finishes = [finish["key"] for finish in batch.frozen["finishes"]]
    counts = {"seal": 7, "seal+shell": 3, "plain": 2} if "seal" in finishes else {"plain": 12}
    return cut_batch(
        batch_id=batch.pk, on=CUT_DAY, bars_by_finish=counts, spoiled=0, by=by, mean_bar_grams=Decimal(128)
    )


def released_batch(by, *, best_from: date | None = None, **wish) -> Batch:
    """Cured and weighed every week, then released; the rows are written as the cure rack writes them."""
    batch = cut_from(weighed_batch(by, **wish), by)
    for days, grams in CURE_WEIGHTS:
        CureWeighing.objects.create(batch=batch, on=CUT_DAY + timedelta(days=int(days)), grams=Decimal(grams), by=by)
    Release.objects.create(batch=batch, decision="released", words="All checks clear.", best_from=best_from, by=by)
    for finish, bars in (("seal", 7), ("seal+shell", 3), ("plain", 2)):
        if batch.bar_moves.filter(finish=finish).exists():
            bars = batch.bar_moves.get(finish=finish).bars
            _move(batch, finish, BarState.IN_CURE, BarState.RELEASED, bars, by)
    batch.status = BatchState.RELEASED.value
    batch.save(update_fields=["status"])
    return Batch.objects.get(pk=batch.pk)


def _move(batch: Batch, finish: str, start: BarState, end: BarState, bars: int, by) -> None:
    BarMove.objects.create(batch=batch, finish=finish, from_state=start.value, to_state=end.value, bars=bars, by=by)
