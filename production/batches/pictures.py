"""The cut face of a batch's bar from its frozen plan, the same on screen and on paper."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from formulas.drawing import DrawnBar, DrawnCell, DrawnPart, DrawnRow, DrawnSwirl
from production.batches.frozen import FrozenPart, FrozenPlan, FrozenPortion

WHOLE = (DrawnRow(Decimal(1), (DrawnCell("A", "#e8dfc8", Decimal(1), "all of it"),)),)


def drawn_bar(plan: FrozenPlan) -> DrawnBar:
    """Return what the picture is drawn from. A plan without portions is one plain face."""
    rows = tuple(
        DrawnRow(
            height=row[0].height_share,
            cells=tuple(
                DrawnCell(portion.letter, portion.color_hex, portion.width_share, portion.name)
                for portion in _lying(row, "cell")
            ),
            swirls=_swirls(row, "swirl"),
        )
        for row in _rows(plan)
    )
    return DrawnBar(
        title=plan.product,
        width_mm=plan.face_width_mm,
        height_mm=plan.face_height_mm,
        rows=tuple(row for row in rows if row.cells) or WHOLE,
        drops=_swirls(plan.portions, "drop"),
        parts=tuple(
            DrawnPart(part.kind, part.name, part.color_hex, _on_bars(part, plan))  # type: ignore[arg-type]
            for part in plan.parts
        ),
        is_beveled=plan.is_beveled,
        is_round=plan.is_round,
    )


def _on_bars(part: FrozenPart, plan: FrozenPlan) -> str:
    """Say on which bars a part stands, by the finishes it is in; a batch for stock carries it on every bar."""
    bars = sum(finish.bars for finish in plan.finishes) or plan.bars
    carrying = sum(finish.bars for finish in plan.finishes if part.key in finish.part_keys)
    return "every bar" if carrying in (0, bars) else f"{carrying} of {bars} bars"


def _lying(portions: Iterable[FrozenPortion], place: str) -> list[FrozenPortion]:
    return [portion for portion in portions if portion.lies == place]


def _swirls(portions: Iterable[FrozenPortion], place: str) -> tuple[DrawnSwirl, ...]:
    return tuple(
        DrawnSwirl(portion.letter, portion.color_hex, portion.share_percent, portion.name)
        for portion in _lying(portions, place)
    )


def _rows(plan: FrozenPlan) -> Iterator[list[FrozenPortion]]:
    """Yield the layers from the bottom up, each from left to right."""
    positions = sorted({portion.row for portion in plan.portions})
    for position in positions:
        yield sorted((item for item in plan.portions if item.row == position), key=lambda item: item.position)
