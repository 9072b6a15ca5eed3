"""The plain walk over what came from what: worked examples, and random histories held against the definition."""

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from production.tracing.graph import Edge, batch, lot, of_kind, part_lot, walk

NODES = [*(lot(n) for n in range(4)), *(part_lot(n) for n in range(2)), *(batch(n) for n in range(4))]
histories = st.lists(st.sampled_from([Edge(a, b) for a, b in product(NODES, NODES) if a != b]), max_size=25)


def test_a_lot_is_in_what_it_went_into_to_any_depth():
    """Worked by hand: scent → batch 1 → its ends → batch 2; the lye went only into batch 2."""
    edges = [Edge(lot(1), batch(1)), Edge(batch(1), lot(2)), Edge(lot(2), batch(2)), Edge(lot(3), batch(2))]
    assert walk([lot(1)], edges) == {lot(1): 0, batch(1): 1, lot(2): 2, batch(2): 3}
    assert walk([lot(3)], edges) == {lot(3): 0, batch(2): 1}
    assert walk([batch(2)], edges, backward=True) == {batch(2): 0, lot(2): 1, lot(3): 1, batch(1): 2, lot(1): 3}


def test_what_nothing_went_into_reaches_only_itself():
    assert walk([lot(9)], [Edge(lot(1), batch(1))]) == {lot(9): 0}


def test_the_numbers_of_one_kind_come_in_order():
    assert of_kind([batch(3), lot(2), batch(1)], batch(1).kind) == [1, 3]


def reached(start, edges):
    """By the definition: a node is reached when it is the start or follows on a node that is reached."""
    found = {start}
    while True:
        more = {target for source, target in edges if source in found} - found
        if not more:
            return found
        found |= more


@given(histories, st.sampled_from(NODES))
def test_rule_g17_the_walk_finds_what_the_definition_says(edges, start):
    assert set(walk([start], edges)) == reached(start, edges)


@given(histories)
def test_rule_g17_forward_and_backward_are_each_other_turned_round(edges):
    forward = {(a, b) for a in NODES for b in walk([a], edges)}
    backward = {(a, b) for b in NODES for a in walk([b], edges, backward=True)}
    assert forward == backward
