"""Seventy-two small drawings of all that a cut shape may be made of: shapes × ways to draw."""

XLINK = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'

# Each lies within 0..40 × 0..30, with room for a stroke of 3.
SHAPES = {
    "lines, absolute and relative": '<path d="M4 4H30v6L20 26l-12-3V12h-4Z"/>',
    "cubics and smooth cubics": (
        '<path d="M5 15C5 2 18 2 20 12S34 22 35 12 38 28 20 27s-15-3-15-12z"/>'
    ),
    "quadratics and smooth quadratics": '<path d="M5 20Q10 2 18 12T32 12q6 8-4 14T12 26t-7-6z"/>',
    "arcs, large and small, both sweeps": (
        '<path d="M6 15A9 9 0 1 1 22 15A8 5 30 0 0 6 15zM24 20a6 4 20 1 0 12-4 8 8 0 0 1-12 4z"/>'
    ),
    "arcs run together": '<path d="m8 8a5 5 0 0110 0a5 8 45 1110 6.5L12 26a4 4 0 01-4-18z"/>',
    "a hole by even-odd": (
        '<path fill-rule="evenodd" d="M4 4h32v22H4zM10 9h20v12H10zM16 12h8v6h-8z"/>'
    ),
    "a hole by winding": '<path d="M4 4H36V26H4zM10 8V22H30V8z"/>',
    "a crossing star": '<path d="M20 3L28 27L5 12H35L12 27z"/>',
    "rect with round corners": '<rect x="5" y="5" width="30" height="20" rx="7" ry="4"/>',
    "circle and ellipse": (
        '<circle cx="12" cy="14" r="8"/><ellipse cx="28" cy="16" rx="8" ry="11"/>'
    ),
    "polygon and polyline": (
        '<polygon points="4,26 12,4 19,22"/><polyline points="22 25, 29 5 36 24 30 14"/>'
    ),
    "a stroke with round joins": (
        '<path fill="none" stroke="#000" stroke-width="3" stroke-linejoin="round"'
        ' stroke-linecap="round" d="M5 24L14 6L22 22C26 4 34 6 35 20"/>'
    ),
}

# A way to draw: the root's attributes and the content with {0} for the shape.
WAYS = {
    "plain": ('viewBox="0 0 40 30"', "{0}"),
    "nested transforms": (
        'viewBox="0 0 60 50"',
        '<g transform="translate(30 26) rotate(25)"><g transform="scale(1.1 .8) skewX(12)">'
        '<g transform="matrix(.9 .1 -.2 1 -20 -15)">{0}</g></g></g>',
    ),
    "used twice": (
        'viewBox="0 0 90 40"',
        '<defs><g id="s">{0}</g></defs><use xlink:href="#s" x="2" y="4"/>'
        '<use href="#s" transform="translate(88 36) rotate(180)"/>',
    ),
    "clipped": (
        'viewBox="0 0 40 30"',
        '<clipPath id="c"><circle cx="20" cy="15" r="12.5"/></clipPath>'
        '<g clip-path="url(#c)">{0}</g>',
    ),
    "stroked too": (
        'viewBox="-2 -2 44 34"',
        '<g stroke="#000" stroke-width="2" stroke-linejoin="bevel">{0}</g>',
    ),
    "fitted into a nested view": (
        'viewBox="0 0 100 60" width="50" height="60"',
        '<svg x="10" y="6" width="80" height="45" viewBox="0 0 40 30"'
        ' preserveAspectRatio="xMaxYMid meet">{0}</svg>',
    ),
}

DRAWINGS = {
    f"{shape}, {way}": f"<svg {XLINK} {root}>{content.format(body)}</svg>".encode()
    for way, (root, content) in WAYS.items()
    for shape, body in SHAPES.items()
}
