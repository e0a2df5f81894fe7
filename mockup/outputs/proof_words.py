"""The proof's standing words. Cautions defer to data sheet, local rules and licensed practice."""

__all__ = ["APPROVAL", "CARE", "DIFFERENCES", "FLAT_NOTE"]

DIFFERENCES = (
    "Flakes fall where they fall: amount, cut and colours are as shown, their places are not.",
    "Foil takes a fine crinkle of its own, and its shine changes with the light round it.",
    "Where the artwork's two ends meet at the back, a fine line can be seen up close.",
    "Screens and printers differ. Judge colours by the maker's own samples, in your light.",
    "The clear coat levels by itself: slight ripples and small bubbles are part of the craft.",
)

CARE = (
    "The inside and the edge of the lip stay bare steel.",
    "Wash by hand in warm water and dry. No soaking, no scouring.",
    "No oven, microwave or dishwasher, unless the data sheets of the products used allow it.",
    "Use only after the full cure that the clear coat's data sheet asks for.",
    "Data sheets and local rules stand above this sheet.",
)

FLAT_NOTE = (
    "Glitter is drawn as its mean colour.",
    "Print at 100 %, not fitted to the page, and check a ruler against your own.",
)

APPROVAL = (
    "A signature here is for this revision alone. Any change to the design gives a new "
    "fingerprint and a new proof."
)
