"""Approvals: what was approved, whether it still stands, and how the maker notes one by hand."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, select

from mockup.store.connect import Connector
from mockup.store.plain import plain_text
from mockup.store.records import Approval, Revision
from mockup.store.rows import add_row
from mockup.store.schema import approvals, receipts

__all__ = ["Approvals", "add_approval", "approval_words", "find_approvals"]


@dataclass(frozen=True, slots=True)
class Approvals:
    """What customers approved. Rows are only ever added."""

    at: Connector

    def of(self, fingerprint: str) -> Approval | None:
        """The newest approval of exactly this design under exactly this palette, if any."""
        with self.at.reading() as connection:
            found = find_approvals(connection, approvals.c.fingerprint == fingerprint)
        return found[0] if found else None

    def of_order(self, order: int) -> tuple[Approval, ...]:
        """Every approval of an order, the newest first."""
        with self.at.reading() as connection:
            return find_approvals(connection, approvals.c.order_id == order)

    def note(
        self, revision: Revision, *, customer: str, how: str, palette: str = "", comment: str = ""
    ) -> Approval:
        """Note an approval that came without a receipt, such as by a signed proof sheet.

        Parameters
        ----------
        palette
            The option that was approved; none is the palette in use.

        Raises
        ------
        UnknownName, DesignError
            The palette is not the design's.
        StoreError
            There is no word on who approved it, or how.
        """
        design = revision.design()
        chosen = design.with_palette(palette or design.document.palette)
        now = datetime.now(UTC)
        values = {
            "customer": plain_text(customer, "the customer's name", needed=True),
            "how": plain_text(how, "how it was approved", needed=True),
            "comment": plain_text(comment, "the comment", lines=True),
        }
        with self.at.writing() as connection:
            return add_approval(
                connection,
                order_id=revision.order_id,
                revision=revision.number,
                fingerprint=chosen.fingerprint,
                palette=chosen.document.palette,
                approved_at=now,
                recorded_at=now,
                **values,
            )


def approval_words(approval: Approval | None) -> str:
    """What cut sheets and plans say, in plain sight: which revision was approved, and when."""
    if approval is None:
        return "not approved"
    if approval.recalled_at is not None:
        day = f"{approval.recalled_at.astimezone():%Y-%m-%d}"
        return f"not approved: change asked {day}"
    day = f"{approval.approved_at.astimezone():%Y-%m-%d}"
    return f"approved, revision {approval.revision}, {day}"


def add_approval(connection: Connection, **values: Any) -> Approval:
    """Record an approval."""
    number = add_row(connection, approvals, **values)
    return find_approvals(connection, approvals.c.id == number)[0]


def find_approvals(connection: Connection, which: ColumnElement[bool]) -> tuple[Approval, ...]:
    """Approvals, the newest by the customer's clock first, each with when it was recalled.

    A change that the customer asked for later, by the same clock, recalls it, in whatever order
    the two were read; so does one of the very same moment.
    """
    asked = (
        select(func.min(receipts.c.answered_at))
        .where(
            receipts.c.order_id == approvals.c.order_id,
            receipts.c.answer == "change asked",
            receipts.c.answered_at >= approvals.c.approved_at,
        )
        .scalar_subquery()
        .label("recalled_at")
    )
    wanted = select(approvals, asked).where(which)
    newest_first = (approvals.c.approved_at.desc(), approvals.c.id.desc())
    return tuple(
        Approval(**{name: getattr(row, name) for name in Approval.__slots__})
        for row in connection.execute(wanted.order_by(*newest_first))
    )
