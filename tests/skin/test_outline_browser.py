"""Outlines are what a browser paints: each drawing is compared with Chromium's own picture."""

import base64
import io

import numpy as np
import pytest
from PIL import Image

from mockup.design.document import Asset
from mockup.skin.outline import outline_from_svg

pytestmark = pytest.mark.browser

LONG_SIDE_PX = 1000
FINER = 3  # lines through each row of pixels, in our own raster
XMLNS = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'

# name → (attributes of the root, content); the view box is the picture, so it begins at (0, 0)
# in px after the browser has fitted it.
DRAWINGS = {
    "nested groups and transforms": (
        'viewBox="0 0 200 120"',
        """
        <g transform="translate(100 60) rotate(20)"><g transform="scale(1.2 .7) skewX(15)">
        <rect x="-40" y="-30" width="80" height="60"/><g transform="matrix(.5 .2 -.3 .8 40 10)">
        <circle r="25" cx="20"/></g></g></g><rect width="20" height="20"
        transform="rotate(45 20 20) translate(4,4)"/>
        """,
    ),
    "arcs of every kind": (
        'viewBox="0 0 120 80"',
        """
        <path d="M10 40A20 30 30 0 1 40 40A20 30 30 1 0 10 40z"/>
        <path d="M60 20a15 15 0 1130 0z"/><path d="M60 60a2 2 0 0 0 40 10L110 50z"/>
        <path d="m100 10 a5,5 45 1,1 10,0 a10 10 0 0 1-10 0"/><path d="M5 70a0 5 0 0 1 20 5v-9z"/>
        """,
    ),
    "all path commands, relative and absolute": (
        'viewBox="0 0 120 100"',
        """
        <path d="M10 10h30v10H30V40L20,45l-10-5Z
        m50 0c10-10 20 10 30 0s10 10 5 20S80 30 60 30z
        M10 60q10-10 20 0t20 0T70 70V90H10zl0 0
        M80 60Q100 40 110 60.5.5 10-20 30z"/>
        """,
    ),
    "strokes with caps and joins": (
        'viewBox="0 0 160 100"',
        """
        <g fill="none" stroke="#333" stroke-width="10"><path d="M15 80L30 20L45 80"/>
        <path d="M60 80L75 20L90 80" stroke-linejoin="round" stroke-linecap="round"/>
        <path d="M105 80L120 20L135 80" stroke-linejoin="bevel" stroke-linecap="square"/>
        <path d="M10 92h0M30 92z" stroke-linecap="round" stroke-width="6"/>
        <path d="M145 20L150 60L155 20" stroke-width="3" stroke-miterlimit="20"/></g>
        """,
    ),
    "curved stroke, squeezed": (
        'viewBox="0 0 160 100"',
        """
        <g transform="translate(80 50) scale(2 .8)"><path d="M-30 0C-30-60 30 60 30 0S-10 20-10 0"
        fill="none" stroke="navy" stroke-width="8"/></g>
        """,
    ),
    "dashes": (
        'viewBox="0 0 160 100"',
        """
        <g fill="none" stroke="teal" stroke-width="8"><circle cx="40" cy="50" r="30"
        stroke-dasharray="12 4 2" stroke-width="12"/><path d="M90 20h60v60h-60z"
        stroke-dasharray="9,11" stroke-dashoffset="-5" stroke-linecap="round"/>
        <path d="M95 50h50" pathLength="10" stroke-dasharray="1 1"/><rect x="100" y="60" rx="6"
        width="40" height="14" stroke-width="2" style="stroke-dasharray:6px 3px"/></g>
        """,
    ),
    "even-odd and non-zero star": (
        'viewBox="0 0 220 110"',
        """
        <path id="s" d="M55 5L85 100L5 40H105L25 100z" fill-rule="evenodd"/>
        <path d="M165 5L195 100L115 40H215L135 100z"/>
        """,
    ),
    "holes by direction": (
        'viewBox="0 0 100 60"',
        """
        <path d="M5 5h40v50h-40zM15 15v30h20v-30z"/><path d="M55 5h40v50h-40zM65 15h20v30h-20z"/>
        """,
    ),
    "use, symbol and defs": (
        'viewBox="0 0 200 100"',
        """
        <defs><g id="oar"><rect x="-2" y="-40" width="4" height="60"/>
        <ellipse cy="28" rx="6" ry="12"/></g><symbol id="pennant" viewBox="0 0 10 20"
        preserveAspectRatio="xMinYMin"><path d="M0 0H10L5 30z"/></symbol></defs>
        <use xlink:href="#oar" x="30" y="50"/>
        <use href="#oar" transform="translate(70 50) rotate(40)"/>
        <use href="#pennant" x="110" y="10" width="40" height="40"/>
        <use href="#pennant" x="150" y="10" width="40" height="80"/>
        """,
    ),
    "clip paths": (
        'viewBox="0 0 200 100"',
        """
        <clipPath id="a"><circle cx="50" cy="50" r="40"/><rect x="50" width="50" height="20"/>
        </clipPath><g clip-path="url(#a)"><rect width="100" height="55"/>
        <rect y="70" width="100" height="5"/></g>
        <clipPath id="b" clipPathUnits="objectBoundingBox"><path clip-rule="evenodd"
        d="M0 0h1v1h-1zM.25.25h.5v.5h-.5z"/></clipPath><rect x="110" y="10" width="80" height="60"
        transform="rotate(5 150 50)" clip-path="url(#b)"/>
        """,
    ),
    "offset view box in a wider frame": (
        'viewBox="-50 -20 100 40" width="300" height="200"',
        """
        <circle r="15"/><rect x="-60" y="-30" width="30" height="60"/>
        <rect x="20" y="-30" width="8" height="100"/>
        """,
    ),
    "sliced view box": (
        'viewBox="10 10 100 100" width="300" height="150" preserveAspectRatio="xMaxYMin slice"',
        """
        <circle cx="60" cy="30" r="40"/><path d="M10 10h30v20z"/>
        """,
    ),
    "nested svg": (
        'viewBox="0 0 200 100"',
        """
        <svg x="10" y="10" width="80" height="80" viewBox="0 0 10 10">
        <circle cx="9" cy="5" r="4"/></svg><svg x="50%" width="40%" height="50%"
        viewBox="0 0 40 10" preserveAspectRatio="none"><ellipse cx="50%" cy="50%" rx="20" ry="5"/>
        </svg><svg x="120" y="60" overflow="visible"><circle r="12"/></svg>
        """,
    ),
    "styles, classes and inheritance": (
        'viewBox="0 0 200 100"',
        """
        <style>
        /* x */ .line{fill:none;stroke:#000;stroke-width:6} #gone{display:none}
        g &gt; rect.b{fill:none!important} g path{stroke:none}
        </style><path class="line x" d="M10 20h60v20"/><rect id="gone" width="200" height="5"/>
        <g style="fill:none; stroke:red"><circle cx="120" cy="50" r="30"/>
        <circle cx="120" cy="50" r="10" fill="white" stroke="none"/><rect class="b" x="160" y="20"
        width="20" height="60" style="fill:red"/><path class="line" d="M10 60h60"
        style="stroke-width:9;stroke:blue"/><path fill="blue" d="M10 80h60v10z"/></g>
        """,
    ),
    "what cannot be seen": (
        'viewBox="0 0 100 60"',
        """
        <rect width="40" height="40" opacity="0"/><rect x="10" width="30" height="30"
        fill-opacity="0" stroke="#0000"/><g visibility="hidden">
        <rect x="50" width="9" height="9"/>
        <rect x="60" width="9" height="9" visibility="visible"/></g><g display="none">
        <rect y="50" width="99" height="9"/></g><rect x="5" y="5" width="20" height="20"
        fill="rgba(0,0,0,0)"/><path d="M70 30h20v20z" fill="white"/>
        """,
    ),
    "basic shapes and units": (
        'viewBox="0 0 100 100" width="50mm" height="50mm"',
        """
        <rect x="5" y="5" width="40" height="20" rx="30"/>
        <rect x="55%" y="5" width="1cm" height="10" rx="3" ry="9"/>
        <polyline points="5,40 25,60 45 40 45,70" stroke="#000" stroke-width="1mm"/>
        <polygon points="60 40 90 45 80 70 55 65"/><line x1="5" y1="85" x2="95" y2="90"
        stroke="#000" stroke-width="5%"/><ellipse cx="50" cy="78" rx="9" ry="4"/>
        """,
    ),
    "bunting with gradient and link": (
        'viewBox="0 0 210 60"',
        """
        <linearGradient id="sea"><stop stop-color="#036"/><stop offset="1" stop-color="#7cb"/>
        </linearGradient><a href="https://example.org/">
        <path d="M0 8C70 28 140 28 210 8v3C140 31 70 31 0 11z" fill="url(#sea)"/></a>
        <g fill="url(#nowhere) red"><path d="M20 16l22 5-8 30z"/></g><path d="M90 24h26l-13 30z"
        fill="url(#sea)" stroke="url(#sea)" stroke-width="3" stroke-linejoin="round"/>
        <path d="M150 22l24-5-8 30z" fill="url(#nowhere)"/>
        """,
    ),
    "switch, title and editor's data": (
        'viewBox="0 0 100 50" xmlns:ed="urn:editor"',
        """
        <title>Crew</title><ed:page><rect width="90" height="40"/></ed:page><switch>
        <foreignObject requiredExtensions="urn:editor"/><g><circle cx="25" cy="25" r="20"/></g>
        <rect width="100" height="50"/></switch>
        <rect ed:x="1" x="60" y="10" width="30" height="30"/>
        """,
    ),
    "squashed root": (
        'viewBox="0 0 100 100" width="200" height="100" preserveAspectRatio="none"',
        """
        <circle cx="50" cy="50" r="40" fill="none" stroke="#000" stroke-width="15"/>
        """,
    ),
}


