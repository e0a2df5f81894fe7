"""The work sheet's standing words: a few for each step, to be read at arm's length with wet hands.

Whole sentences stand after the last step. All defer to data sheet and local rules.
"""

from collections.abc import Mapping

__all__ = ["AT_THE_BENCH", "DEFER"]

DEFER = "All of it according to the product's data sheet and local rules."

_GLOVES = "Gloves"
_EYES = "Eyes covered"
_RESPIRATOR = "Respirator suited to the vapour"
_AIR = "Good ventilation"
_NO_FLAME = "No open flame near solvent or aerosol"
_BLADE = "Blades: cut away from the hand"
_DUST = "Sand wet or with extraction"
_MASK = "Fitted dust mask"
_LIP = "Lip and inside stay bare, unless a product is approved for food contact"

AT_THE_BENCH: Mapping[str, tuple[str, ...]] = {
    "prepare": (_GLOVES, _EYES, _DUST, _MASK, _AIR, _NO_FLAME),
    "mask": (_BLADE, _LIP),
    "paint": (_GLOVES, _EYES, _RESPIRATOR, "Extraction or outdoors", _NO_FLAME),
    "wrap": (_BLADE, _GLOVES, _AIR, _NO_FLAME),
    "seal": (_GLOVES, _AIR, _NO_FLAME),
    "glitter": (_GLOVES, "Dust mask: do not breathe flakes", _AIR, "No flakes into drains"),
    "coat": (
        "Nitrile gloves",
        _EYES,
        _RESPIRATOR,
        _AIR,
        "Mixed resin heats up: small batches",
        _NO_FLAME,
    ),
    "varnish": (_GLOVES, _RESPIRATOR, _AIR, _NO_FLAME),
    "sand": (_DUST, _MASK, _EYES, "No eating at the bench", "No dust into drains"),
    "wash": (_GLOVES, "Filter the water: no dust into drains"),
    "decal": (_BLADE, "Hot tools: keep fingers clear, never left switched on"),
    "edges": (_BLADE, "Rotary and hot tools: cup in a cradle", _EYES, _MASK, _LIP),
    "cure": ("Not to be used before it has cured", _LIP),
    "hand_over": ("Care card: no oven, microwave or dishwasher unless the data sheet allows it",),
}
