"""Tracing through the shop's own books: both ways, through parts, repacked lots and the ends of earlier batches."""

from datetime import date
from decimal import Decimal
from itertools import chain
from random import Random

import pytest
from django.db import transaction

from formulas.models import Part
from orders.models import Customer
from production.bar_ledger import PLACES, BarState
from production.batches.actions.after_pour import hold_batch
from production.batches.actions.bench import undo_weighing
from production.batches.models import Weighing
from production.cure.actions.reserving import allocate_bars
from production.stock.actions import make_part_lot, receive_lot, save_supplier, use_parts
from production.stock.models import Lot, Origin, PartMove
from production.tracing.graph import Edge, batch, lot, part_lot, walk
from production.tracing.kin import Holding, ancestors, descendants, kin_edges
from production.tracing.reads import trace_page, whole_trace
from production.tracing.records import GONE_OUT, HERE, LET_GO, NO_MORE, WITH_ORDERS, Bars
from production.tracing.subjects import NotFound, find_subject
from production.tracing.words import answer, bars_sentence, duration
from tests.production.builders import TODAY, weighed_batch
from tests.production.cure_builders import make_cut, make_design, make_order, make_released
from tests.production.stores_shop import material


def trace(typed):
    return whole_trace(find_subject(typed))


@pytest.fixture
def released(owner, workshop):
    """One order of 6 bars, its batch of 11 released, 6 of them kept for it."""
    order = make_order(make_design(owner), 6, needed_by=date(2026, 6, 1), by=owner)
    Customer.objects.update(email="mara@velden.example", phone="555 0134")
    made = make_released(make_cut(order, by=owner), by=owner)
    allocate_bars(order_id=order.pk, today=date(2026, 4, 20), by=owner)
    return order, made


def test_a_lot_leads_to_its_batches_bars_and_customers(released):
    order, made = released
    code = made.weighings.get(material__key="olive").lot.code
    found = trace(code)
    assert [row.number for row in found.batches] == [made.number]
    assert (found.bars.made, found.bars.here, found.bars.with_orders, found.bars.no_more) == (12, 5, 6, 1)
    assert (found.bars.gap, found.bars.accounted_percent) == (0, 100)
    (call,) = found.calls
    assert (call.order, call.customer, call.kept, call.shipped) == (order.number, "Mara Velden", 6, 0)
    assert call.reach == "555 0134, mara@velden.example"


def test_a_bar_leads_back_to_every_lot_with_supplier_and_lot(released):
    _, made = released
    found = trace(made.number)
    assert {row.material for row in found.from_lots} == {"Olive oil", "Coconut oil", "Sodium hydroxide", "Water"}
    assert [row.number for row in found.batches] == [made.number]


def test_an_order_leads_to_its_batches_and_all_who_share_them(released):
    order, made = released
    found = trace(order.number)
    assert [row.number for row in found.batches] == [made.number]
    assert len(found.from_lots) == 4
    assert [call.order for call in found.calls] == [order.number]


def test_rule_g18_the_accounts_close_batch_by_batch_also_on_hold(released, owner):
    _, made = released
    hold_batch(batch_id=made.pk, reason="Supplier's notice", by=owner)
    bars = trace(made.number).bars_of(made.number)
    assert (bars.made, bars.accounted, bars.gap) == (12, 12, 0)


def test_an_undone_weighing_leads_nowhere(owner, workshop):
    made, lots = weighed_batch(owner)
    line = made.weighings.get(material__key="olive")
    assert trace(lots[line.material_id]).batch_count == 1
    undo_weighing(weighing_id=line.pk, reason="Wrong tub", by=owner)
    assert trace(lots[line.material_id]).batch_count == 0


def make_origin(owner, **where):
    return Origin.objects.create(by=owner, **where)


