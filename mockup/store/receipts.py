"""Reads customers' receipts: each is taken once, or refused with its own reason."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection, select

from mockup.receipt import Receipt, Signed, find_receipts
from mockup.store.approvals import add_approval
from mockup.store.book import find_order
from mockup.store.connect import Connector
from mockup.store.plain import storable
from mockup.store.records import Answered, Approval, Proof, Reading, Verdict
from mockup.store.revisions import find_proof
from mockup.store.rows import add_row
from mockup.store.schema import proofs, receipts

__all__ = ["Receipts"]

MOST_KEPT = 200_000  # letters of a text


@dataclass(frozen=True, slots=True)
class Receipts:
    """Receipts as they came in. Rows are only ever added."""

    at: Connector

    def read(self, text: str, *, order: int | None = None) -> tuple[Reading, ...]:
        """Take every receipt in `text`, such as a whole mail with what it quotes.

        Parameters
        ----------
        order
            The order that they should be of; None takes those of any.

        Returns
        -------
        One reading for each receipt as it stands in the text, or one that says there is none.
        Nothing raises for a receipt: all of them are kept with their verdict.

        Raises
        ------
        StoreError
            There is no such order.
        """
        found = find_receipts(text)
        with self.at.writing() as connection:
            if order is not None:
                find_order(connection, order, self.at.where)
            desk = _Desk(connection, text, order)
            return tuple(desk.read(signed) for signed in found) or (desk.none(),)

    def of_order(self, order: int) -> tuple[Answered, ...]:
        """What the customer of an order answered, the newest first by the customer's clock."""
        wanted = select(receipts).where(receipts.c.order_id == order, receipts.c.verdict == "taken")
        wanted = wanted.order_by(receipts.c.answered_at.desc(), receipts.c.id.desc())
        with self.at.reading() as connection:
            return tuple(
                Answered(
                    proof=row.proof_id,
                    palette=row.palette,
                    answer=row.answer,
                    customer=row.customer,
                    comment=row.comment,
                    answered_at=row.answered_at,
                    read_at=row.read_at,
                )
                for row in connection.execute(wanted)
            )


@dataclass(frozen=True, slots=True)
class _Desk:
    """One text being read, within one transaction."""

    connection: Connection
    text: str
    order: int | None

    def none(self) -> Reading:
        return self._refused(
            "no receipt",
            "There is no whole receipt in this text. Ask for all of it, down to its last line.",
            None,
        )

    def read(self, signed: Signed | None) -> Reading:
        if signed is None:
            return self._refused(
                "damaged",
                "The receipt was damaged on its way. Ask for it again, as a file.",
                None,
            )
        receipt = signed.receipt
        number = self.connection.scalar(select(proofs.c.id).where(proofs.c.id == receipt.proof))
        if number is None:
            return self._refused(
                "unknown proof",
                f"The receipt is of proof {receipt.proof!r}, which is not in this store.",
                receipt,
            )
        proof = find_proof(self.connection, number, "receipt")
        return self._judged(signed, proof)

    def _judged(self, signed: Signed, proof: Proof) -> Reading:
        receipt = signed.receipt
        if not signed.holds(proof.key):
            return self._not_signed(signed, proof)
        if self.order not in (None, proof.order_id):
            words = f"The receipt is of order {proof.order_id}, not of order {self.order}."
            return self._refused("of another", words, receipt, proof)
        before = select(receipts.c.read_at).where(receipts.c.signature == signed.signature)
        read_at = self.connection.scalar(before)
        if read_at is not None:
            words = f"This receipt was read before, on {read_at.astimezone():%Y-%m-%d at %H:%M}."
            return self._refused("read before", words, receipt, proof)
        options = {option.palette: option.fingerprint for option in proof.options}
        if (proof.revision, options.get(receipt.palette)) != (
            receipt.revision, receipt.fingerprint,
        ):  # fmt: skip
            words = f"The receipt names what proof {proof.id} does not show."
            return self._refused("does not fit", words, receipt, proof)
        return self._taken(signed, proof)

    def _not_signed(self, signed: Signed, proof: Proof) -> Reading:
        """Signed for another proof and given this one's number, or changed by a letter."""
        everyone = self.connection.execute(select(proofs.c.id, proofs.c.key)).all()
        for number, key in everyone:
            meant = replace(signed, receipt=replace(signed.receipt, proof=number))
            if meant.holds(bytes.fromhex(key)):
                words = f"The receipt was given for proof {number}, not for proof {proof.id}."
                return self._refused("of another", words, signed.receipt, proof)
        words = "The receipt was changed after it was given: its signature no longer fits."
        return self._refused("changed", words, signed.receipt, proof)

    def _refused(
        self, verdict: Verdict, words: str, receipt: Receipt | None, proof: Proof | None = None
    ) -> Reading:
        self._keep(verdict, proof)
        return Reading(verdict, words, receipt, None)

    def _taken(self, signed: Signed, proof: Proof) -> Reading:
        receipt = signed.receipt
        answered_at = _believed(datetime.fromisoformat(receipt.moment), proof)
        said = {
            "palette": receipt.palette,
            "comment": storable(receipt.comment),
            "customer": storable(receipt.customer),
        }
        number = self._keep(
            "taken", proof, **said,
            signature=signed.signature, answer=receipt.answer, answered_at=answered_at,
        )  # fmt: skip
        what = f"order {proof.order_id}, {proof.title}: revision {proof.revision}"
        if receipt.answer == "change asked":
            return Reading("taken", f"A change is asked for. {what}.", receipt, None)
        approval = self._approval(number, proof, receipt, answered_at, said)
        return Reading("taken", f"Approved. {what}, {receipt.palette}.", receipt, approval)

    def _approval(
        self, number: int, proof: Proof, receipt: Receipt, moment: datetime, said: dict[str, str]
    ) -> Approval:
        return add_approval(
            self.connection,
            order_id=proof.order_id,
            revision=proof.revision,
            fingerprint=receipt.fingerprint,
            receipt_id=number,
            how="receipt",
            approved_at=moment,
            recorded_at=datetime.now(UTC),
            **said,
        )

    def _keep(self, verdict: Verdict, proof: Proof | None, **values: object) -> int:
        return add_row(
            self.connection,
            receipts,
            order_id=proof and proof.order_id,
            proof_id=proof and proof.id,
            verdict=verdict,
            raw=storable(self.text[:MOST_KEPT]),
            read_at=datetime.now(UTC),
            **values,
        )


def _believed(moment: datetime, proof: Proof) -> datetime:
    """The customer's clock, unless it is plainly wrong: before the proof, or yet to come."""
    now, day = datetime.now(UTC), timedelta(days=1)
    return moment if proof.made_at - day <= moment <= now + day else now
