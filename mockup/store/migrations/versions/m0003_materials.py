"""The maker's materials with their looks and stock, and finished cups."""

import sqlalchemy as sa
from alembic import op

from mockup.store.migrations.append_only import only_adds

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make their tables."""
    _materials()
    _moves()
    op.create_table(
        "finished",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("order_id", sa.Integer, sa.ForeignKey("orders.id"), nullable=False, index=True),
        sa.Column("revision", sa.Integer),
        sa.Column("fingerprint", sa.String(64), nullable=False, index=True),
        sa.Column("photo", sa.String(64), nullable=False),
        sa.Column("picture", sa.String(64)),
        sa.Column("facts", sa.JSON, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
    )
    only_adds("looks", "id")
    only_adds("moves", "id")
    only_adds("finished", "id")


def _materials() -> None:
    op.create_table(
        "materials",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("folded_name", sa.Text, nullable=False, unique=True),
        sa.Column("product", sa.JSON, nullable=False),
        sa.Column("batch", sa.Text, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("photo", sa.String(64)),
        sa.Column("away", sa.Boolean, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
    )
    op.create_table(
        "looks",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column(
            "material_id", sa.Integer, sa.ForeignKey("materials.id"), nullable=False, index=True
        ),
        sa.Column("swatch", sa.JSON, nullable=False),
        sa.Column("measured", sa.JSON, nullable=False),
        sa.Column("photos", sa.JSON, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
    )


def _moves() -> None:
    op.create_table(
        "moves",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column(
            "material_id", sa.Integer, sa.ForeignKey("materials.id"), nullable=False, index=True
        ),
        sa.Column("order_id", sa.Integer, sa.ForeignKey("orders.id"), index=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("on_hand", sa.BigInteger, nullable=False),
        sa.Column("reserved", sa.BigInteger, nullable=False),
        sa.Column("planned", sa.BigInteger),
        sa.Column("planned_net", sa.BigInteger),
        sa.Column("price_minor", sa.BigInteger),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
    )
