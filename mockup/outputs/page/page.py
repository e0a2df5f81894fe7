"""Puts the proof page together: one file that asks for nothing from outside."""

import base64
import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from string import Template
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mockup.errors import OutputError
from mockup.files import source_text
from mockup.outputs.facts import LightFact, ProofFacts, SwatchFact
from mockup.outputs.page.facts_html import facts_html, jpeg_address
from mockup.outputs.page.hold import Hold, data_scripts
from mockup.outputs.proof_words import LIGHT_LABELS
from mockup.outputs.revision import short_fingerprint

__all__ = ["MOST_BYTES", "CloserView", "PageOption", "Seal", "lay_out_page"]

MOST_BYTES = 3_000_000
STILL_PX, STILL_QUALITY = 420, 72
DROPS = 5  # colours that an option's button shows

_SELF = "mockup.outputs.page"


@dataclass(frozen=True, slots=True)
class Seal:
    """What an answer is signed with and says: the proof's number and key, its order, its revision.

    `reply_to` is the maker's address; empty leaves it to the customer's mail program.
    """

    proof: str
    key: bytes
    order: str
    revision: int
    reply_to: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class PageOption:
    """One palette that the customer may choose; `still` is shown where nothing can be drawn."""

    palette: str
    fingerprint: str
    swatches: tuple[SwatchFact, ...]
    findings: tuple[str, ...]
    still: NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class CloserView:
    """Where the lettering is looked at: a place of the wall, and how much larger than the whole."""

    turn_deg: float
    height_mm: float
    zoom: float


def lay_out_page(
    facts: ProofFacts,
    options: Sequence[PageOption],
    lights: Sequence[LightFact],
    hold: Hold,
    closer: CloserView,
    seal: Seal,
) -> bytes:
    """The page as UTF-8. The same facts, cup and seal give the same bytes.

    Parameters
    ----------
    facts
        Of the first option.
    options, lights
        What can be switched; `hold` carries the cup for each of their pairs.

    Raises
    ------
    OutputError
        It would be larger than `MOST_BYTES`.
    """
    script = _script()
    stills = [jpeg_address(o.still, STILL_PX, quality=STILL_QUALITY) for o in options]
    page = Template(_source("page.html")).substitute(
        policy=_policy(script),
        style=_source("page.css"),
        script=script,
        title=escape(f"Proof: {facts.title}"),
        heading=escape(facts.title),
        revision=escape(f"{_capital(facts.revision)} · " if facts.revision else ""),
        short=facts.short_fingerprint,
        proof=escape(seal.proof),
        fingerprint=facts.fingerprint,
        still=stills[0],
        alt=escape(f"The cup {facts.title}, from the front"),
        switches=_switches(options, lights),
        facts=facts_html(facts, [o.swatches for o in options], [o.findings for o in options]),
        answer=_answer(facts, options),
        told=_as_data(_told(facts, options, stills, lights, hold, closer, seal)),
        data="\n".join(data_scripts(hold)),
    )
    data = page.encode("utf-8")
    if len(data) >= MOST_BYTES:
        raise OutputError(
            f"the page has {len(data) / 1e6:.1f} MB, more than the {MOST_BYTES / 1e6:g} that mail "
            "and phones take well",
            where="proof page",
            remedy="Show fewer options or lights, or send the sheet as a PDF",
        )
    return data


def _source(name: str) -> str:
    return source_text(_SELF, name)


def _script() -> str:
    """The viewer, the receipt and the page in one, each with names of its own."""
    viewer = source_text("mockup.render.web", "cup.js").replace("export function", "function")
    receipt = source_text("mockup", "receipt.js")
    return (
        f"const showCup = (() => {{\n{viewer}\nreturn showCup;\n}})();\n"
        f"const {{ writeReceipt, receiptMoment }} = (() => {{\n{receipt}\n"
        f"return {{ writeReceipt, receiptMoment }};\n}})();\n{_source('page.js')}"
    )


def _policy(script: str) -> str:
    """What the page may do: run this very script and show pictures of its own, nothing else."""
    assert "</script" not in script.lower(), "the script would end early"
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    return (
        f"default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'; "
        "img-src data: blob:; form-action 'none'; base-uri 'none'"
    )


def _as_data(told: Mapping[str, Any]) -> str:
    """JSON that cannot end its block: `<` is spelled as an escape."""
    spelled = json.dumps(told, ensure_ascii=False, separators=(",", ":"))
    return spelled.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _told(
    facts: ProofFacts,
    options: Sequence[PageOption],
    stills: Sequence[str],
    lights: Sequence[LightFact],
    hold: Hold,
    closer: CloserView,
    seal: Seal,
) -> dict[str, Any]:
    return {
        "proof": seal.proof,
        "key": seal.key.hex(),
        "order": seal.order,
        "revision": seal.revision,
        "reply_to": seal.reply_to,
        "label": f"The cup {facts.title}",
        "options": [
            {
                "palette": o.palette,
                "fingerprint": o.fingerprint,
                "short": short_fingerprint(o.fingerprint),
                "still": still if nth else "",  # the first one's is in the page already
            }
            for nth, (o, still) in enumerate(zip(options, stills, strict=True))
        ],
        "lights": [{"name": light.name, "words": light.words} for light in lights],
        "closer": {
            "turn_deg": round(closer.turn_deg, 3),
            "height_mm": round(closer.height_mm, 3),
            "zoom": round(closer.zoom, 3),
        },
        **hold.told(),
    }


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _switches(options: Sequence[PageOption], lights: Sequence[LightFact]) -> str:
    """Radio buttons; a single option or light needs none."""
    groups = []
    if len(options) > 1:
        choices = [
            (str(i), _drops(option) + escape(option.palette)) for i, option in enumerate(options)
        ]
        groups.append(_choices("option", "Colours", choices))
    if len(lights) > 1:
        labels = [
            (light.name, escape(LIGHT_LABELS.get(light.name, light.name))) for light in lights
        ]
        groups.append(_choices("light", "Light", labels))
    return "\n".join(groups)


def _choices(name: str, legend: str, choices: Sequence[tuple[str, str]]) -> str:
    labels = "".join(
        f'<label><input type="radio" name="{name}" value="{escape(value)}"'
        f"{' checked' if i == 0 else ''}><span>{label}</span></label>"
        for i, (value, label) in enumerate(choices)
    )
    return f'<fieldset><legend>{legend}</legend><div class="choices">{labels}</div></fieldset>'


def _drops(option: PageOption) -> str:
    colours = [swatch.hex_srgb for swatch in option.swatches[:DROPS]]
    drops = "".join(f'<i style="background:{colour}"></i>' for colour in colours)
    return f'<span class="drops" aria-hidden="true">{drops}</span>'


def _answer(facts: ProofFacts, options: Sequence[PageOption]) -> str:
    price = facts.quote.rows[-1] if facts.quote else None
    return Template(_source("answer.html")).substitute(
        revision=escape(facts.revision or "this design"),
        palette=escape(options[0].palette),
        price=escape(f" Price: {price[1]}, {price[0]}.") if price else "",
    )
