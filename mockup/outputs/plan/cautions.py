"""Cautions where the work can hurt someone, by step of the work and by what is on the shelf.

They are the usual ones. Each product's data sheet, local rules and licensed practice stand above
them, and the first sentence says so.
"""

from collections.abc import Iterable, Mapping, Sequence

from mockup.blank.wall import Blank
from mockup.design.products import AnyProduct, Drying, Epoxy
from mockup.design.shelf import Shelf

__all__ = ["DEFERENCE", "LIP_ZONE_MM", "STEP_CAUTIONS", "cautions", "product_cautions"]

LIP_ZONE_MM = 20.0  # outside, below the rim: ISO 6486 and ASTM C927

DEFERENCE = (
    "These are the usual cautions: each product's data sheet, local rules and licensed practice "
    "stand above them."
)

STEP_CAUTIONS: Mapping[str, tuple[str, ...]] = {
    "prepare": (
        "Solvent and steel dust: gloves, eye protection, good ventilation; no flame or spark near "
        "wet solvent.",
    ),
    "paint": (
        "Spray paint: outdoors or extracted, with a respirator that the data sheet names; no "
        "flame, torch or heat gun near wet paint or aerosol.",
    ),
    "wrap": ("Blades: cut away from the hand, hold the cup firmly, cap the blade when done.",),
    "seal": ("Sealer and adhesive: good ventilation; wash off skin at once.",),
    "glitter": (
        "Glitter: do not breathe it, keep it from eyes and small children; gather what falls, "
        "none into drains.",
    ),
    "coat": (
        "Uncured resin and hardener make skin allergic: nitrile gloves, eyes covered, good "
        "ventilation, and a respirator with the cartridge that the data sheet asks for.",
        "Mixed resin heats up by itself: keep to small batches, let leftovers harden outdoors on "
        "something that does not burn.",
    ),
    "varnish": ("Varnish: good ventilation; no flame near wet or sprayed varnish.",),
    "sand": (
        "Sanding cured resin and glitter: wet or with extraction, fitted dust mask, eye "
        "protection; no eating at the bench.",
    ),
    "wash": ("Keep sanding dust and glitter out of drains: filter the water.",),
    "decal": (
        "Blades and weeding hooks: cut away from the hand, eye protection for rotary tools.",
    ),
    "edges": (
        "Blades, rotary and hot tools: hold the cup in a cradle, eye protection, dust mask.",
    ),
    "cure": (
        "Do not use the cup before it is fully cured.",
        "Keep the inside and the lip bare: only products approved for food contact, cured as "
        "stated, belong there.",
        "Insulated steel: no oven, microwave or dishwasher for the decorated cup unless the "
        "product's data sheet allows it.",
    ),
}


def cautions(
    steps: Iterable[str], products: Sequence[AnyProduct], shelf: Shelf, blank: Blank
) -> tuple[str, ...]:
    """Whole sentences for the steps and products of one plan, without repeats.

    Parameters
    ----------
    steps
        Keys of `STEP_CAUTIONS`; those without any are passed over. "cure" is always added.
    """
    told = [DEFERENCE]
    for step in (*steps, "cure"):
        told += STEP_CAUTIONS.get(step, ())
    told += _lip(blank)
    told += product_cautions(products, shelf)
    return tuple(dict.fromkeys(told))


def product_cautions(products: Sequence[AnyProduct], shelf: Shelf) -> list[str]:
    """What the shelf's own figures ask for: batches, working time, the room's temperature."""
    told = []
    for product in dict.fromkeys(products):
        if isinstance(product, Epoxy):
            told.append(
                f"{product.name}: once mixed it can be worked for about "
                f"{product.working_time_min:g} min; mix no more than {product.largest_batch_ml:g} "
                f"mL at once{_source(product, 'working_time_min', 'largest_batch_ml')}."
            )
        drying: Drying | None = getattr(product, "drying", None)
        if drying is not None and not drying.least_c <= shelf.workshop.room_c <= drying.most_c:
            told.append(
                f"{product.name} is not for a room of {shelf.workshop.room_c:g} °C: keep it "
                f"between {drying.least_c:g} and {drying.most_c:g} °C until it has cured"
                f"{_source(product, 'drying.least_c', 'drying.most_c')}."
            )
    return told


def _source(product: AnyProduct, *figures: str) -> str:
    """Such as `` (typical)``, of a product that tells where each of its figures is from."""
    return f" ({product.source_of(*figures)})" if product.sources else ""


def _lip(blank: Blank) -> list[str]:
    if blank.rim_gap_mm >= LIP_ZONE_MM:
        return []
    return [
        f"The decoration ends {blank.rim_gap_mm:.1f} mm below the rim, inside the lip zone of "
        f"{LIP_ZONE_MM:.0f} mm that standards for food ware count (ISO 6486, ASTM C927): there, "
        "only products approved for food contact."
    ]
