"""The facts of a proof as HTML: every text of others is escaped, and stays text."""

import base64
import io
from collections.abc import Iterable, Sequence
from html import escape

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from mockup.outputs.facts import Elevation, ProofFacts, Quote, Size, SwatchFact
from mockup.outputs.proof_scale import CAN_HEIGHT_MM, CAN_WIDTH_MM, can_outline_mm
from mockup.outputs.proof_style import length_text
from mockup.outputs.proof_words import CARE, LIGHT_NOTE

__all__ = ["facts_html", "jpeg_address"]

GAP_MM, MARGIN_MM = 14.0, 16.0
LONG_WORDS = 400
CLOSE_PX, SIDE_PX, FLAT_PX, ELEVATION_PX = 450, 200, 700, 260


def facts_html(
    facts: ProofFacts,
    swatches: Sequence[Sequence[SwatchFact]],
    findings: Sequence[Sequence[str]],
) -> str:
    """The cards of the page, from what matters most to what is looked up.

    Parameters
    ----------
    swatches, findings
        Of each option; those of the first are shown, the others wait.
    """
    parts = [
        *(_findings(option, told) for option, told in enumerate(findings)),
        _card("From the maker", _words(facts.note)) if facts.note else "",
        _card("Price", _price(facts.quote)) if facts.quote else "",
        _card("Close up, and from all sides", _pictures(facts)),
        _card("Colours and materials", "".join(map(_swatches, range(len(swatches)), swatches))),
        _card("How large it is", _scale(facts.elevation) + _sizes(facts.sizes)),
        _card("The wall unrolled", _flat(facts)),
        _card("Made by hand, so this may differ", _points(facts.differences)),
        _card("Light", _points((facts.light.words, LIGHT_NOTE))),
        _card("Care and food safety", _points((*facts.cautions, *CARE))),
    ]
    return "\n".join(part for part in parts if part)


def jpeg_address(rgb8_srgb: NDArray[np.uint8], width_px: int, *, quality: int = 80) -> str:
    """A picture within the page itself, at most so wide."""
    image = Image.fromarray(rgb8_srgb)
    if image.width > width_px:
        height = round(image.height * width_px / image.width)
        image = image.resize((width_px, height), Image.Resampling.LANCZOS)
    file = io.BytesIO()
    image.save(file, "JPEG", quality=quality, optimize=True, progressive=True)
    return "data:image/jpeg;base64," + base64.b64encode(file.getvalue()).decode("ascii")


def _card(heading: str, body: str) -> str:
    return f'<section class="card"><h2>{heading}</h2>{body}</section>'


def _findings(option: int, told: Sequence[str]) -> str:
    if not told:
        return ""
    hidden = " hidden" if option else ""
    card = f'<section class="card" data-option="{option}"{hidden}>'
    return f"{card}<h2>Please note</h2>{_points(told)}</section>"


def _points(texts: Iterable[str]) -> str:
    items = "".join(f'<li dir="auto">{escape(text)}</li>' for text in texts)
    return f'<ul class="points">{items}</ul>'


def _words(text: str) -> str:
    scrolls = ' tabindex="0"' if len(text) > LONG_WORDS else ""  # so that keys can scroll it
    return f'<p class="words" dir="auto"{scrolls}>{escape(text)}</p>'


def _price(quote: Quote) -> str:
    last = len(quote.rows) - 1
    rows = "".join(
        f'<tr{" class=sum" if i == last else ""}><th scope="row">{escape(what)}</th>'
        f"<td>{escape(total)}</td></tr>"
        for i, (what, total) in enumerate(quote.rows)
    )
    note = f'<p class="small">{escape(quote.note)}</p>' if quote.note else ""
    return f"<table>{rows}</table>{note}"


def _figure(address: str, caption: str, alt: str) -> str:
    return (
        f'<figure><img src="{address}" alt="{escape(alt)}">'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
    )


