"""What the checks found, in a customer's words: what they will see, not what the maker may do."""

import re
from collections.abc import Iterable, Mapping

from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.outputs.proof_facts import layer_name

__all__ = ["RULES_TOLD", "customer_words"]

RULES_TOLD: Mapping[str, str] = {
    "low contrast": "{name}: it is close in brightness to what lies behind it. It shows as an "
    "ornament, and is hard to read from across a table.",
    "fades out": "{name}: from some sides and in some light it is hard to tell from what lies "
    "behind it. Look at it from all sides first.",
    "weak colour vision": "{name}: for people who see some colours alike it may be hard to read.",
    "covered": "{name}: a part of it lies below other layers and is not seen.",
    "fine stroke": "{name}: its strokes are fine, and not everybody tells them apart from a metre.",
    "small letters": "{name}: its letters are small, to be read close up.",
}
"""Rules that a customer should know of; the others are the maker's own business."""


def customer_words(design: Design, findings: Iterable[Finding]) -> tuple[str, ...]:
    """A sentence for each rule and decal, each once, in the order of the findings."""
    told: dict[str, None] = {}
    for finding in findings:
        place = re.search(r"layers\[(\d+)\]", finding.where)
        if finding.rule in RULES_TOLD and place is not None:
            name = layer_name(design.document.layers[int(place[1])])
            told[RULES_TOLD[finding.rule].format(name=name)] = None
    return tuple(told)
