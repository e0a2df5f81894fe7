"""The proof's standing words. Cautions defer to data sheet, local rules and licensed practice."""

from collections.abc import Mapping

__all__ = [
    "APPROVAL",
    "BEFORE_SIGNING",
    "CARE",
    "COAT_DIFFERS",
    "FLAKES_DIFFER",
    "FOIL_DIFFERS",
    "GLITTER_NOTE",
    "LIGHTS",
    "LIGHT_LABELS",
    "LIGHT_NOTE",
    "MISSING_LETTERS",
    "OWN_LIGHT",
    "SCREENS_DIFFER",
    "SEAM_DIFFERS",
]

BEFORE_SIGNING = "Before you sign"  # heads the pages at the end, and is pointed to by the first
FLAKES_DIFFER = (
    "Flakes fall where they fall: amount, cut and colours are as shown, their places are not."
)
FOIL_DIFFERS = (
    "Foil takes a fine crinkle of its own, and its shine changes with the light round it."
)
SEAM_DIFFERS = "Where the artwork's two ends meet, a fine line can be seen up close."
COAT_DIFFERS = (
    "The clear coat levels by itself: slight ripples and small bubbles are part of the craft."
)
SCREENS_DIFFER = (
    "Screens and printers differ. Judge colours by the maker's own samples, in your light."
)

CARE = (
    "The inside and the edge of the lip stay bare steel.",
    "Wash by hand in warm water and dry. No soaking, no scouring.",
    "No oven, microwave or dishwasher, unless the data sheets of the products used allow it.",
    "Use only after the full cure that the clear coat's data sheet asks for.",
    "Data sheets and local rules stand above this sheet.",
)

LIGHTS: Mapping[str, str] = {
    "softbox": "Studio light: large, even diffusers in daylight white, as a photographer uses.",
    "window": "Daylight from a tall window at the left, and a warm lamp at the right.",
    "kitchen": "A room in the evening, lit by warm LED lamps.",
    "market": "Noon outdoors: high sun, blue sky, a stall's canvas at the right.",
    "evening": "After sunset: strings of small warm lamps and the last blue of the sky.",
}
LIGHT_LABELS: Mapping[str, str] = {
    "softbox": "Studio",
    "window": "By a window",
    "kitchen": "Kitchen lamps",
    "market": "Outdoors",
    "evening": "Evening lamps",
}
OWN_LIGHT = "A surrounding that the maker recorded."
LIGHT_NOTE = "In other light the same cup looks lighter or darker, warmer or cooler."

GLITTER_NOTE = "Glitter is drawn as its mean colour, in even light."

APPROVAL = (
    "A signature here is for this revision alone. Any change to the design gives a new "
    "fingerprint and a new proof."
)

MISSING_LETTERS = "A box □ stands for a letter that this sheet's type lacks: {letters}."
