"""Where orders stand, from what is on record: nothing of it is stored a second time."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, Table, func, select

from mockup.store.approvals import find_approvals
from mockup.store.records import Approval, Order, OrderLine, Standing
from mockup.store.schema import approvals, drafts, proofs, receipts, revisions, sendings, steps

__all__ = ["lines_of"]


@dataclass(frozen=True, slots=True)
class _Draft:
    """An order's draft as it is now, and the revisions that hold just the same files."""

    fingerprint: str | None
    saved_at: datetime
    revisions: frozenset[int]

    def is_of(self, approval: Approval) -> bool:
        return approval.fingerprint == self.fingerprint or approval.revision in self.revisions


@dataclass(frozen=True, slots=True)
class _Known:
    """What is on record of one order. Times are by the maker's clock."""

    begun: datetime | None
    sent: datetime | None
    asked: datetime | None
    approval: Approval | None
    draft: _Draft | None


def lines_of(connection: Connection, orders: Sequence[Order]) -> tuple[OrderLine, ...]:
    """The lines of the order book, with a few questions for all of them together."""
    numbers = [order.id for order in orders]
    begun, newest = _begun(connection, numbers), _newest(connection, numbers)
    sent, asked = _sent(connection, numbers), _asked(connection, numbers)
    approved, now = _approved(connection, numbers), _drafts(connection, numbers)
    lines = []
    for order in orders:
        known = _Known(
            begun=begun.get(order.id),
            sent=sent.get(order.id),
            asked=asked.get(order.id),
            approval=approved.get(order.id),
            draft=now.get(order.id),
        )
        standing = _standing(order, known)
        lines.append(OrderLine(order, standing, newest.get(order.id), known.approval))
    return tuple(lines)


def _standing(order: Order, known: _Known) -> Standing:
    if order.closed_as is not None and order.closed_at is not None:
        return Standing(order.closed_as, "nobody", order.closed_at)
    if known.begun is None:
        return Standing("enquiry", "maker", order.made_at)
    if known.approval is not None and known.draft is not None:
        approved_at = known.approval.recorded_at
        if known.draft.is_of(known.approval):
            return Standing("approved", "maker", approved_at)
        if known.sent is None or known.sent <= approved_at:
            return Standing("changed since", "maker", known.draft.saved_at)
    if known.asked is not None and (known.sent is None or known.sent <= known.asked):
        return Standing("change asked", "maker", known.asked)
    if known.sent is None:
        return Standing("designing", "maker", known.begun)
    return Standing("with the customer", "customer", known.sent)


def _drafts(connection: Connection, numbers: Sequence[int]) -> dict[int, _Draft]:
    same = defaultdict(set)
    frozen = select(revisions.c.order_id, revisions.c.number, revisions.c.files)
    now = select(steps).join(drafts, drafts.c.step == steps.c.id)
    rows = {row.order_id: row for row in connection.execute(now.where(_of(steps, numbers)))}
    for order, number, files in connection.execute(frozen.where(_of(revisions, numbers))):
        if order in rows and rows[order].files == files:
            same[order].add(number)
    return {
        order: _Draft(row.fingerprint, row.saved_at, frozenset(same[order]))
        for order, row in rows.items()
    }


def _approved(connection: Connection, numbers: Sequence[int]) -> dict[int, Approval]:
    """The newest approval of each order that stands."""
    found = find_approvals(connection, _of(approvals, numbers))
    return {approval.order_id: approval for approval in reversed(found) if approval.stands}


def _asked(connection: Connection, numbers: Sequence[int]) -> dict[int, datetime]:
    """When a change that each order's customer asked for was read last."""
    last = select(receipts.c.order_id, func.max(receipts.c.read_at))
    last = last.where(_of(receipts, numbers), receipts.c.answer == "change asked")
    return _by_order(connection, last.group_by(receipts.c.order_id))


def _begun(connection: Connection, numbers: Sequence[int]) -> dict[int, datetime]:
    """When each order's first draft was saved."""
    first = select(steps.c.order_id, func.min(steps.c.saved_at)).where(_of(steps, numbers))
    return _by_order(connection, first.group_by(steps.c.order_id))


def _newest(connection: Connection, numbers: Sequence[int]) -> dict[int, int]:
    last = select(revisions.c.order_id, func.max(revisions.c.number)).where(_of(revisions, numbers))
    return _by_order(connection, last.group_by(revisions.c.order_id))


def _sent(connection: Connection, numbers: Sequence[int]) -> dict[int, datetime]:
    """When a proof of each order went out last."""
    last = select(proofs.c.order_id, func.max(sendings.c.sent_at)).join(sendings)
    return _by_order(connection, last.where(_of(proofs, numbers)).group_by(proofs.c.order_id))


def _of(table: Table, numbers: Sequence[int]) -> ColumnElement[bool]:
    return table.c.order_id.in_(numbers)


def _by_order(connection: Connection, wanted: Select[Any]) -> dict[int, Any]:
    return {order: found for order, found in connection.execute(wanted)}  # noqa: C416  rows
