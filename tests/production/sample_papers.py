"""Papers of an invented workshop for the document tests."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl
from production.documents.records import (
    AllergenLine,
    BatchTicketPaper,
    CheckLine,
    CurePlan,
    DeclarationLine,
    DeclarationPaper,
    EmergencyFooter,
    LabelFace,
    PartLine,
    PortionColor,
    PortionLine,
    ProcessStep,
    WeighingLine,
)


def _weighing(phase, step, material, lot, planned, low, high, total=None, note=""):
    return WeighingLine(
        phase=phase,
        step=step,
        material=material,
        lot_code=lot,
        planned_grams=Decimal(planned),
        accept_from_grams=Decimal(low),
        accept_to_grams=Decimal(high),
        running_total_grams=Decimal(total) if total else None,
        note=note,
    )


WEIGHINGS = (
    _weighing("Lye", "1", "Water, distilled", "WA-031", "1497", "1482", "1512"),
    _weighing("Lye", "2", "Sodium hydroxide, beads", "LY-019", "737.4", "733.7", "741.1", note="97 to 99 % pure"),
    _weighing("Oils", "3", "Olive oil", "OO-112", "2000", "1990", "2010", "2000"),
    _weighing("Oils", "4", "Coconut oil", "CO-087", "1250", "1243", "1257", "3250"),
    _weighing("Oils", "5", "Coconut oil", "CO-088", "150", "149", "151", "3400", note="second lot"),
    _weighing("Oils", "6", "Shea butter", "SB-040", "600", "597", "603", "4000"),
    _weighing("Oils", "7", "Rice bran oil", "RB-015", "750", "746", "754", "4750"),
    _weighing("Oils", "8", "Castor oil", "CA-022", "250", "248", "252", "5000"),
    _weighing("Scent", "9", "Lavender oil", "LV-009", "105.0", "103.9", "106.1", "105.0"),
    _weighing("Scent", "10", "Cedarwood oil", "CW-004", "45.0", "44.5", "45.5", "150.0"),
    _weighing("Extra", "11", "Kaolin clay", "", "50.0", "49.0", "51.0"),
    _weighing("Extra", "12", "Sodium lactate, 60 %", "SL-006", "75.0", "74.0", "76.0"),
)
PORTIONS = (
    PortionLine("A", "Base, ivory", Decimal("3150"), (), "pour first", "thin trace"),
    PortionLine(
        "B", "Deep blue", Decimal("1400"), (PortionColor("Ultramarine blue", Decimal("9.8")),), "second", "thin"
    ),
    PortionLine(
        "C", "Dusk violet", Decimal("1250"), (PortionColor("Manganese violet", Decimal("7.5")),), "third", "medium"
    ),
    PortionLine(
        "D",
        "Slate",
        Decimal("900"),
        (PortionColor("Iron oxide black", Decimal("1.8")), PortionColor("Titanium dioxide", Decimal("2.7"))),
        "fourth",
        "medium",
    ),
    PortionLine("E", "Pencil line, gold mica", Decimal("12.0"), (), "sieve between C and D"),
)
STEPS = (
    ProcessStep(
        1,
        "Stir the lye into the cold water, a little at a time.",
        "below 35 °C",
        "°C",
        (
            "Lye into liquid, never liquid onto lye. Heat-proof plastic or stainless steel; no aluminum, tin or zinc.",
            "Goggles, gloves, sleeves, closed shoes. Ventilate; do not breathe the first vapor.",
        ),
    ),
    ProcessStep(2, "Melt the butters, add the liquid oils, let cool.", "38 to 43 °C", "°C"),
    ProcessStep(3, "Add clay and lactate to the oils. Blend until even."),
    ProcessStep(4, "Pour the lye into the oils through a sieve. Blend in short bursts.", "thin trace", "min"),
    ProcessStep(
        5, "Stir in the scent by hand.", "below 40 °C", "°C", ("This scent hurries the batter: mold ready first.",)
    ),
    ProcessStep(6, "Divide into jugs A to E by weight and color them."),
    ProcessStep(7, "Pour by the drawing. Tap the mold ten times.", "15 min", "min"),
    ProcessStep(8, "Cover, insulate, leave alone.", "24 h", "h"),
    ProcessStep(9, "Unmold and cut to 25 mm.", "48 bars", "bars", ("Fresh bars are still caustic: gloves.",)),
)
DRAWING = DrawnBar(
    title="Dusk over Harbor Hill",
    width_mm=Decimal(80),
    height_mm=Decimal(55),
    rows=(
        DrawnRow(Decimal(3), (DrawnCell("A", "#f4ecd8", Decimal(1), "ivory"),)),
        DrawnRow(
            Decimal(4),
            (DrawnCell("B", "#28408c", Decimal(1), "deep blue"), DrawnCell("C", "#8a5c9c", Decimal(1), "dusk violet")),
            (DrawnSwirl("E", "#d6b24c", Decimal(6), "gold line"),),
        ),
        DrawnRow(Decimal(2), (DrawnCell("D", "#4c4c54", Decimal(1), "slate"),)),
    ),
    parts=(DrawnPart("topper", "Pressed sprig topper", "#7a8f5a", "24 of 48 bars"),),
)
TICKET = BatchTicketPaper(
    batch_number="B-2026-041",
    product="Dusk over Harbor Hill",
    formula_code="HH-04",
    formula_revision="3",
    formula_approved_date=date(2026, 10, 2),
    oil_grams=Decimal("5000"),
    total_grams=Decimal("7509.4"),
    bar_count=48,
    mold="Slab no. 2, 48 bars",
    printed_at=datetime(2026, 11, 24, 14, 5, tzinfo=UTC),
    printed_by="Mara",
    copy_number=2,
    order_numbers=("1042", "1047", "1051"),
    before_start=(
        "Area clear; pot, mold 2 and mixer clean",
        "Scale checked with the weight",
        "All lots on the bench and released",
        "Goggles, gloves, apron on",
        "Tap clear, window open, fan on",
        "Ticket read once with fresh eyes",
    ),
    equipment="pot 2, slab mold no. 2, stick blender, scale S1",
    weighings=WEIGHINGS,
    portions=PORTIONS,
    drawing=DRAWING,
    steps=STEPS,
    parts=(
        PartLine("Pressed sprig topper", 26, 2, "TP-011", "on 24 bars"),
        PartLine("Wax seal, bee", 50, 2, "SE-003", "after cure"),
        PartLine("Pour divider, 3 walls", 1),
    ),
    in_process_checks=(CheckLine("Batter temperature at pour", "35 to 40 °C", "°C"),),
    yield_points=(
        CheckLine("Sum weighed", "7509 g", "g"),
        CheckLine("In the mold", "97 to 100 %", "g"),
        CheckLine("Left in pot and jugs", "to 2 %", "g"),
        CheckLine("Bars cut", "48", "bars"),
        CheckLine("Ends, trims, spoiled", "to 5 %", "g"),
    ),
    cure=CurePlan(date(2026, 11, 25), date(2026, 12, 23), (date(2026, 12, 2), date(2026, 12, 9), date(2026, 12, 16))),
    release_checks=(
        CheckLine("Alkali", "drop stays clear", "", "phenolphthalein"),
        CheckLine("pH", "8 to 10.5", "pH", "strip"),
        CheckLine("Superfat from weights", "1 to 9 %", "%"),
        CheckLine("Sample kept", "2 bars", "bars"),
        CheckLine("Labels, version and count", "", ""),
    ),
    emergency=EmergencyFooter("tap by the back door", "911", "1-800-222-1222"),
    scan_text="https://shop.example/batches/41/",
    shop_name="Harbor Hill Soap Room",
)
LONG_TICKET = replace(
    TICKET,
    weighings=tuple(replace(line, step=f"{turn + 1}.{line.step}") for turn in range(3) for line in WEIGHINGS),
    portions=tuple(replace(jug, letter=f"{jug.letter}{turn}") for turn in range(3) for jug in PORTIONS),
    steps=tuple(replace(step, number=step.number + 9 * turn) for turn in range(3) for step in STEPS),
)

LABEL = LabelFace(
    brand="Harbor Hill Soap Room",
    product="Dusk over Harbor Hill",
    net_weight="Net Wt 4.25 oz (120 g)",
    net_weight_min_mm=Decimal("1.5875"),  # 1/16 in: panel of 5 square inches or less
    ingredients=(
        "Ingredients: Olive Oil, Water, Coconut Oil, Rice Bran Oil, Sodium Hydroxide, Shea Butter, Castor Oil, "
        "Lavender Oil, Cedarwood Oil, Sodium Lactate, Kaolin, Ultramarines, Manganese Violet, Iron Oxides, "
        "Titanium Dioxide."
    ),
    ingredients_min_mm=Decimal("0.79375"),  # 1/32 in: less than 12 square inches in all
    batch_number="B-2026-041",
    maker_lines=("Harbor Hill Soap Room", "12 Quay Lane, Merrow Point, ME 04999"),
    best_from="Best from Dec 23, 2026",
)
DECLARATION = DeclarationPaper(
    product="Dusk over Harbor Hill",
    batch_number="B-2026-041",
    market="US cosmetic",
    style="as added",
    declaration=LABEL.ingredients,
    lines=(
        DeclarationLine(
            "Olive Oil", Decimal("2003.0"), Decimal("26.68"), "above 1 percent, by weight", "Olive oil, OO-112"
        ),
        DeclarationLine(
            "Water", Decimal("1527.0"), Decimal("20.34"), "above 1 percent, by weight", "Water; lactate, SL-006"
        ),
        DeclarationLine(
            "Kaolin", Decimal("50.0"), Decimal("0.67"), "1 percent or less: any order", "Kaolin clay, KA-002"
        ),
        DeclarationLine(
            "Ultramarines", Decimal("9.8"), Decimal("0.13"), "color: after the rest", "Ultramarine blue, UB-007"
        ),
    ),
    total_grams=Decimal("7506.6"),
    printed_at=datetime(2026, 11, 24, 14, 5, tzinfo=UTC),
    printed_by="Mara",
    formula_code="HH-04",
    formula_revision="3",
    finish="with sprig topper",
    made_date=date(2026, 11, 25),
    basis="weights recorded at the bench",
    allergens=(
        AllergenLine("Linalool", Decimal("0.4410"), Decimal("0.01"), "declare", "Lavender oil, LV-009"),
        AllergenLine("Geraniol", Decimal("0.0061"), Decimal("0.01"), "below", "Lavender oil, LV-009"),
        AllergenLine("Alpha-Cedrene", None, Decimal("0.01"), "unknown", "Cedarwood oil, CW-004: no data sheet"),
    ),
    findings=(
        "Cedarwood oil, lot CW-004, has no allergen data. Ask the supplier for the sheet before printing labels.",
    ),
    sources=("21 CFR 701.3, read November 2026", "Regulation (EU) 2023/1545 thresholds for rinse-off products"),
    maker_lines=LABEL.maker_lines,
    shop_name="Harbor Hill Soap Room",
)
