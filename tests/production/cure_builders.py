"""A workshop with bars on the rack, built through the actions that the pages use."""

from datetime import date, timedelta
from decimal import Decimal

from formulas.actions.revisions import LineDraft, approve_revision, create_formula
from formulas.models import Design, DesignPart, DesignRow, Material, Mold, Part, Portion
from orders.actions import LineWish, create_order, move_order, save_customer
from orders.models import Customer, Order
from orders.order_states import OrderState
from production.batches.actions.after_pour import cut_batch, decide_deviation
from production.batches.actions.bench import pour_batch, start_batch, weigh_line
from production.batches.actions.planning import plan_batches
from production.batches.models import Batch
from production.cure.actions.checks import CheckReading, enter_check
from production.cure.actions.review import release_batch
from production.cure.actions.weighing import weigh_bars
from production.stock.actions import receive_lot
from soapshop.models import User

POUR_DAY = date(2026, 3, 2)
CUT_DAY = POUR_DAY + timedelta(days=1)
READY_DAY = POUR_DAY + timedelta(days=42)
# A fresh bar of 130 g: 130 → 117.0 → 116.6 loses 0.4 / 117.0 = 0.34 % in the last week (worked by hand).
STEADY = ((0, "130"), (34, "117.0"), (41, "116.6"))


def material(key: str, name: str, kind: str, **figures: object) -> Material:
    return Material.objects.get_or_create(key=key, defaults={"name": name, "kind": kind, **figures})[0]


def make_design(
    by: User, name: str = "Dune", *, usable_bars: int = 12, more_lines: tuple[LineDraft, ...] = ()
) -> Design:
    """A design with a seal and a topper to choose, on a plain formula of olive and coconut."""
    olive = material(
        "olive", "Olive oil", "fat", sap_low=184, sap_plan=190, sap_high=196, density_g_per_ml=Decimal("0.912")
    )
    coconut = material(
        "coconut", "Coconut oil", "fat", sap_low=250, sap_plan=257, sap_high=264, density_g_per_ml=Decimal("0.922")
    )
    naoh = material(
        "naoh", "Sodium hydroxide", "alkali", alkali_kind="NaOH", purity_low_percent=98, purity_percent=99,
        purity_high_percent=100,
    )  # fmt: skip
    water = material("water", "Water", "liquid", water_percent=100, density_g_per_ml=1)
    revision = create_formula(
        name=f"Formula of {name}",
        figures={
            "superfat_percent": Decimal(6),
            "liquid_basis": "lye_concentration",
            "liquid_value": Decimal(33),
            "cure_days": 42,
            "least_cure_days": 28,
        },
        lines=[
            LineDraft(olive, "oils", Decimal(70)),
            LineDraft(coconut, "oils", Decimal(30)),
            LineDraft(naoh, "alkali", Decimal(100)),
            LineDraft(water, "liquid", Decimal(100)),
            *more_lines,
        ],
        by=by,
    )
    approve_revision(revision_id=revision.pk, override_reason="tried often", by=by)
    mold = Mold.objects.create(
        name=f"Loaf for {name}", kind="loaf", length_mm=305, width_mm=85, height_mm=65, bar_thickness_mm=25,
        usable_bars=usable_bars, owned=2,
    )  # fmt: skip
    design = Design.objects.create(name=name, formula=revision.formula, mold=mold)
    row = DesignRow.objects.create(design=design, position=1, height_share=1)
    Portion.objects.create(row=row, letter="A", name="sand")
    for key, kind in (("seal", "seal"), ("shell", "topper")):
        part = Part.objects.get_or_create(
            key=key, defaults={"name": key.title(), "kind": kind, "unit_grams": Decimal(4), "attached_at": "cut"}
        )[0]
        DesignPart.objects.create(design=design, part=part)
    return design


