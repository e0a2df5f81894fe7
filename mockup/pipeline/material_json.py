"""A material as plain values."""

from collections.abc import Iterable
from typing import Any

from mockup.design.products import figures_of
from mockup.store.material_records import Claim, Material
from mockup.store.used import Factor

__all__ = ["material_as_json"]


def material_as_json(
    material: Material, *, claims: Iterable[Claim] = (), factor: Factor | None = None
) -> dict[str, Any]:
    """Plain values; amounts in the unit beside them, money in whole minor units."""
    product, look = material.product, material.look
    figures = {}
    for name in figures_of(type(product)):
        part, _, inner = name.rpartition(".")
        value = getattr(getattr(product, part) if part else product, inner)
        source = product.sources.get(name, product.source)
        figures[name] = {"value": value, "source": source}
    return {
        "name": material.name,
        "kind": product.kind,
        "suits": list(product.suits),
        "batch": material.batch,
        "note": material.note,
        "away": material.away,
        "unit": material.unit,
        "on_hand": float(material.on_hand),
        "reserved": float(material.reserved),
        "free": float(material.free),
        "figures": figures,
        "swatch": look and look.swatch.model_dump(mode="json"),
        "measured": dict(look.measured) if look else {},
        "photo": material.photo is not None,
        "orders": [
            {
                "order": claim.order_id,
                "planned": claim.planned and float(claim.planned),
                "reserved": float(claim.reserved),
                "used": float(claim.used),
                "used_as_planned": float(claim.assumed),
            }
            for claim in claims
        ],
        "learned": factor
        and {
            "factor": factor.mean,
            "deviation_of_log": factor.deviation,
            "orders": factor.count,
            "low": factor.low,
            "high": factor.high,
            "loss_share": factor.loss_share,
        },
    }
