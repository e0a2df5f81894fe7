"""Designs and shelves for the plan's tests, made without files."""

from mockup.design.document import Asset, Design, Document
from mockup.design.palette import Palette
from mockup.design.shelf import Shelf, typical_shelf_text
from mockup.design.strict import parse_toml, validate

__all__ = ["BASE", "COAT", "STRAIGHT", "changed", "design_of", "glitter", "typical"]

STRAIGHT = {"shape": "straight", "diameter_mm": 73.0, "wall_height_mm": 150.0}
BASE = {"kind": "base", "swatch": "base"}
COAT = {"kind": "coat", "thickness_mm": 0.4}
PALETTE = Palette.model_validate(
    {
        "format": 1,
        "name": "neap",
        "roles": {
            "base": {"kind": "pigment", "srgb": "#0b2545", "label": "navy"},
            "mark": {"kind": "pigment", "srgb": "#0b2545", "label": "ink vinyl"},
            "foil": {"kind": "metal", "metal": "copper", "label": "copper foil"},
            "flake": {"kind": "metal", "metal": "aluminium", "label": "silver flake"},
            "second": {"kind": "metal", "metal": "copper", "label": "copper flake"},
        },
    }
)
SQUARE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10" width="10mm" height="10mm">'
    b'<rect width="10" height="10"/></svg>'
)


def design_of(layers, blank=STRAIGHT):
    """A design of these layers under one palette, with a square as artwork."""
    document = Document.model_validate(
        {"format": 1, "title": "Seat 3", "palette": "neap", "blank": blank, "layers": layers}
    )
    assets = {"assets/square.svg": Asset("assets/square.svg", SQUARE)}
    return Design(document, {"neap": PALETTE}, assets, "design.toml")


def glitter(coverage, *, mix=({"swatch": "flake"},), **keys):
    """A glitter layer with one shape of coverage."""
    return {"kind": "glitter", "cut_mm": 0.4, "mix": list(mix), "coverage": [coverage], **keys}


def typical(**changes):
    """The typical shelf; `changes` are of products, by kind: key → value."""
    raw = parse_toml(typical_shelf_text().encode(), where="typical shelf")
    for product in raw["products"]:
        product |= changes.get(product["kind"], {})
    return validate(Shelf, raw, where="typical shelf")


def changed(shelf, part, **values):
    """The shelf with other values in its rates, workshop or handling."""
    return shelf.model_copy(update={part: getattr(shelf, part).model_copy(update=values)})