def make_order(
    design: Design, bars: int, *, needed_by: date, by: User, customer: str = "Mara Velden", parts: dict | None = None
) -> Order:
    """An accepted order; `parts` gives bars by the key of the part."""
    keys = {carried.part.key: carried.part_id for carried in design.parts.select_related("part")}
    wish = LineWish(design, bars, part_bars={keys[key]: count for key, count in (parts or {}).items()})
    buyer = save_customer(customer=Customer(name=customer), avoid_materials=[], by=by, is_new=True)
    order = create_order(customer=buyer, terms={"needed_by": needed_by}, lines=[wish], by=by)
    for state in (OrderState.QUOTED, OrderState.ACCEPTED):
        move_order(order_id=order.pk, to=state, by=by)
    return Order.objects.get(pk=order.pk)


def make_cut(
    order: Order, *, by: User, poured_on: date = POUR_DAY, bars: dict[str, int] | None = None, spoiled: int = 1
) -> Batch:
    """Plan the order's first batch, weigh it as planned, pour it and cut it the day after."""
    batch = plan_batches(order_id=order.pk, today=poured_on, by=by, pour_on=poured_on)[0]
    start_batch(batch_id=batch.pk, by=by)
    lots: dict[int, str] = {}
    for line in batch.weighings.select_related("material"):
        if line.material_id not in lots:
            lots[line.material_id] = receive_lot(
                material=line.material, received_on=poured_on, grams=Decimal(9000), by=by
            ).code
        weigh_line(weighing_id=line.pk, lot_code=lots[line.material_id], grams=line.planned_grams, on=poured_on, by=by)
    pour_batch(batch_id=batch.pk, on=poured_on, by=by)
    cut = cut_batch(
        batch_id=batch.pk,
        on=poured_on + timedelta(days=1),
        bars_by_finish=bars or {"plain": 11},
        spoiled=spoiled,
        by=by,
        mean_bar_grams=Decimal(130),
        reason="The loaf came out small.",
    )
    for deviation in cut.deviations.filter(decision=""):
        decide_deviation(deviation_id=deviation.pk, decision="accept", words="Counted twice.", by=by)
    return cut


def weigh_steady(batch: Batch, *, by: User, mark: str = "1") -> None:
    """Weigh a marked bar at the cut and in the last two weeks, until the loss is small."""
    assert batch.cut_on is not None
    for days, grams in STEADY:
        on = batch.cut_on + timedelta(days=days)
        weigh_bars(batch_id=batch.pk, weights={mark: Decimal(grams)}, on=on, today=on, by=by)


def check_clear(batch: Batch, *, on: date, by: User) -> None:
    """Looks normal and 0.85 mL of 0.1 mol/L on 10 g: 0.034 % NaOH (ISO 456 arithmetic, worked by hand)."""
    enter_check(batch_id=batch.pk, reading=CheckReading(method="looks"), on=on, today=on, by=by)
    titration = CheckReading(
        method="titration", acid_ml=Decimal("0.85"), acid_mol_per_l=Decimal("0.1"), soap_grams=Decimal(10)
    )
    enter_check(batch_id=batch.pk, reading=titration, on=on, today=on, by=by)


def make_ready(batch: Batch, *, by: User) -> Batch:
    """Bring a batch to review by facts: six weeks, steady weights, clear tests."""
    assert batch.poured_on is not None
    weigh_steady(batch, by=by)
    check_clear(batch, on=batch.poured_on + timedelta(days=42), by=by)
    return Batch.objects.get(pk=batch.pk)


def make_released(batch: Batch, *, by: User, best_before: date | None = None) -> Batch:
    make_ready(batch, by=by)
    assert batch.poured_on is not None
    release_batch(
        batch_id=batch.pk,
        words="Steady, clear and hard.",
        today=batch.poured_on + timedelta(days=42),
        by=by,
        best_before=best_before,
    )
    return Batch.objects.get(pk=batch.pk)


def places(batch: Batch) -> dict[str, dict[str, int]]:
    """Where the bars of a batch are, by finish; proves on the way that every bar made is somewhere."""
    from production.cure.bar_counts import bar_counts

    found = {}
    for finish, now in bar_counts([batch.pk])[batch.pk].items():
        assert now.made == now.accounted, f"{finish}: {now.made} made, {now.accounted} accounted for"
        assert min(now.places.values()) >= 0
        found[finish] = {state.value: bars for state, bars in now.places.items() if bars}
    return found