def test_through_parts_repacked_lots_and_ends_of_earlier_batches(released, owner):
    """Scent lot → repacked lot → pieces → batch → its ends → another batch: five steps, found both ways."""
    _, made = released
    first = receive_lot(material=material("scent", kind="fragrance"), received_on=TODAY, grams=Decimal(500), by=owner)
    small = receive_lot(material=first.material, received_on=TODAY, grams=Decimal(100), by=owner)
    piece = Part.objects.get(key="seal")
    pieces = make_part_lot(part=piece, pieces=20, made_on=date(2026, 3, 1), use_by=None, by=owner)
    ends = receive_lot(material=material("ends"), received_on=TODAY, grams=Decimal(400), by=owner)
    make_origin(owner, lot=small, from_lot=first)
    make_origin(owner, part_lot=pieces, from_lot=small)
    make_origin(owner, lot=ends, from_batch=made)
    use_parts(part_lot_id=pieces.pk, pieces=5, on=date(2026, 3, 4), batch_id=made.pk, by=owner)
    later, _ = weighed_batch(owner)
    line = later.weighings.get(material__key="olive")
    Weighing.objects.filter(pk=line.pk).update(lot=ends)
    found = trace(first.code)
    assert {row.number: row.steps for row in found.batches} == {made.number: 3, later.number: 5}
    assert {row.code for row in found.to_lots} == {small.code, ends.code}
    assert [row.code for row in found.to_part_lots] == [pieces.code]
    back = trace(later.number)
    assert {first.code, small.code, ends.code} <= {row.code for row in back.from_lots}
    assert [row.number for row in back.from_batches] == [made.number]
    assert [row.code for row in back.from_part_lots] == [pieces.code]


def every_edge():
    """The event books read row by row, without any shortcut."""
    for row in Weighing.objects.filter(lot__isnull=False, actual_grams__gt=0):
        yield Edge(lot(row.lot_id), batch(row.batch_id))
    net: dict[tuple[int, int], int] = {}
    for row in PartMove.objects.filter(batch__isnull=False):
        net[row.lot_id, row.batch_id] = net.get((row.lot_id, row.batch_id), 0) + row.pieces
    yield from (Edge(part_lot(a), batch(b)) for (a, b), pieces in net.items() if pieces < 0)
    for row in Origin.objects.all():
        source = lot(row.from_lot_id) if row.from_lot_id else None
        source = source or (batch(row.from_batch_id) if row.from_batch_id else part_lot(row.from_part_lot_id))
        yield Edge(source, lot(row.lot_id) if row.lot_id else part_lot(row.part_lot_id))


@pytest.fixture
def shelf_and_pots(owner, workshop):
    """Six lots, three lots of parts and five batches, with nothing between them yet."""
    template, _ = weighed_batch(owner)
    line = template.weighings.first()
    lots = [receive_lot(material=line.material, received_on=TODAY, grams=Decimal(900), by=owner) for _ in range(6)]
    piece = Part.objects.get_or_create(key="seal", defaults={"name": "Seal", "kind": "seal", "unit_grams": 4})[0]
    parts = [make_part_lot(part=piece, pieces=9, made_on=TODAY, use_by=None, by=owner) for _ in range(3)]
    batches = []
    for number in range(5):
        template.pk, template.number = None, f"X{number}"
        template.save(force_insert=True)
        batches.append(template.pk)
    return line.material, lots, parts, batches


def throw_together(chance, by, material, lots, parts, batches):
    """Draws and origins at random; circles too, as a broken book has."""
    Weighing.objects.bulk_create(
        Weighing(
            batch_id=chance.choice(batches), position=100 + position, phase="oils", tolerance_class="fat",
            material=material, planned_grams=1, accept_low_grams=1, accept_high_grams=1,
            lot=chance.choice(lots), actual_grams=1, weighed_by=by,
        )
        for position in range(14)
    )  # fmt: skip
    for _ in range(4):
        PartMove.objects.create(lot=chance.choice(parts), batch_id=chance.choice(batches), pieces=-1)
    for _ in range(7):
        target = chance.choice([{"lot": chance.choice(lots)}, {"part_lot": chance.choice(parts)}])
        sources = ({"from_batch_id": chance.choice(batches)}, {"from_lot": chance.choice(lots)})
        Origin.objects.create(**target, **chance.choice(sources))


def test_rule_g17_what_is_read_for_a_trace_equals_a_walk_over_every_row(owner, shelf_and_pots):
    _, lots, parts, batches = shelf_and_pots
    nodes = [*(lot(row.pk) for row in lots), *(part_lot(row.pk) for row in parts), *map(batch, batches)]
    for seed in range(8):
        before = transaction.savepoint()
        throw_together(Random(seed), owner, *shelf_and_pots)
        edges, kin = list(every_edge()), kin_edges()
        for node in nodes:
            steps = walk([node], edges)
            family = descendants([node], kin)
            held = Holding(family).batches.values_list("pk", flat=True)
            assert set(family) | {batch(pk) for pk in held} == set(steps)
            known = {kin_node: steps[kin_node] for kin_node in family} | Holding(family).steps_to(list(held))
            assert known == steps
            assert set(ancestors([node], kin)) == set(walk([node], edges, backward=True))
        transaction.savepoint_rollback(before)


