"""What the store gives out: plain records that no longer hang on the database."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from mockup.design.document import Design
from mockup.design.read import design_from_files
from mockup.errors import StoreError
from mockup.receipt import Answer, Receipt

__all__ = [
    "Answered",
    "Approval",
    "Closed",
    "Customer",
    "Draft",
    "Files",
    "Option",
    "Order",
    "OrderLine",
    "Proof",
    "Reading",
    "Revision",
    "Sending",
    "StaleRecord",
    "Standing",
    "State",
    "Step",
    "Verdict",
]

Files = Mapping[str, bytes]
"""A design's files by name: design.toml, palettes/…, assets/…"""

Closed = Literal["handed over", "called off"]
State = Literal[
    "enquiry", "designing", "with the customer", "change asked", "approved", "changed since",
    "handed over", "called off",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Customer:
    """Who the cups are for. `version` grows with every change."""

    id: int
    name: str
    mail: str
    note: str
    version: int
    made_at: datetime


@dataclass(frozen=True, slots=True)
class Order:
    """One order of the book. `version` grows with every change; `cups` is how many are made."""

    id: int
    title: str
    customer: Customer | None
    cups: int
    due: date | None
    note: str
    version: int
    made_at: datetime
    closed_as: Closed | None
    closed_at: datetime | None


@dataclass(frozen=True, slots=True)
class Standing:
    """Where an order stands, worked out from what is on record.

    `waits_for` is who has to do something next, `since` when that began.
    """

    state: State
    waits_for: Literal["maker", "customer", "nobody"]
    since: datetime


@dataclass(frozen=True, slots=True)
class Draft:
    """The working copy of an order's design, as it stood at one version.

    `files` are whole; `fingerprint` is None while they cannot be read as a design.
    """

    order_id: int
    version: int
    step: int
    files: Files
    fingerprint: str | None
    saved_at: datetime
    can_undo: bool
    can_redo: bool

    def design(self) -> Design:
        """The files, read as a design.

        Raises
        ------
        DesignError
            They are no design as yet.
        """
        return design_from_files(self.files, palettes={})


@dataclass(frozen=True, slots=True)
class Step:
    """One saved state in a draft's history, made from its `parent`.

    `aside` is one that was saved while another window had moved on; it can be taken up.
    """

    id: int
    parent: int | None
    fingerprint: str | None
    aside: bool
    saved_at: datetime


@dataclass(frozen=True, slots=True)
class Revision:
    """A design that will never change again. Numbered from 1 in its order."""

    order_id: int
    number: int
    fingerprint: str
    files: Files
    made_at: datetime

    def design(self) -> Design:
        """The files, read as a design."""
        return design_from_files(self.files, palettes={})


@dataclass(frozen=True, slots=True)
class Option:
    """A palette that is shown to the customer, with the fingerprint of the design under it."""

    palette: str
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Sending:
    """That a proof went out: how (mail, by hand, …) and to whom."""

    how: str
    sent_to: str
    sent_at: datetime


@dataclass(frozen=True, slots=True)
class Proof:
    """A revision as a customer sees it. `key` signs the receipts of this proof and no other."""

    id: str
    order_id: int
    revision: int
    title: str
    key: bytes
    options: tuple[Option, ...]
    light: str
    made_at: datetime
    sendings: tuple[Sending, ...]


Verdict = Literal[
    "taken", "no receipt", "damaged", "unknown proof", "changed", "of another", "read before",
    "does not fit",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Approval:
    """That a customer approved a revision under a palette.

    `how` is by receipt, or as the maker noted it, such as by a signed sheet. `approved_at` is by
    the customer's clock. `recalled_at` is when the customer asked for a change afterwards; then it
    no longer stands, until there is a newer one.
    """

    id: int
    order_id: int
    revision: int
    fingerprint: str
    palette: str
    how: str
    customer: str
    comment: str
    approved_at: datetime
    recorded_at: datetime
    recalled_at: datetime | None

    @property
    def stands(self) -> bool:
        """Whether it holds still."""
        return self.recalled_at is None


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of the order book.

    `revision` is the newest, `approval` the newest that stands, if there are any.
    """

    order: Order
    standing: Standing
    revision: int | None
    approval: Approval | None


@dataclass(frozen=True, slots=True)
class Answered:
    """A receipt that was taken, in the order's history."""

    proof: str
    palette: str
    answer: Answer
    customer: str
    comment: str
    answered_at: datetime
    read_at: datetime


@dataclass(frozen=True, slots=True)
class Reading:
    """What came of one receipt in a text; `words` tells it to the maker in one sentence.

    `receipt` is what it says, as far as it could be read: nothing of it is true unless `verdict`
    is taken. `approval` is what was recorded, if it approves.
    """

    verdict: Verdict
    words: str
    receipt: Receipt | None
    approval: Approval | None

    @property
    def taken(self) -> bool:
        """Whether it was recorded."""
        return self.verdict == "taken"


class StaleRecord(StoreError):  # noqa: N818  it names the fault, like UnknownName
    """What was to be saved had been changed meanwhile by another window or command.

    `kept` is the step under which a draft's state was kept aside; None for other records, of
    which nothing was saved.
    """

    kept: int | None = None