def _pictures(facts: ProofFacts) -> str:
    label = facts.close_up.label
    close = _figure(jpeg_address(facts.close_up.rgb8_srgb, CLOSE_PX, quality=72), label, label)
    sides = "".join(
        _figure(
            jpeg_address(view.rgb8_srgb, SIDE_PX, quality=74),
            view.label,
            f"The cup, {view.label.lower()}",
        )
        for view in facts.sides
    )
    other = (
        f'<p class="small" data-other hidden>The pictures from here on show '
        f"{escape(facts.palette)}.</p>"
    )
    return f'{other}<div class="wide">{close}</div><div class="four">{sides}</div>'


def _swatches(option: int, swatches: Sequence[SwatchFact]) -> str:
    items = "".join(
        f'<li><i style="background:{swatch.hex_srgb}"></i><div>'
        f'<h3 dir="auto">{escape(swatch.material)}</h3><span>{escape(swatch.finish)}</span>'
        f'<span class="small">{swatch.hex_srgb} · {escape(swatch.numbers)}</span>'
        f'<span class="small">From: {escape(swatch.source)}</span></div></li>'
        for swatch in swatches
    )
    hidden = " hidden" if option else ""
    return f'<ul class="swatches" data-option="{option}"{hidden}>{items}</ul>'


def _sizes(sizes: Iterable[Size]) -> str:
    rows = "".join(
        f'<tr><th scope="row" dir="auto">{escape(label)}</th><td>{length_text(mm)}</td></tr>'
        for label, mm in sizes
    )
    return f"<table>{rows}</table>"


def _flat(facts: ProofFacts) -> str:
    flat = facts.flat
    size = f"{flat.width_mm:.1f} × {flat.height_mm:.1f} mm"
    glitter = " Glitter is drawn as its mean colour." if facts.glitters else ""
    caption = f"{size}. The middle is the front.{glitter}"
    address = jpeg_address(flat.rgb8_srgb, FLAT_PX, quality=70)
    return f'<div class="wide">{_figure(address, caption, "The decorated wall, laid flat")}</div>'


def _scale(elevation: Elevation) -> str:
    """Cup and can on one line, in millimetres."""
    width = elevation.widest_mm + GAP_MM + CAN_WIDTH_MM
    height = max(elevation.height_mm, CAN_HEIGHT_MM)
    can = elevation.widest_mm + GAP_MM + CAN_WIDTH_MM / 2
    outline = " ".join(f"{can + x:.1f},{height - y:.1f}" for x, y in can_outline_mm())
    left = (elevation.widest_mm - elevation.width_mm) / 2
    address = jpeg_address(elevation.rgb8_srgb, ELEVATION_PX, quality=78)
    box = f"{-MARGIN_MM:g} -4 {width + 2 * MARGIN_MM:.1f} {height + 26:.1f}"
    cup = elevation.widest_mm / 2
    labels = "".join(
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="middle">{text}</text>'
        for x, y, text in (
            (cup, height + 10, f"Ø {elevation.widest_mm:.1f} mm"),
            (cup, height + 19, f"{elevation.height_mm:.1f} mm high"),
            (can, height + 10, "a plain drink can"),
            (can, height + 19, f"{CAN_HEIGHT_MM:g} mm high"),
        )
    )
    return (
        f'<div class="scale"><svg viewBox="{box}" role="img" '
        f'aria-label="The cup beside a plain drink can, at one scale">'
        f'<image href="{address}" x="{left:.2f}" y="{height - elevation.height_mm:.2f}" '
        f'width="{elevation.width_mm:.2f}" height="{elevation.height_mm:.2f}"/>'
        f'<polygon points="{outline}" fill="#f4f6f8" stroke="#657285" stroke-width=".7"/>'
        f'<path d="M-6 {height:.1f}H{width + 6:.1f}" stroke="#122442" stroke-width=".8"/>'
        f'<g class="figures">{labels}</g></svg></div>'
    )
