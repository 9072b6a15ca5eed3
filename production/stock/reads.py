"""What the stores page shows: every material and part in use, and what runs short before which pour."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Count, Max, Min, Q, Sum

from formulas.models import FormulaLine, FormulaRevision, Material
from production.lot_states import LotState
from production.stock.models import Lot, PartLot, Supplier
from production.stock.needs import (
    PartNeed,
    material_needs,
    material_supplies,
    needs_of_parts,
    open_lines,
    part_needs,
)
from production.stock.shortages import Need, Shortage, Supply, shortages

NO_GRAMS = Decimal(0)


@dataclass(frozen=True)
class ShelfFilter:
    """Which rows to show: one kind or all, only what runs short, only what holds lots out of date."""

    kind: str = ""
    only: str = ""

    @property
    def is_on(self) -> bool:
        return bool(self.kind or self.only)


@dataclass(frozen=True)
class MaterialRow:
    """Grams of one material. ``on_hand`` is released and in date; the other three lie beside it and may not be used."""

    material: Material
    on_hand: Decimal
    promised: Decimal
    quarantined: Decimal
    held: Decimal
    out_of_date: Decimal
    lots: int
    first_use_by: date | None
    shortage: Shortage | None
    supplier: Supplier | None

    @property
    def free(self) -> Decimal:
        return max(self.on_hand - self.promised, NO_GRAMS)

    @property
    def order_by(self) -> date | None:
        lead_days = self.supplier.lead_days if self.supplier else None
        return self.shortage.order_by(lead_days) if self.shortage else None


@dataclass(frozen=True)
class PartRow:
    """Pieces of one part, with its lots."""

    part_id: int
    name: str
    on_hand: int
    needed: int
    first_use_by: date | None
    lots: tuple[PartLot, ...]
    shortage: Shortage | None

    @property
    def free(self) -> int:
        return max(self.on_hand - self.needed, 0)


@dataclass(frozen=True)
class StoresPage:
    materials: tuple[MaterialRow, ...]
    parts: tuple[PartRow, ...]
    short_materials: tuple[MaterialRow, ...]
    short_parts: tuple[PartRow, ...]
    quarantined_lots: int
    planned_batches: int

    @property
    def shortages(self) -> int:
        return len(self.short_materials) + len(self.short_parts)

    @property
    def first_bite(self) -> date | None:
        rows: tuple[MaterialRow | PartRow, ...] = (*self.short_materials, *self.short_parts)
        return min((_first_to_bite(row) for row in rows if row.shortage is not None), default=None)


def stores_page(shown: ShelfFilter, *, today: date) -> StoresPage:
    """Return the whole shelf in a fixed number of queries."""
    lines = open_lines()
    needs = material_needs(lines, today=today)
    short = shortages(material_supplies(needs, today=today), needs)
    rows = _material_rows(needs, short, today=today)
    wanted = part_needs()
    parts = _part_rows(wanted, today=today)
    return StoresPage(
        materials=tuple(row for row in rows if _is_shown(row, shown)),
        parts=tuple(row for row in parts if shown.only != "short" or row.shortage) if not shown.kind else (),
        short_materials=tuple(sorted((row for row in rows if row.shortage), key=_first_to_bite)),
        short_parts=tuple(sorted((row for row in parts if row.shortage), key=_first_to_bite)),
        quarantined_lots=sum(1 for row in rows if row.quarantined),
        planned_batches=len({line.batch for line in lines} | {need.batch for need in wanted}),
    )


def _first_to_bite(row: MaterialRow | PartRow) -> date:
    return row.shortage.on if row.shortage else date.max


def _is_shown(row: MaterialRow, shown: ShelfFilter) -> bool:
    if shown.kind and row.material.kind != shown.kind:
        return False
    if shown.only == "short":
        return row.shortage is not None
    return shown.only != "out_of_date" or bool(row.out_of_date)


def _material_rows(needs: Iterable[Need], short: dict[int, Shortage], *, today: date) -> list[MaterialRow]:
    promised: defaultdict[int, Decimal] = defaultdict(Decimal)
    for need in needs:
        promised[need.key] += need.amount
    stock = {row["material_id"]: row for row in _lot_sums(today)}
    formulas = FormulaLine.objects.filter(revision__status=FormulaRevision.Status.APPROVED)
    in_formulas = set(formulas.values_list("material_id", flat=True))
    materials = Material.objects.filter(pk__in=in_formulas | set(stock) | set(promised)).order_by("kind", "name")
    suppliers = _last_suppliers(set(short))
    return [
        _material_row(material, stock.get(material.pk, {}), promised, short, suppliers)
        for material in materials.only("name", "kind")
    ]


def _lot_sums(today: date) -> Iterable[Any]:
    """Add up the lots of each material in whole milligrams, state by state; one query."""
    in_date = Q(expires_on__isnull=True) | Q(expires_on__gte=today)
    usable = in_date & Q(status=LotState.RELEASED.value)
    return (
        Lot.objects.on_the_shelf()
        .order_by()
        .values("material_id")
        .annotate(
            on_hand=Sum("grams_left", filter=usable),
            quarantined=Sum("grams_left", filter=in_date & Q(status=LotState.QUARANTINE.value)),
            held=Sum("grams_left", filter=in_date & Q(status__in=[LotState.HELD.value, LotState.REJECTED.value])),
            out_of_date=Sum("grams_left", filter=Q(expires_on__lt=today)),
            first_use_by=Min("expires_on", filter=usable),
            lots=Count("pk"),
        )
    )


def _material_row(
    material: Material,
    sums: dict[str, Any],
    promised: dict[int, Decimal],
    short: dict[int, Shortage],
    suppliers: dict[int, Supplier],
) -> MaterialRow:
    return MaterialRow(
        material=material,
        on_hand=sums.get("on_hand") or NO_GRAMS,
        promised=promised.get(material.pk, NO_GRAMS),
        quarantined=sums.get("quarantined") or NO_GRAMS,
        held=sums.get("held") or NO_GRAMS,
        out_of_date=sums.get("out_of_date") or NO_GRAMS,
        lots=sums.get("lots") or 0,
        first_use_by=sums.get("first_use_by"),
        shortage=short.get(material.pk),
        supplier=suppliers.get(material.pk),
    )


def _last_suppliers(material_ids: set[int]) -> dict[int, Supplier]:
    """Return who delivered these materials last; one query."""
    newest = Lot.objects.filter(material_id__in=material_ids, supplier__isnull=False).values("material_id")
    last = newest.annotate(last=Max("pk")).order_by().values("last")
    lots = Lot.objects.filter(pk__in=last).select_related("supplier")
    return {lot.material_id: lot.supplier for lot in lots if lot.supplier is not None}


def _part_rows(wanted: Iterable[PartNeed], *, today: date) -> list[PartRow]:
    lots: defaultdict[int, list[PartLot]] = defaultdict(list)
    names: dict[int, str] = {}
    pieces: defaultdict[int, int] = defaultdict(int)
    for lot in PartLot.objects.filter(pieces_left__gt=0).select_related("part").first_to_go():
        lots[lot.part_id].append(lot)
        names[lot.part_id] = lot.part.name
    for need in wanted:
        pieces[need.part_id] += need.pieces
        names.setdefault(need.part_id, need.part)
    usable = [lot for own in lots.values() for lot in own if not lot.is_held and not lot.is_out_of_date(today)]
    supplies = [Supply(lot.part_id, Decimal(lot.pieces_left), lot.use_by) for lot in usable]
    short = shortages(supplies, needs_of_parts(wanted, today=today))
    return [
        PartRow(
            part_id=part_id,
            name=name,
            on_hand=sum(lot.pieces_left for lot in usable if lot.part_id == part_id),
            needed=pieces[part_id],
            first_use_by=min((lot.use_by for lot in usable if lot.part_id == part_id and lot.use_by), default=None),
            lots=tuple(lots[part_id]),
            shortage=short.get(part_id),
        )
        for part_id, name in sorted(names.items(), key=lambda item: item[1].lower())
    ]
