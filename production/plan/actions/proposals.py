"""Propose a plan, and take all or some of it over into the shop."""

import math
from dataclasses import replace
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from production.batches.asked import BatchRefusal
from production.plan.actions.making import make_planned_batches
from production.plan.actions.moving import PlanRefusal, move_batch
from production.plan.actions.working import start_plan, work_plan
from production.plan.models import PlanRun
from production.plan.records import ShopPlan, shop_plan
from production.planning.plan_answer import PlanStatus
from production.planning.plan_check import check
from production.planning.plan_json import from_json, input_hash
from production.planning.plan_records import Plan, PlanInput
from production.planning.repair import Rung
from soapshop.audit import note_event
from soapshop.models import User

# A part of a plan leaves lines without bars: that is a choice, not a broken rule.
MAY_BE_LEFT = frozenset({"unmet", "not_packed"})


def propose_plan(*, today: date, seconds: float, by: User | None) -> PlanRun:
    """Plan the shop as it stands and wait for it. No batch changes."""
    run = start_plan(today=today, seconds=math.ceil(seconds), by=by)
    return work_plan(run_id=run.pk, seconds=seconds)


def rungs_of(run: PlanRun) -> tuple[Rung, ...]:
    return tuple(from_json(Rung, each) for each in run.answer.get("rungs", ()))


def asked_of_run(run: PlanRun) -> PlanInput:
    return from_json(PlanInput, run.asked)


@transaction.atomic
def accept_plan(*, run_id: int, rung: int, keys: frozenset[str], today: date, by: User) -> PlanRun:
    """Move the chosen batches and make the chosen new ones. The plan is checked again against the shop of now."""
    run = PlanRun.objects.select_for_update().get(pk=run_id)
    if run.accepted_at is not None:
        raise PlanRefusal("This proposal was taken over already. Make a new one.")
    rungs = rungs_of(run)
    if not 0 <= rung < len(rungs) or rungs[rung].answer.status == PlanStatus.BAD_INPUT:
        raise PlanRefusal("That proposal is not there any more. Make a new one.")
    shop = shop_plan(today=today)
    if input_hash(shop.asked) != run.input_hash:
        raise PlanRefusal("Orders, batches or stock have changed since this was proposed. Make a new proposal.")
    plan = rungs[rung].answer.plan
    chosen = _chosen(shop, plan, keys)
    _judge(shop, chosen)
    moved = _move(shop, chosen, by)
    try:
        made = make_planned_batches(shop, plan, chosen=_new_keys(shop, chosen), today=today, by=by)
    except BatchRefusal as refusal:
        raise PlanRefusal(str(refusal)) from refusal
    if not moved and not made:
        raise PlanRefusal("Nothing was chosen. Tick at least one batch.")
    run.accepted_at, run.accepted_by, run.accepted_keys = timezone.now(), by, sorted(keys)
    run.save(update_fields=["accepted_at", "accepted_by", "accepted_keys"])
    text = f"Took over {run}: {len(moved)} moved, {len(made)} new ({', '.join([*moved, *made])})."
    note_event(by=by, verb="accept_plan", subject=run, text=text)
    return run


def _chosen(shop: ShopPlan, plan: Plan, keys: frozenset[str]) -> Plan:
    """The plan with only the chosen changes: every other planned batch where it is, no other new batch."""
    standing = {batch.key: batch for batch in (*shop.asked.fixed, *shop.asked.movable)}
    batches = tuple(
        batch if batch.key in keys else standing[batch.key]
        for batch in plan.batches
        if batch.key in keys or batch.key in standing
    )
    sources = {batch.key for batch in batches} | {lot.key for lot in shop.asked.stock}
    shares = tuple(share for share in plan.shares if share.source in sources)
    return replace(plan, batches=batches, shares=shares)


def _judge(shop: ShopPlan, chosen: Plan) -> None:
    """Refuse what breaks a rule that the shop, left as it is, does not break already."""
    standing = Plan((*shop.asked.fixed, *shop.asked.movable), shop.asked.reserved)
    known = {problem.code for problem in check(shop.asked, standing)} | MAY_BE_LEFT
    ready: dict[str, Any] = dict(chosen.packs)
    packs = tuple((key, day) for key, day in ready.items() if _is_ready(shop, chosen, key, day))
    for problem in check(shop.asked, replace(chosen, packs=packs)):
        if problem.code not in known:
            raise PlanRefusal(f"These changes alone do not fit: {problem.text} Take more of the proposal.")


def _is_ready(shop: ShopPlan, chosen: Plan, key: str, day: date) -> bool:
    release = {batch.key: batch.on("release") for batch in chosen.batches}
    return all(release.get(share.source, day) <= day for share in chosen.shares if share.line == key)


def _move(shop: ShopPlan, chosen: Plan, by: User) -> list[str]:
    standing = {batch.key: batch for batch in shop.asked.movable}
    moved = []
    for batch in chosen.batches:
        before = standing.get(batch.key)
        if before is not None and set(before.days) != set(batch.days):
            move_batch(batch_id=shop.batches[batch.key].pk, days=dict(batch.days), by=by)
            moved.append(batch.key)
    return moved


def _new_keys(shop: ShopPlan, chosen: Plan) -> frozenset[str]:
    standing = {batch.key for batch in (*shop.asked.fixed, *shop.asked.movable)}
    return frozenset(batch.key for batch in chosen.batches if batch.key not in standing)
