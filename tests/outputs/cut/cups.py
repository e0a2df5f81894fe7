"""Small designs for the cut sheets' tests, all on cups of round numbers."""

from mockup.blank.wall import build_blank
from mockup.design.document import Asset, Design, Document
from mockup.design.palette import MetalSwatch, Palette, PigmentSwatch
from mockup.design.shelf import Shelf, typical_shelf_text
from mockup.design.strict import parse_toml, validate

SHELF = validate(
    Shelf, parse_toml(typical_shelf_text().encode(), where="typical shelf"), where="typical shelf"
)
STRAIGHT = {"shape": "straight", "diameter_mm": 73.0, "wall_height_mm": 150.0}
TAPERED = {
    "shape": "tapered",
    "foot_diameter_mm": 58.0,
    "rim_diameter_mm": 74.0,
    "wall_height_mm": 170.0,
}
BASE = {"kind": "base", "swatch": "navy"}
WAVE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 10">'
    b'<path d="M0 5C10 -5 10 15 20 5S30 15 40 5V10H0Z"/></svg>'
)
DISC = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-5 -5 10 10"><circle r="5"/></svg>'
BAR = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 2"><path d="M0 0H40V2H0Z"/></svg>'
ASSETS = {"assets/wave.svg": WAVE, "assets/disc.svg": DISC, "assets/bar.svg": BAR}
PALETTE = Palette(
    format=1,
    name="harbour",
    roles={
        "navy": PigmentSwatch(kind="pigment", srgb="#0d2348"),
        "ivory": PigmentSwatch(kind="pigment", srgb="#f2ead8"),
        "copper": MetalSwatch(kind="metal", metal="copper"),
    },
)


def decal(**keys):
    """A copper decal in the middle of the wall."""
    whole = {"kind": "decal", "swatch": "copper", "place": {"height_mm": 75.0}} | keys
    if not {"text", "svg", "bitmap"} & whole.keys():
        whole |= {"svg": "assets/disc.svg", "width_mm": 20.0}
    return whole


def wrap(**keys):
    return {"kind": "wrap", "artwork": "assets/wave.svg"} | keys


def design_of(*layers, blank=STRAIGHT, **drawings):
    """A design on `blank`; `drawings` are further SVGs, name → bytes of assets/NAME.svg."""
    document = Document.model_validate(
        {
            "format": 1,
            "title": "Seaglass Eight",
            "palette": "harbour",
            "blank": blank,
            "layers": [BASE, *layers],
        }
    )
    files = ASSETS | {f"assets/{name}.svg": data for name, data in drawings.items()}
    assets = {name: Asset(name, data) for name, data in files.items()}
    return Design(document, {"harbour": PALETTE}, assets, "design.toml")


def built(blank):
    return build_blank(design_of(blank=blank).document.blank, where="design.toml: blank")
