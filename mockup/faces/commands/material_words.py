"""Materials as a maker reads them in a terminal."""

from collections.abc import Iterator, Sequence

from mockup.design.products import figures_of
from mockup.outputs.plan.figures import counted, figure, unit_of
from mockup.outputs.plan.words import table
from mockup.pipeline.materials import factor_in_words
from mockup.store.material_records import Claim, Material, Move
from mockup.store.used import Factor

__all__ = ["material_in_words", "stock_in_words"]

MOVES = 8  # of the newest that are told


def stock_in_words(material: Material) -> str:
    """Such as ``copper flake: 42.500 g on hand, 12 g reserved, 30.500 g free``."""
    unit = material.unit
    told = f"{material.name}: {counted(float(material.on_hand), unit)} on hand"
    if material.reserved:
        free = float(material.free)
        left = f"{counted(free, unit)} free" if free >= 0 else f"{counted(-free, unit)} short"
        told += f", {counted(float(material.reserved), unit)} reserved, {left}"
    return told + (", put away" if material.away else "")


def material_in_words(
    material: Material, claims: Sequence[Claim], factor: Factor | None, moves: Sequence[Move]
) -> str:
    """Everything of a material."""
    parts = [
        [stock_in_words(material), *_said(material)],
        ["Figures", *table(list(_figures(material)), right=(1,))],
        ["Orders", *_orders(material, claims)] if claims else [],
        ["What use taught", *_taught(material, factor)] if factor else [],
        ["Stock, the newest first", *_moves(moves)] if moves else [],
    ]
    return "\n\n".join("\n".join(part) for part in parts if part)


def _said(material: Material) -> Iterator[str]:
    product, look = material.product, material.look
    kind = product.kind.replace("_", " ")
    yield f"  {kind}, for {' and '.join(product.suits) or 'any use'}"
    if material.batch:
        yield f"  batch {material.batch}"
    if look is not None:
        how = "measured" if look.measured else "chosen by eye"
        yield f"  swatch: {look.swatch.kind}, {how}; {look.swatch.source}"
    for line in material.note.splitlines():
        yield f"  {line}"


def _figures(material: Material) -> Iterator[tuple[str, str, str]]:
    product = material.product
    for name in figures_of(type(product)):
        part, _, inner = name.rpartition(".")
        value = getattr(getattr(product, part) if part else product, inner)
        told = "none" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
        yield name, told, product.source_of(name).partition(";")[0]


def _orders(material: Material, claims: Sequence[Claim]) -> list[str]:
    rows: list[tuple[str, ...]] = [("order", "planned", "reserved", "used", "as planned", "")]
    for claim in claims:
        sums = (claim.planned or 0, claim.reserved, claim.used, claim.assumed)
        figures = (figure(float(part)) if part else "–" for part in sums)
        rows.append((str(claim.order_id), *figures, unit_of(float(sum(sums)), material.unit)))
    return table(rows, right=(0, 1, 2, 3, 4))


def _taught(material: Material, factor: Factor) -> Iterator[str]:
    yield f"  {factor_in_words(factor)}"
    planned = material.product.loss_share
    if factor.loss_share != planned:
        yield f"  planned with loss_share = {planned:g}, proposed {factor.loss_share:g};"
        yield f"  take it by: tumbler-mockup materials change {material.name!r} --learned"


def _moves(moves: Sequence[Move]) -> list[str]:
    rows = []
    for move in moves[:MOVES]:
        day = f"{move.made_at.astimezone():%Y-%m-%d %H:%M}"
        much = float(move.on_hand or move.reserved)
        order = f"order {move.order_id}" if move.order_id is not None else ""
        rows.append(
            (day, move.kind, f"{'-' if much < 0 else '+'}{figure(abs(much))}", order, move.note)
        )
    return table(rows, right=(2,))
