"""A bar that was cut plain gets a topper, or loses its seal: it moves to another finish, with parts from the shelf."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from uuid import UUID

from django.db import transaction

from formulas.finishes import finish_key
from formulas.models import DesignPart, Part
from formulas.part_windows import PartWindowError, check_attach_day
from production.bar_ledger import PLAIN, BarState
from production.batches.actions.bench import locked_batch
from production.batches.freezing import freeze_part
from production.batches.frozen import FrozenFinish
from production.batches.models import Batch
from production.batches.records import freeze_material, plan_of
from production.cure.actions.bars import write_move
from production.cure.bar_counts import bar_counts, finish_words
from production.cure.models import BarMove, Release
from production.cure.refusal import CureRefusal
from production.stock.actions import StockRefusal, use_parts
from production.stock.models import PartLot
from soapshop.audit import note_event
from soapshop.frozen_json import to_json
from soapshop.models import User

FROM = (BarState.IN_CURE, BarState.RELEASED)


@transaction.atomic
def change_finish(
    *,
    batch_id: int,
    finish: str,
    from_state: BarState,
    to_finish: str,
    bars: int,
    on: date,
    by: User,
    part_lots: Mapping[str, int] | None = None,
    reason: str = "",
    typed_once: UUID | None = None,
) -> list[BarMove]:
    """Set parts on bars, or take them off. ``part_lots`` names the lot of each part that goes on, by its key.

    A part that is taken off is not put back on the shelf. The same form sent twice has one effect.
    """
    batch = locked_batch(batch_id)
    if typed_once is not None and BarMove.objects.filter(typed_once=typed_once).exists():
        return []
    had, gets = _keys(finish), _keys(to_finish)
    if finish_key(tuple(had)) == finish_key(tuple(gets)):
        raise CureRefusal("These bars have that finish already. Choose another one.")
    if from_state not in FROM:
        raise CureRefusal("Parts go on bars in cure or on released bars. Give bars back from their order first.")
    _refuse_too_many(batch, finish, from_state, bars)
    added = [key for key in gets if key not in had]
    if set(had) - set(gets) and not reason.strip():
        raise CureRefusal("Say in a few words why a part comes off.")
    parts = _parts(batch, added)
    for part, each in parts.items():
        _refuse_late(batch, part, on=on)
        if part.is_work:
            continue
        _take_pieces(batch, part, (part_lots or {}).get(part.key), bars * each, on=on, by=by)
    key = finish_key(tuple(gets))
    _remember(batch, key, tuple(sorted(gets)), parts, bars=bars)
    names = {part.key: part.name for part in plan_of(batch).parts}
    before, after = finish_words(finish, names), finish_words(key, names)
    note = reason.strip() or f"{before} → {after}"
    moves = _refile(batch, finish, key, from_state, bars, note=note, by=by, typed_once=typed_once)
    text = f"{batch}: {bars} bars from {before} to {after}. {reason.strip()}"
    note_event(by=by, verb="change_finish", subject=batch, text=text.strip()[:400])
    return moves


def _keys(finish: str) -> list[str]:
    return [] if finish == PLAIN else finish.split("+")


def _refuse_too_many(batch: Batch, finish: str, state: BarState, bars: int) -> None:
    now = bar_counts([batch.pk]).get(batch.pk, {}).get(finish)
    there = now.at(state) if now else 0
    if not 1 <= bars <= there:
        raise CureRefusal(f"{there} of these bars are there. Enter from 1 to {there}." if there else "None are there.")


def _parts(batch: Batch, keys: list[str]) -> dict[Part, int]:
    """Return the parts that go on with their pieces a bar; the design must carry them, and they must fit a cut bar."""
    carried = DesignPart.objects.filter(design_id=batch.design_id, part__key__in=keys).select_related("part")
    found = {each.part.key: each for each in carried}
    for key in keys:
        if key not in found:
            raise CureRefusal(f"{batch.design} carries no part “{key[:40]}”. Add it to the design first.")
        if found[key].part.attached_at == Part.AttachedAt.POUR:
            raise CureRefusal(f"{found[key].part.name} goes in at the pour; it cannot be set on a bar that is cut.")
    return {found[key].part: found[key].pieces_per_bar for key in keys}


def _refuse_late(batch: Batch, part: Part, *, on: date) -> None:
    """Refuse a part that joins fresh faces once those have dried; a part for cured bars has no such window."""
    if batch.cut_on is None:
        raise CureRefusal(f"{batch} is not cut yet. Cut and count its bars first.")
    window = part.attach_window_days if part.attached_at == Part.AttachedAt.CUT else None
    try:
        check_attach_day(part.name, cut_on=batch.cut_on, attach_on=on, window_days=window)
    except PartWindowError as refusal:
        raise CureRefusal(str(refusal)) from refusal


def _take_pieces(batch: Batch, part: Part, lot_id: int | None, pieces: int, *, on: date, by: User) -> None:
    lot = PartLot.objects.filter(pk=lot_id, part=part).first() if lot_id else None
    if lot is None:
        raise CureRefusal(f"Name the lot that {part.name} is taken from. Make or count pieces in the stores first.")
    try:
        use_parts(part_lot_id=lot.pk, pieces=pieces, on=on, batch_id=batch.pk, by=by, note="Set on after the cut")
    except StockRefusal as refusal:
        raise CureRefusal(str(refusal)) from refusal


def _remember(batch: Batch, key: str, part_keys: tuple[str, ...], parts: Mapping[Part, int], *, bars: int) -> None:
    """Add to the batch's frozen plan what it does not know yet, so that its papers and labels can name the finish."""
    plan = plan_of(batch)
    known = {part.key for part in plan.parts}
    new = [freeze_part(part, pieces=bars * each, per_bar=each) for part, each in parts.items() if part.key not in known]
    names = {part.key: part.name for part in (*plan.parts, *new)}
    finishes = plan.finishes
    if key not in {finish.key for finish in finishes}:
        label = " + ".join(names.get(part, part) for part in part_keys) or "Plain"
        finishes = (*finishes, FrozenFinish(key=key, label=label, part_keys=part_keys, bars=0))
    if not new and finishes == plan.finishes:
        return
    have = {material.material_id for material in plan.materials}
    items = [item for part in parts for item in part.ingredients.select_related("material")]
    more = {item.material_id: freeze_material(item.material) for item in items if item.material_id not in have}
    plan = replace(plan, parts=(*plan.parts, *new), finishes=finishes, materials=(*plan.materials, *more.values()))
    batch.frozen = to_json(plan)
    batch.save(update_fields=["frozen"])


def _refile(
    batch: Batch,
    finish: str,
    key: str,
    state: BarState,
    bars: int,
    *,
    note: str,
    by: User,
    typed_once: UUID | None,
) -> list[BarMove]:
    """Take the bars out of one finish's book and enter them in the other's, at the same place."""
    decision = batch.releases.filter(decision=Release.Decision.RELEASED).first()
    way = [BarState.IN_CURE] if state == BarState.IN_CURE else [BarState.RELEASED, BarState.IN_CURE]
    moves = [
        write_move(batch, finish, start, end, bars, by=by, note=note, is_correction=True)
        for start, end in zip(way, [*way[1:], BarState.MADE], strict=True)
    ]
    first = BarMove.objects.create(
        batch=batch,
        finish=key,
        from_state=BarState.MADE.value,
        to_state=BarState.IN_CURE.value,
        bars=bars,
        by=by,
        note=note[:200],
        typed_once=typed_once,
    )
    moves.append(first)
    if state == BarState.RELEASED:
        moves.append(
            write_move(batch, key, BarState.IN_CURE, BarState.RELEASED, bars, by=by, note=note, decision=decision)
        )
    return moves
