"""What the page of the agreed sheet shows."""

from dataclasses import dataclass
from datetime import date

from orders.actions import OrderRefusal
from orders.agreement.actions import present_sheet
from orders.agreement.pour_days import change_cut_off
from orders.agreement.records import kept_sheet
from orders.agreement.sheet import OrderSheet, changes
from orders.agreement.shown import PouredLine, poured_lines
from orders.models import CustomerLink, HouseTerms, Order, Proof
from soapshop.models import Workshop
from soapshop.panels import Panel

AGREEMENT_RANK = 30


@dataclass(frozen=True)
class Version:
    proof: Proof
    changes: tuple[str, ...]


@dataclass(frozen=True)
class AgreementPage:
    sheet: OrderSheet | None
    refusal: str
    versions: tuple[Version, ...]
    approved: Proof | None
    since_approval: tuple[str, ...]
    is_shown: bool
    cut_off: date
    is_past_cut_off: bool
    link: CustomerLink | None
    lines: tuple[PouredLine, ...] = ()

    @property
    def poured(self) -> int:
        return sum(line.poured for line in self.lines)

    @property
    def newest(self) -> Proof | None:
        return self.versions[0].proof if self.versions else None


def agreement_page(order: Order, *, today: date) -> AgreementPage:
    proofs = list(order.proofs.all())
    refusal, sheet = "", None
    try:
        sheet = present_sheet(order, today=today)
    except OrderRefusal as missing:
        refusal = str(missing)
    kept = [kept_sheet(proof.frozen) for proof in proofs]
    older = [*kept[1:], None][: len(kept)]
    approved = next((proof for proof in proofs if proof.is_approved), None)
    terms = HouseTerms.current()
    workshop = Workshop.current()
    cut_off = change_cut_off(order, workshop=workshop, cut_off_days=terms.cut_off_days)
    link = order.customer_links.first()
    return AgreementPage(
        sheet=sheet,
        refusal=refusal,
        versions=tuple(
            Version(proof, changes(before, now) if before else ())
            for proof, now, before in zip(proofs, kept, older, strict=True)
        ),
        approved=approved,
        since_approval=changes(kept_sheet(approved.frozen), sheet) if approved and sheet else (),
        is_shown=bool(sheet and kept and not changes(kept[0], sheet)),
        cut_off=cut_off,
        is_past_cut_off=today > cut_off,
        link=link if link and link.is_open(today) else None,
        lines=poured_lines(sheet, workshop=workshop) if sheet else (),
    )


def agreement_panel(order: Order) -> Panel:
    """Build the short note on the order page: which version was approved, by whom."""
    proofs = list(order.proofs.defer("frozen"))
    newest = proofs[0] if proofs else None
    approved = next((proof for proof in proofs if proof.is_approved), None)
    context = {"order": order, "newest": newest, "approved": approved}
    return Panel("orders/agreement/order_panel.html", context, rank=AGREEMENT_RANK)
