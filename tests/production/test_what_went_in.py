"""What an order's batches hold reaches the avoid-list, through own soap too."""

from orders.models import OrderLine
from orders.records import avoid_hits_of
from production.batches.models import BatchFor
from production.batches.what_went_in import made_of_lines
from soapshop.models import User, Workshop
from tests.production.builders import make_order
from tests.production.leftovers_shop import cut_with_weights, ends_of, rebatch_of


def read(line: OrderLine) -> OrderLine:
    return OrderLine.objects.select_related("design").prefetch_related("finishes__part").get(pk=line.pk)


def test_a_line_without_batches_holds_nothing_yet(owner: User, workshop: Workshop):
    line = cut_with_weights(owner).serves.get().line
    BatchFor.objects.all().delete()
    assert made_of_lines([line]) == {}


def test_own_soap_is_opened_up(owner: User, workshop: Workshop, django_assert_num_queries):
    """case-C90: the scan goes on into what a rebatch was made of."""
    batch = cut_with_weights(owner)
    lot = ends_of(batch, owner)
    again = rebatch_of(owner, {lot.code: "40"}, {"aloe": "5"})
    line = make_order(owner, batch.design, 4, customer=batch.serves.get().line.order.customer).lines.get()
    BatchFor.objects.create(batch=again, line=line, bars=4)
    with django_assert_num_queries(4):
        held = made_of_lines([line])[line.pk]
    own = f"batch {again.number}, by way of own soap {lot.code}"
    weighed_in = {weighing.material.name for weighing in batch.weighings.filter(actual_grams__gt=0)}
    assert {item.name for item in held if item.where == own} == weighed_in
    assert [item.name for item in held if item.where == f"batch {again.number}"] == ["Aloe juice"]


def test_the_list_finds_what_only_the_batch_holds(owner: User, workshop: Workshop):
    batch = cut_with_weights(owner)
    lot = ends_of(batch, owner)
    again = rebatch_of(owner, {lot.code: "40"}, {"aloe": "5"})
    customer = batch.serves.get().line.order.customer
    order = make_order(owner, batch.design, 4, customer=customer)
    BatchFor.objects.create(batch=again, line=order.lines.get(), bars=4)
    customer.avoid_materials.set([weighing.material for weighing in again.weighings.filter(material__key="aloe")])
    (hit,) = avoid_hits_of(order)[order.lines.get().pk]
    assert (hit.ingredient, hit.where) == ("Aloe juice", f"batch {again.number}")
    customer.avoid_materials.clear()
    order.customer.refresh_from_db()
    assert avoid_hits_of(order)[order.lines.get().pk] == ()
