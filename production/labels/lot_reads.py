"""The net weight of a batch finish by finish: what is printed, what the weighed lot holds, and which bars are short."""

from dataclasses import dataclass
from decimal import Decimal

from production.batches.models import Batch
from production.labels.bars import newest_weighing
from production.labels.declared import BatchLabels, FinishLabel
from production.labels.lot_test import LotResult, LotTestError
from production.labels.lot_weights import WeighedLot, bars_to_weigh, lot_result
from production.labels.models import LabelPrint
from production.labels.net import NetFigure, net_figure
from production.labels.net_weight import NetStatement, NetWeightError, net_statement

TITLES = {
    "us_soap": "United States: NIST Handbook 133",
    "us_cosmetic": "United States: NIST Handbook 133",
    "eu": "European Union: Directive 76/211/EEC",
    "uk": "Great Britain: SI 2006/659",
    "ca": "Canada: every bar at or over the label",
}
BESIDE = {"us_soap": "eu", "us_cosmetic": "eu", "eu": "us_soap", "uk": "us_soap", "ca": "us_soap"}


@dataclass(frozen=True)
class TestShown:
    """One market's test of the lot with its working; `refusal` says why there is none."""

    __test__ = False

    title: str
    label: str
    result: LotResult | None
    refusal: str = ""

    @property
    def word(self) -> str:
        return {"pass": "Holds", "fail": "Does not hold", "more": "Weigh more bars"}[self.result.outcome]  # type: ignore[union-attr]

    @property
    def shape(self) -> str:
        return {"pass": "ready", "fail": "late", "more": "waiting"}[self.result.outcome]  # type: ignore[union-attr]


@dataclass(frozen=True)
class LotPage:
    """What the page and the command show of one finish."""

    batch: Batch
    labels: BatchLabels
    finish: FinishLabel
    net: NetFigure
    tests: tuple[TestShown, ...]
    short: tuple[int, ...]
    to_weigh: int
    weighing_id: int | None

    @property
    def lot(self) -> WeighedLot | None:
        return self.finish.lot

    @property
    def short_grams(self) -> list[tuple[int, Decimal, Decimal]]:
        """Number, weight as weighed, and weight at the hand-over of each short bar."""
        if self.lot is None:
            return []
        then = dict(self.lot.at_hand_over().bars_grams)
        return [(number, grams, then[number]) for number, grams in self.lot.bars_grams if number in self.short]


def lot_page(batch: Batch, labels: BatchLabels, finish: FinishLabel, *, typed: str = "") -> LotPage:
    """Work out one finish; `typed` is a figure that a person would like to print."""
    net = net_figure(
        finish.weights,
        parts_grams=finish.parts_grams,
        removed_grams=finish.removed_grams,
        market=labels.market,
        typed=typed,
        lot=finish.lot,
    )
    newest = newest_weighing(batch, finish.key)
    lot = finish.lot
    tests: tuple[TestShown, ...] = ()
    short: tuple[int, ...] = ()
    if lot is not None and net.statement is not None:
        tests = tuple(_shown(lot, net.statement, market) for market in (labels.market, BESIDE[labels.market]))
        short = lot.short_of(net.statement.must_hold_grams)
    return LotPage(
        batch=batch,
        labels=labels,
        finish=finish,
        net=net,
        tests=tests,
        short=short,
        to_weigh=bars_to_weigh(finish.bars, market=labels.market, rules_on=labels.on),
        weighing_id=newest.pk if newest else None,
    )


def printed_figure(batch: Batch, finish: str) -> str:
    """Return the net weight on the newest labels of these bars; empty where none were printed. One query."""
    newest = LabelPrint.objects.filter(batch=batch, finish=finish, is_second=False).first()
    return "" if newest is None else str(newest.frozen["paper"]["runs"][0]["face"]["net_weight"])


def _shown(lot: WeighedLot, label: NetStatement, market: str) -> TestShown:
    """Test the printed figure; in another market the same bars are labeled its way."""
    try:
        own = label if market == label.market else net_statement(label.must_hold_grams, market=market)
        return TestShown(TITLES[market], own.text, lot_result(lot, own, market=market, rules_on=lot.on))
    except (LotTestError, NetWeightError) as refusal:
        return TestShown(TITLES[market], label.text, None, str(refusal))
