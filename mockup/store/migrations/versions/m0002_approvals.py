"""Receipts and approvals."""

import sqlalchemy as sa
from alembic import op

from mockup.store.migrations.append_only import only_adds

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make their tables."""
    op.create_table(
        "receipts",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("order_id", sa.Integer, sa.ForeignKey("orders.id"), index=True),
        sa.Column("proof_id", sa.String(20), sa.ForeignKey("proofs.id"), index=True),
        sa.Column("verdict", sa.String(20), nullable=False),
        sa.Column("raw", sa.Text, nullable=False),
        sa.Column("signature", sa.String(64), unique=True),
        sa.Column("answer", sa.String(20)),
        sa.Column("palette", sa.Text),
        sa.Column("comment", sa.Text),
        sa.Column("customer", sa.Text),
        sa.Column("answered_at", sa.String(40)),
        sa.Column("read_at", sa.String(40), nullable=False),
    )
    op.create_table(
        "approvals",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("order_id", sa.Integer, nullable=False, index=True),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("fingerprint", sa.String(64), nullable=False, index=True),
        sa.Column("palette", sa.Text, nullable=False),
        sa.Column("receipt_id", sa.Integer, sa.ForeignKey("receipts.id"), unique=True),
        sa.Column("how", sa.Text, nullable=False),
        sa.Column("customer", sa.Text, nullable=False),
        sa.Column("comment", sa.Text, nullable=False),
        sa.Column("approved_at", sa.String(40), nullable=False),
        sa.Column("recorded_at", sa.String(40), nullable=False),
        sa.ForeignKeyConstraint(
            ["order_id", "revision"], ["revisions.order_id", "revisions.number"]
        ),
    )
    only_adds("receipts", "id", "signature")
    only_adds("approvals", "id", "receipt_id")
