"""The tables as the newest migration leaves them. A test holds them to what the migrations make.

Files of a design are kept by hash, once, and told by name in `files`: {"design.toml": sha256, …}.
Customers, orders, drafts and materials may change. To all others rows are only added: triggers
refuse the rest. Amounts of stock are whole ten-thousandths of the material's unit, so that sums of
them are exact.
"""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    Dialect,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)
from sqlalchemy.types import TypeDecorator

__all__ = [
    "SCHEMA",
    "approvals",
    "blobs",
    "customers",
    "drafts",
    "finished",
    "looks",
    "materials",
    "moves",
    "orders",
    "proofs",
    "receipts",
    "revisions",
    "sendings",
    "steps",
    "tables",
]

SCHEMA = "0003"  # the newest migration that this program knows


class Moment(TypeDecorator[datetime]):
    """An instant, as text in UTC that sorts by time: 2026-06-01T09:30:00.000000+00:00."""

    impl = String(40)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """To text."""
        return value.astimezone(UTC).isoformat(timespec="microseconds") if value else None

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """From text."""
        return datetime.fromisoformat(value) if value else None


tables = MetaData()

customers = Table(
    "customers",
    tables,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("mail", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("made_at", Moment, nullable=False),
)

orders = Table(
    "orders",
    tables,
    Column("id", Integer, primary_key=True),
    Column("title", Text, nullable=False),
    Column("customer_id", ForeignKey("customers.id"), index=True),
    Column("cups", Integer, nullable=False),
    Column("due", Date),
    Column("note", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("made_at", Moment, nullable=False),
    Column("closed_as", String(20)),  # handed over, or called off
    Column("closed_at", Moment),
)

blobs = Table(
    "blobs",
    tables,
    Column("sha256", String(64), primary_key=True),
    Column("data", LargeBinary, nullable=False),
)

steps = Table(  # every saved state of a draft; `parent` is the one that it was made from
    "steps",
    tables,
    Column("id", Integer, primary_key=True),
    Column("order_id", ForeignKey("orders.id"), nullable=False, index=True),
    Column("parent", ForeignKey("steps.id"), index=True),
    Column("files", JSON, nullable=False),
    Column("fingerprint", String(64)),  # none while the design cannot be read
    Column("aside", Boolean, nullable=False),  # kept, but made from a state that had moved on
    Column("saved_at", Moment, nullable=False),
)

drafts = Table(
    "drafts",
    tables,
    Column("order_id", ForeignKey("orders.id"), primary_key=True, autoincrement=False),
    Column("version", Integer, nullable=False),  # grows with every save, undo and redo
    Column("step", ForeignKey("steps.id"), nullable=False),
)

revisions = Table(
    "revisions",
    tables,
    Column("order_id", ForeignKey("orders.id"), primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("fingerprint", String(64), nullable=False, index=True),
    Column("files", JSON, nullable=False),
    Column("made_at", Moment, nullable=False),
)

proofs = Table(
    "proofs",
    tables,
    Column("id", String(20), primary_key=True),
    Column("order_id", Integer, nullable=False, index=True),
    Column("revision", Integer, nullable=False),
    Column("title", Text, nullable=False),  # the order's, as the customer reads it
    Column("key", String(64), nullable=False),  # hexadecimal
    Column("options", JSON, nullable=False),  # [{"palette": …, "fingerprint": …}, …]
    Column("light", Text, nullable=False),
    Column("made_at", Moment, nullable=False),
    ForeignKeyConstraint(["order_id", "revision"], ["revisions.order_id", "revisions.number"]),
)

sendings = Table(
    "sendings",
    tables,
    Column("id", Integer, primary_key=True),
    Column("proof_id", ForeignKey("proofs.id"), nullable=False, index=True),
    Column("how", Text, nullable=False),
    Column("sent_to", Text, nullable=False),
    Column("sent_at", Moment, nullable=False),
)

receipts = Table(  # every text that was read as one, taken or not
    "receipts",
    tables,
    Column("id", Integer, primary_key=True),
    Column("order_id", ForeignKey("orders.id"), index=True),
    Column("proof_id", ForeignKey("proofs.id"), index=True),
    Column("verdict", String(20), nullable=False),
    Column("raw", Text, nullable=False),
    Column("signature", String(64), unique=True),  # this and all below: of what was taken alone
    Column("answer", String(20)),
    Column("palette", Text),
    Column("comment", Text),
    Column("customer", Text),
    Column("answered_at", Moment),  # by the customer's clock
    Column("read_at", Moment, nullable=False),
)

approvals = Table(
    "approvals",
    tables,
    Column("id", Integer, primary_key=True),
    Column("order_id", Integer, nullable=False, index=True),
    Column("revision", Integer, nullable=False),
    Column("fingerprint", String(64), nullable=False, index=True),
    Column("palette", Text, nullable=False),
    Column("receipt_id", ForeignKey("receipts.id"), unique=True),
    Column("how", Text, nullable=False),
    Column("customer", Text, nullable=False),
    Column("comment", Text, nullable=False),
    Column("approved_at", Moment, nullable=False),
    Column("recorded_at", Moment, nullable=False),
    ForeignKeyConstraint(["order_id", "revision"], ["revisions.order_id", "revisions.number"]),
)

materials = Table(
    "materials",
    tables,
    Column("id", Integer, primary_key=True),
    Column("folded_name", Text, nullable=False, unique=True),  # no two that differ by case alone
    Column("product", JSON, nullable=False),  # as a product of the shelf, with its sources
    Column("batch", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("photo", String(64)),
    Column("away", Boolean, nullable=False),  # no longer on the shelf
    Column("version", Integer, nullable=False),
    Column("made_at", Moment, nullable=False),
)

looks = Table(  # swatches of materials; the newest is how it looks
    "looks",
    tables,
    Column("id", Integer, primary_key=True),
    Column("material_id", ForeignKey("materials.id"), nullable=False, index=True),
    Column("swatch", JSON, nullable=False),
    Column("measured", JSON, nullable=False),  # how, with its uncertainty; {} if it was chosen
    Column("photos", JSON, nullable=False),  # {"black.jpg": sha256, …}
    Column("made_at", Moment, nullable=False),
)

moves = Table(  # of stock; what is on hand and reserved is their sum
    "moves",
    tables,
    Column("id", Integer, primary_key=True),
    Column("material_id", ForeignKey("materials.id"), nullable=False, index=True),
    Column("order_id", ForeignKey("orders.id"), index=True),
    Column("kind", String(20), nullable=False),
    Column("on_hand", BigInteger, nullable=False),  # how much more, or less
    Column("reserved", BigInteger, nullable=False),  # how much more, or less, for the order
    Column("planned", BigInteger),  # of what is reserved: what the order's plan takes
    Column("planned_net", BigInteger),  # the same before loss
    Column("price_minor", BigInteger),  # of what was bought
    Column("note", Text, nullable=False),
    Column("made_at", Moment, nullable=False),
)

finished = Table(  # photos of finished cups against their proofs
    "finished",
    tables,
    Column("id", Integer, primary_key=True),
    Column("order_id", ForeignKey("orders.id"), nullable=False, index=True),
    Column("revision", Integer),
    Column("fingerprint", String(64), nullable=False, index=True),
    Column("photo", String(64), nullable=False),
    Column("picture", String(64)),
    Column("facts", JSON, nullable=False),
    Column("made_at", Moment, nullable=False),
)