def test_a_trace_asks_the_same_few_questions_however_much_it_finds(released, owner, django_assert_num_queries):
    _, made = released
    line = made.weighings.first()
    code = line.lot.code
    for number in range(2):
        with django_assert_num_queries(16):
            trace_page(find_subject(code))
        made.pk, made.number = None, f"X{number}"
        made.save(force_insert=True)
        line.pk, line.batch = None, made
        line.save(force_insert=True)
    assert trace(code).batch_count == 3


class TestWhatMayBeTyped:
    @pytest.fixture
    def shelf(self, owner, workshop):
        maker = save_supplier(name="Fernhill Herbs", lead_days=None, by=owner)
        texts = ("071011", "22E1", "4001", "9288", "9289", "")
        return [
            receive_lot(
                material=material(f"herb {n}"), received_on=TODAY, grams=Decimal(10), by=owner, supplier_lot=text,
                supplier=maker,
            )
            for n, text in enumerate(texts)
        ]  # fmt: skip

    def codes(self, typed):
        pks = [node.pk for node in find_subject(typed).starts]
        return list(Lot.objects.filter(pk__in=pks).order_by("pk").values_list("supplier_lot", flat=True))

    @pytest.mark.parametrize(
        ("typed", "found"),
        (
            pytest.param("071011", ["071011"], id="C76 a leading zero is part of the code"),
            pytest.param("22e1", ["22E1"], id="C76 letters stay letters"),
            pytest.param("4001-9288", ["4001", "9288"], id="C75 a range, its ends too"),
            pytest.param("4001 to 9288", ["4001", "9288"], id="C75 a range in words"),
            pytest.param("4001, 9289", ["4001", "9289"], id="C75 a list"),
            pytest.param(
                "fernhill herbs", ["071011", "22E1", "4001", "9288", "9289", "none given"], id="C74 all of a supplier"
            ),
        ),
    )
    def test_suppliers_lots(self, shelf, typed, found):
        assert self.codes(typed) == found

    def test_a_lost_zero_finds_nothing(self, shelf):
        """C76: 71011 is not 071011."""
        with pytest.raises(NotFound):
            find_subject("71011")

    def test_a_list_says_which_of_it_is_not_here(self, shelf):
        assert find_subject("4001, 7777777").notes == (
            f"Received here as {shelf[2].code}.",
            "No lot here came as 7777777.",
        )

    @pytest.mark.parametrize("typed", ("", "   ", "B99-999", "'; drop", "9" * 200, "\0", "1-2-3"))
    def test_nonsense_is_refused_in_a_sentence(self, shelf, typed):
        with pytest.raises(NotFound, match=r"Type a lot"):
            find_subject(typed)

    def test_our_own_codes_come_before_suppliers(self, shelf, owner):
        receive_lot(material=material("x"), received_on=TODAY, grams=Decimal(10), by=owner, supplier_lot=shelf[0].code)
        assert find_subject(shelf[0].code.lower()).kind == "lot"


def test_the_sentence_of_a_trace(released):
    _, made = released
    assert answer(trace(made.number)) == (
        "It came from 4 lots. 12 bars made: 5 still here, 6 kept for orders, 0 handed over, 1 spoiled or used for "
        "tests. All are accounted for. 1 order to tell."
    )
    fresh = Lot.objects.create(
        code="L99-1", material=material("fresh"), received_on=TODAY, received_grams=5, grams_left=5
    )
    assert answer(trace(fresh.code)) == "Nothing has gone into it and nothing has come out of it yet."


@pytest.mark.parametrize(("seconds", "said"), ((5, "5 s"), (95, "1 min 35 s"), (7260, "2 h 1 min")))
def test_a_time_taken_is_said_as_people_say_it(seconds, said):
    assert duration(seconds) == said


def test_every_place_a_bar_can_be_is_counted_once():
    assert sorted(chain(HERE, WITH_ORDERS, GONE_OUT, LET_GO, NO_MORE)) == sorted(PLACES)


def test_seconds_given_away_are_said_apart_for_nobody_can_be_called():
    bars = Bars(12, {BarState.SHIPPED: 7, BarState.SECOND: 2, BarState.LET_GO: 3})
    assert (bars.here, bars.shipped, bars.let_go, bars.gap) == (2, 7, 3, 0)
    assert bars_sentence(bars) == (
        "12 bars made: 2 still here, 0 kept for orders, 7 handed over, "
        "3 given away or sold as seconds, to nobody in the book. All are accounted for."
    )


def test_bars_the_book_cannot_place_are_said_and_not_hidden():
    assert bars_sentence(Bars(12, {BarState.SHIPPED: 11})) == (
        "12 bars made: 0 still here, 0 kept for orders, 11 handed over. 1 bar cannot be placed: look into the bar book."
    )
