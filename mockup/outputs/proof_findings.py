"""What the checks found, in a customer's words: what they will see, not what the maker may do."""

import re
from collections.abc import Iterable, Mapping

from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.design.layers import DecalLayer
from mockup.outputs.proof_facts import layer_name

__all__ = ["RULES_TOLD", "customer_words"]

RULES_TOLD: Mapping[str, tuple[str, str]] = {
    "low contrast": (
        "{name}: close in brightness to what lies behind it, and hard to read across a table.",
        "{name}: close in brightness to what lies behind it, so that it stands out little.",
    ),
    "fades out": (
        "{name}: hard to read from some sides and in some light. Look at it from all sides first.",
        "{name}: stands out little from some sides and in some light.",
    ),
    "weak colour vision": (
        "{name}: may be hard to read for people who see some colours alike.",
        "{name}: may stand out little for people who see some colours alike.",
    ),
    "covered": 2 * ("{name}: a part of it lies below other layers and is not seen.",),
    "fine stroke": 2 * ("{name}: fine strokes, which not everybody tells apart from a metre.",),
    "small letters": 2 * ("{name}: small letters, to be read close up.",),
}
"""Rules that a customer should know of, as told of lettering and of a drawing; the others are the
maker's own business.
"""


def customer_words(design: Design, findings: Iterable[Finding]) -> tuple[str, ...]:
    """A sentence for each rule and decal, each once, in the order of the findings."""
    told: dict[str, None] = {}
    for finding in findings:
        place = re.search(r"layers\[(\d+)\]", finding.where)
        if finding.rule in RULES_TOLD and place is not None:
            layer = design.document.layers[int(place[1])]
            lettering = isinstance(layer, DecalLayer) and layer.text is not None
            words = RULES_TOLD[finding.rule][0 if lettering else 1]
            told[words.format(name=layer_name(layer))] = None
    return tuple(told)