@pytest.fixture(scope="module")
def page(browser):
    page = browser.new_page(viewport={"width": LONG_SIDE_PX, "height": LONG_SIDE_PX})
    yield page
    page.close()


def painted_by_chromium(page, svg):
    """Opacity of each pixel, (height, width) in [0, 1], the picture `LONG_SIDE_PX` wide."""
    url = "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()
    style = f"body{{margin:0}} img{{width:{LONG_SIDE_PX}px; display:block}}"
    page.set_content(f'<style>{style}</style><img src="{url}">')
    page.wait_for_function("document.images[0].complete && document.images[0].naturalWidth > 0")
    shot = page.locator("img").screenshot(omit_background=True)
    return np.asarray(Image.open(io.BytesIO(shot)).convert("RGBA"))[..., 3] / 255


def painted_by_us(shape, left, top, px_per_unit, height, width):
    """Coverage of each pixel by `shape`, whose point (left, top) is the picture's corner.

    Along each of `FINER` lines through a row, exact between the crossings with the outline.
    """
    rings = [r for part in shape.geoms for r in (part.exterior, *part.interiors)]
    points = [(np.array(r.coords) - [left, top]) * [px_per_unit, -px_per_unit] for r in rings]
    start = np.concatenate([p[:-1] for p in points])
    end = np.concatenate([p[1:] for p in points])
    step = np.zeros((height * FINER, width + 2))  # change of coverage from pixel to pixel
    for line, y in enumerate((np.arange(height * FINER) + 0.5) / FINER):
        across = (start[:, 1] <= y) != (end[:, 1] <= y)
        (x0, y0), (x1, y1) = start[across].T, end[across].T
        crossings = np.clip(np.sort(x0 + (y - y0) * (x1 - x0) / (y1 - y0)), 0, width)
        signs = 1 - 2 * (np.arange(len(crossings)) % 2)
        pixel = crossings.astype(int)
        np.add.at(step[line], pixel, signs * (1 + pixel - crossings))
        np.add.at(step[line], pixel + 1, signs * (crossings - pixel))
    return step.cumsum(axis=1)[:, :width].reshape(height, FINER, width).mean(axis=1)


@pytest.mark.parametrize("name", DRAWINGS)
def test_an_outline_is_what_chromium_paints(page, name):
    attributes, content = DRAWINGS[name]
    svg = f"<svg {XMLNS} {attributes}>{content}</svg>"
    theirs = painted_by_chromium(page, svg)
    corner, width_units = frame_of(attributes)

    shape = outline_from_svg(Asset("assets/drawing.svg", svg.encode()), where="design.toml")

    ours = painted_by_us(shape, *corner, LONG_SIDE_PX / width_units, *theirs.shape)
    overlap = np.minimum(ours, theirs).sum() / np.maximum(ours, theirs).sum()
    assert overlap >= 0.99  # of the union; what is left is the rounding of edge pixels
    assert shape.is_valid


def frame_of(attributes):
    """Upper left corner (y up) and width of what the browser shows, in the outline's units."""
    by_hand = {
        "offset view box in a wider frame": ((-50, 100 / 3), 100),  # 3 px a unit, 33 units above
        "sliced view box": ((10, -10), 100),  # all of its width, its top
    }
    for name, frame in by_hand.items():
        if DRAWINGS[name][0] == attributes:
            return frame
    return (0, 0), float(attributes.split('viewBox="')[1].split('"')[0].split()[2])
