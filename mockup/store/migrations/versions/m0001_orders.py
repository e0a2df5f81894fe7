"""Orders, drafts, revisions and proofs."""

import sqlalchemy as sa
from alembic import op

from mockup.store.migrations.append_only import only_adds

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the first tables."""
    _orders()
    _designs()
    _proofs()
    only_adds("blobs", "sha256")
    only_adds("steps", "id")
    only_adds("revisions", "order_id number")
    only_adds("proofs", "id")
    only_adds("sendings", "id")


def _orders() -> None:
    op.create_table(
        "customers",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("mail", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
    )
    op.create_table(
        "orders",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("customer_id", sa.Integer, sa.ForeignKey("customers.id"), index=True),
        sa.Column("cups", sa.Integer, nullable=False),
        sa.Column("due", sa.Date),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
        sa.Column("closed_as", sa.String(20)),
        sa.Column("closed_at", sa.String(40)),
    )


def _designs() -> None:
    op.create_table(
        "blobs",
        sa.Column("sha256", sa.String(64), primary_key=True),
        sa.Column("data", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "steps",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("order_id", sa.Integer, sa.ForeignKey("orders.id"), nullable=False, index=True),
        sa.Column("parent", sa.Integer, sa.ForeignKey("steps.id"), index=True),
        sa.Column("files", sa.JSON, nullable=False),
        sa.Column("fingerprint", sa.String(64)),
        sa.Column("aside", sa.Boolean, nullable=False),
        sa.Column("saved_at", sa.String(40), nullable=False),
    )
    op.create_table(
        "drafts",
        sa.Column(
            "order_id",
            sa.Integer,
            sa.ForeignKey("orders.id"),
            primary_key=True,
            autoincrement=False,
        ),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("step", sa.Integer, sa.ForeignKey("steps.id"), nullable=False),
    )


def _proofs() -> None:
    op.create_table(
        "revisions",
        sa.Column(
            "order_id",
            sa.Integer,
            sa.ForeignKey("orders.id"),
            primary_key=True,
            autoincrement=False,
        ),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("fingerprint", sa.String(64), nullable=False, index=True),
        sa.Column("files", sa.JSON, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
    )
    op.create_table(
        "proofs",
        sa.Column("id", sa.String(20), primary_key=True),
        sa.Column("order_id", sa.Integer, nullable=False, index=True),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("key", sa.String(64), nullable=False),
        sa.Column("options", sa.JSON, nullable=False),
        sa.Column("light", sa.Text, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
        sa.ForeignKeyConstraint(
            ["order_id", "revision"], ["revisions.order_id", "revisions.number"]
        ),
    )
    op.create_table(
        "sendings",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column(
            "proof_id", sa.String(20), sa.ForeignKey("proofs.id"), nullable=False, index=True
        ),
        sa.Column("how", sa.Text, nullable=False),
        sa.Column("sent_to", sa.Text, nullable=False),
        sa.Column("sent_at", sa.String(40), nullable=False),
    )
