"""A drawing as SVG at true size: a group for each kind of line, so that a cutter can take one."""

from xml.sax.saxutils import escape, quoteattr

from mockup.outputs.cut.drawing import KINDS, Drawing, Note

__all__ = ["svg_from"]

_INK = "#122442"
_FONT = "'Source Sans Pro','Source Sans 3',sans-serif"
_ANCHOR = {"left": "start", "centre": "middle", "right": "end"}


def svg_from(drawing: Drawing, title: str) -> bytes:
    """The drawing as an SVG file: one user unit is 1 mm, and so is the size that it states."""
    width, height = f"{drawing.width_mm:.4f}", f"{drawing.height_mm:.4f}"
    parts = [
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">\n<title>{escape(title)}</title>'
    ]
    for kind in drawing.kinds():
        style = KINDS[kind]
        dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in style.dash_mm)}"'
        parts.append(
            f'<g id="{kind}" fill="none" stroke="{_INK}" stroke-width="{style.width_mm:g}"'
            f"{dash if style.dash_mm else ''}>\n<title>{escape(style.words)}</title>"
        )
        for stroke in drawing.strokes:
            if stroke.kind == kind:
                name = f" id={quoteattr(stroke.name)}" if stroke.name else ""
                parts.append(f'<path{name} d="{stroke.path.d()}"/>')
        parts.append("</g>")
    parts.append(f'<g id="notes" fill="{_INK}" font-family="{_FONT}">')
    parts += [_text(note) for note in drawing.notes]
    parts.append("</g>\n</svg>\n")
    return "\n".join(parts).encode()


def _text(note: Note) -> str:
    turn = f' transform="rotate({note.turn_deg:g} {note.x_mm:.3f} {note.y_mm:.3f})"'
    weight = ' font-weight="600"' if note.strong else ""
    anchor = f' text-anchor="{_ANCHOR[note.align]}"' if note.align != "left" else ""
    return (
        f'<text x="{note.x_mm:.3f}" y="{note.y_mm:.3f}" font-size="{note.size_mm:g}"'
        f"{weight}{anchor}{turn if note.turn_deg else ''}>{escape(note.text)}</text>"
    )
