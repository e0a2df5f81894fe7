"""Where orders stand, from what is on record: nothing of it is stored a second time."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Select, func, select

from mockup.store.records import Order, OrderLine, Standing
from mockup.store.schema import proofs, revisions, sendings, steps

__all__ = ["lines_of"]


def lines_of(connection: Connection, orders: Sequence[Order]) -> tuple[OrderLine, ...]:
    """The lines of the order book, with a few questions for all of them together."""
    numbers = [order.id for order in orders]
    begun = _begun(connection, numbers)
    sent = _sent(connection, numbers)
    newest = _newest(connection, numbers)
    return tuple(
        OrderLine(
            order, _standing(order, begun.get(order.id), sent.get(order.id)), newest.get(order.id)
        )
        for order in orders
    )


def _standing(order: Order, begun: datetime | None, sent: datetime | None) -> Standing:
    if order.closed_as is not None and order.closed_at is not None:
        return Standing(order.closed_as, "nobody", order.closed_at)
    if begun is None:
        return Standing("enquiry", "maker", order.made_at)
    if sent is None:
        return Standing("designing", "maker", begun)
    return Standing("with the customer", "customer", sent)


def _begun(connection: Connection, numbers: Sequence[int]) -> dict[int, datetime]:
    """When each order's first draft was saved."""
    first = select(steps.c.order_id, func.min(steps.c.saved_at)).group_by(steps.c.order_id)
    return _by_order(connection, first.where(steps.c.order_id.in_(numbers)))


def _newest(connection: Connection, numbers: Sequence[int]) -> dict[int, int]:
    last = select(revisions.c.order_id, func.max(revisions.c.number)).group_by(revisions.c.order_id)
    return _by_order(connection, last.where(revisions.c.order_id.in_(numbers)))


def _sent(connection: Connection, numbers: Sequence[int]) -> dict[int, datetime]:
    """When a proof of each order went out last."""
    last = select(proofs.c.order_id, func.max(sendings.c.sent_at)).join(sendings)
    last = last.where(proofs.c.order_id.in_(numbers)).group_by(proofs.c.order_id)
    return _by_order(connection, last)


def _by_order(connection: Connection, wanted: Select[Any]) -> dict[int, Any]:
    return {order: found for order, found in connection.execute(wanted)}  # noqa: C416  rows
