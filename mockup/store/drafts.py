"""The working copy of each order's design, and everything it ever was."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Select, insert, select, update

from mockup.design.document import Design
from mockup.design.read import design_from_files
from mockup.design.write import design_files
from mockup.errors import DesignError, StoreError
from mockup.store.blobs import find_files, save_files
from mockup.store.book import find_order
from mockup.store.connect import Connector
from mockup.store.records import Draft, Files, StaleRecord, Step
from mockup.store.rows import add_row
from mockup.store.schema import drafts, steps

__all__ = ["Drafts", "plain_files"]


@dataclass(frozen=True, slots=True)
class Drafts:
    """Drafts. Each save is a new step of a history that is never cut.

    Undo and redo move along it: undo to the step that the present one was made from, redo to the
    newest that was made from the present one. Steps that were kept aside are left out of that.
    """

    at: Connector

    def begin(self, order: int, content: Design | Files) -> Draft:
        """The first draft of an order.

        Raises
        ------
        StaleRecord
            It has one already.
        StoreError
            There is no such order.
        """
        files, fingerprint = plain_files(content)
        with self.at.writing() as connection:
            find_order(connection, order, self.at.where)
            if connection.scalar(select(drafts.c.step).where(drafts.c.order_id == order)):
                raise StaleRecord(
                    f"order {order} has a design already",
                    where=self.at.where,
                    remedy="Open the order to change it",
                )
            step = _add_step(connection, order, None, files, fingerprint)
            connection.execute(insert(drafts).values(order_id=order, version=1, step=step))
            return self._find(connection, order)

    def current(self, order: int) -> Draft | None:
        """The draft as it is now; None for an order that has none yet."""
        with self.at.reading() as connection:
            there = select(drafts.c.version).where(drafts.c.order_id == order)
            return self._find(connection, order) if connection.scalar(there) else None

    def save(self, seen: Draft, content: Design | Files) -> Draft:
        """Save what was made from `seen`; what is saved already is not saved again.

        Raises
        ------
        StaleRecord
            Another window or command has moved on since. What was to be saved is kept aside as
            step `kept` of the error; `take` takes it up.
        """
        files, fingerprint = plain_files(content)
        with self.at.writing() as connection:
            now = self._find(connection, seen.order_id)
            if now.version == seen.version and now.files == files:
                return now
            fresh = now.version == seen.version
            there = select(steps.c.id).where(steps.c.id == seen.step)
            parent = connection.scalar(there)  # none if a backup was restored meanwhile
            step = _add_step(connection, seen.order_id, parent, files, fingerprint, aside=not fresh)
            if fresh:
                return self._move(connection, now, step)
        error = StaleRecord(
            f"the design of order {seen.order_id} was changed meanwhile by another window",
            where=self.at.where,
            remedy="Your change is kept beside it; look at both and take up the one you want",
        )
        error.kept = step
        raise error

    def undo(self, seen: Draft) -> Draft:
        """Go back to what `seen` was made from; nothing changes where it is the first.

        Raises
        ------
        StaleRecord
            Another window has moved on since.
        """
        with self.at.writing() as connection:
            now = self._same(connection, seen)
            parent = connection.scalar(select(steps.c.parent).where(steps.c.id == now.step))
            return self._move(connection, now, parent) if parent else now

    def redo(self, seen: Draft) -> Draft:
        """Go on to the newest step that was made from `seen`, if there is one.

        Raises
        ------
        StaleRecord
            Another window has moved on since.
        """
        with self.at.writing() as connection:
            now = self._same(connection, seen)
            child = connection.scalar(_children(now.step))
            return self._move(connection, now, child) if child else now

    def take(self, seen: Draft, step: int) -> Draft:
        """Take up any step of the order's history as the draft; undo leads back to `seen`.

        Raises
        ------
        StaleRecord
            Another window has moved on since.
        StoreError
            The order has no such step.
        """
        with self.at.writing() as connection:
            now = self._same(connection, seen)
            row = self._step(connection, seen.order_id, step)
            copy = add_row(
                connection,
                steps,
                order_id=seen.order_id,
                parent=now.step,
                files=row.files,
                fingerprint=row.fingerprint,
                aside=False,
                saved_at=datetime.now(UTC),
            )
            return self._move(connection, now, copy)

    def history(self, order: int) -> tuple[Step, ...]:
        """Every step of an order, the newest first."""
        wanted = select(steps).where(steps.c.order_id == order).order_by(steps.c.id.desc())
        with self.at.reading() as connection:
            return tuple(
                Step(row.id, row.parent, row.fingerprint, row.aside, row.saved_at)
                for row in connection.execute(wanted)
            )

    def files_of(self, order: int, step: int) -> Files:
        """The files of one step of the history.

        Raises
        ------
        StoreError
            The order has no such step.
        """
        with self.at.reading() as connection:
            row = self._step(connection, order, step)
            return find_files(connection, row.files, self.at.where)

    def _find(self, connection: Connection, order: int) -> Draft:
        wanted = (
            select(drafts.c.version, steps)
            .join(steps, steps.c.id == drafts.c.step)
            .where(drafts.c.order_id == order)
        )
        row = connection.execute(wanted).one_or_none()
        if row is None:
            raise StoreError(
                f"order {order} has no design yet", where=self.at.where, remedy="Begin one first"
            )
        return Draft(
            order_id=order,
            version=row.version,
            step=row.id,
            files=find_files(connection, row.files, self.at.where),
            fingerprint=row.fingerprint,
            saved_at=row.saved_at,
            can_undo=row.parent is not None,
            can_redo=connection.scalar(_children(row.id)) is not None,
        )

    def _same(self, connection: Connection, seen: Draft) -> Draft:
        now = self._find(connection, seen.order_id)
        if now.version != seen.version:
            raise StaleRecord(
                f"the design of order {seen.order_id} was changed meanwhile by another window",
                where=self.at.where,
                remedy="Look at it as it is now",
            )
        return now

    def _move(self, connection: Connection, now: Draft, step: int) -> Draft:
        connection.execute(
            update(drafts)
            .where(drafts.c.order_id == now.order_id)
            .values(version=now.version + 1, step=step)
        )
        return self._find(connection, now.order_id)

    def _step(self, connection: Connection, order: int, step: int) -> Any:
        wanted = select(steps).where(steps.c.id == step, steps.c.order_id == order)
        row = connection.execute(wanted).one_or_none()
        if row is None:
            raise StoreError(
                f"order {order} has no step {step}",
                where=self.at.where,
                remedy="Take one of its history",
            )
        return row


def plain_files(content: Design | Files) -> tuple[dict[str, bytes], str | None]:
    """Files by name and the fingerprint, which is None while they cannot be read as a design."""
    if isinstance(content, Design):
        return design_files(content), content.fingerprint
    try:
        return dict(content), design_from_files(content, palettes={}).fingerprint
    except DesignError:
        return dict(content), None


def _children(step: int) -> Select[Any]:
    """Steps that were made from `step` and not kept aside, the newest first."""
    made_from = (steps.c.parent == step) & steps.c.aside.is_(False)
    return select(steps.c.id).where(made_from).order_by(steps.c.id.desc()).limit(1)


def _add_step(
    connection: Connection,
    order: int,
    parent: int | None,
    files: Files,
    fingerprint: str | None,
    *,
    aside: bool = False,
) -> int:
    return add_row(
        connection,
        steps,
        order_id=order,
        parent=parent,
        files=save_files(connection, files),
        fingerprint=fingerprint,
        aside=aside,
        saved_at=datetime.now(UTC),
    )
