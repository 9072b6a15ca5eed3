"""What came from what, as a plain graph: lots go into batches and parts, parts into batches, batches into lots again.

Rules only: edges in, reached nodes out. The walk knows nothing of rows, so that it can be held against any other.
"""

from collections import defaultdict, deque
from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple


class Kind(StrEnum):
    LOT = "lot"
    PART_LOT = "part_lot"
    BATCH = "batch"


class Node(NamedTuple):
    kind: Kind
    pk: int


class Edge(NamedTuple):
    """Something of ``source`` is in ``target``."""

    source: Node
    target: Node


def lot(pk: int) -> Node:
    return Node(Kind.LOT, pk)


def part_lot(pk: int) -> Node:
    return Node(Kind.PART_LOT, pk)


def batch(pk: int) -> Node:
    return Node(Kind.BATCH, pk)


def walk(starts: Iterable[Node], edges: Iterable[Edge], *, backward: bool = False) -> dict[Node, int]:
    """Return every node reached, the starts too, with the fewest steps to it; a circle in the book does no harm."""
    after: defaultdict[Node, list[Node]] = defaultdict(list)
    for source, target in edges:
        if backward:
            after[target].append(source)
        else:
            after[source].append(target)
    steps = dict.fromkeys(starts, 0)
    waiting = deque(steps)
    while waiting:
        here = waiting.popleft()
        for there in after.get(here, ()):
            if there not in steps:
                steps[there] = steps[here] + 1
                waiting.append(there)
    return steps


def of_kind(nodes: Iterable[Node], kind: Kind) -> list[int]:
    """Return the numbers of the nodes of one kind, in order."""
    return sorted(node.pk for node in nodes if node.kind == kind)
