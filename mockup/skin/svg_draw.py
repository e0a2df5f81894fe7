"""An admitted SVG → the region that it paints, in px of its viewport, y down.

Any paint that can be seen is shape: a cut sheet has one material. What a blade cannot follow
(filters, masks, pictures, patterns, markers) is refused with its name.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np
import shapely
from fontTools.misc.transform import Transform
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.transformPen import TransformPen

from mockup.skin.outline_fill import Contour, FlatteningPen, filled
from mockup.skin.svg import Drawing
from mockup.skin.svg_length import length_px, numbers, transform_from, view_transform
from mockup.skin.svg_path import SHAPES, Commands, commands_of
from mockup.skin.svg_stroke import stroked
from mockup.skin.svg_style import Styles, amount, is_seen, reference_of

__all__ = ["painted_region"]

MOST_POINTS = 400_000
_GROUPS = {"g", "a", "svg", "symbol", "use", "switch"}
_GRADIENTS = {"linearGradient", "radialGradient"}
_NOTHING = shapely.Polygon()


@dataclass(frozen=True, slots=True)
class _Place:
    """Where drawing stands: viewport px from the user space, its viewport, inherited style."""

    px_from_user: Transform
    view: tuple[float, float]
    inherited: Mapping[str, str]


def painted_region(drawing: Drawing, *, tolerance_px: float) -> Any:
    """The union of all that `drawing` paints within its viewport.

    Raises
    ------
    ValueError
        Something in it cannot be cut or is not understood; the text says what.
    """
    painter = _Painter(drawing, tolerance_px)
    size = drawing.width_px, drawing.height_px
    style = painter.styles.of(drawing.root, {})
    return painter.viewport(drawing.root, _Place(Transform(), size, {}), style, (0, 0, *size))


class _Painter:
    def __init__(self, drawing: Drawing, tolerance_px: float) -> None:
        self.drawing, self.tolerance_px = drawing, tolerance_px
        self.styles = Styles(drawing.root)
        self.points = 0

    def element(self, element: ET.Element, place: _Place) -> Any:
        """The region of one element and all below it."""
        if element.tag == "image":
            raise ValueError("it holds a picture; trace it or use it as a bitmap")
        if element.tag not in _GROUPS and element.tag not in SHAPES:
            return _NOTHING
        style = self.styles.of(element, place.inherited)
        if style["display"] == "none" or amount(style["opacity"]) <= 0:
            return _NOTHING
        for key in ("filter", "mask"):
            if style[key] != "none":
                raise ValueError(f"it uses a {key}, which cannot be cut")
        place = replace(place, px_from_user=self._moved(style, place))
        if element.tag in SHAPES:
            commands = self._commands(element, place)
            region = self._shape(commands, style, place, element.get("pathLength", ""))
        else:
            commands = []
            region = self._group(element, style, replace(place, inherited=style))
        if style["clip-path"] != "none" and not region.is_empty:
            region = region & self._clip(style["clip-path"], commands, place)
        return region

    def _moved(self, style: Mapping[str, str], place: _Place) -> Transform:
        if style["transform"] in ("", "none"):
            return place.px_from_user
        if style["transform-origin"].replace("px", "").split() not in ([], ["0", "0"], ["0"]):
            raise ValueError("it turns about a transform-origin; apply its transforms")
        return place.px_from_user.transform(transform_from(style["transform"]))

    def _group(self, element: ET.Element, style: Mapping[str, str], place: _Place) -> Any:
        if element.tag == "symbol":
            return _NOTHING  # drawn only where it is used
        if element.tag == "use":
            return self._use(element, place)
        if element.tag == "svg":
            return self.viewport(element, place, style, self._frame(element.attrib, place))
        children = list(element)
        if element.tag == "switch":
            conditions = ("requiredExtensions", "systemLanguage")
            children = [c for c in children if not any(k in c.attrib for k in conditions)][:1]
        return shapely.union_all([self.element(child, place) for child in children])

    def _use(self, element: ET.Element, place: _Place) -> Any:
        target = self.drawing.target(element)
        if target is None:
            return _NOTHING
        x, y, *_ = self._frame(element.attrib, place)
        place = replace(place, px_from_user=place.px_from_user.translate(x, y))
        if target.tag not in ("svg", "symbol"):
            return self.element(target, place)
        sizes = {k: v for k, v in element.attrib.items() if k in ("width", "height")}
        style = self.styles.of(target, place.inherited)
        if style["display"] == "none":
            return _NOTHING
        place = replace(place, px_from_user=self._moved(style, place))
        frame = self._frame({**target.attrib, **sizes}, place)
        return self.viewport(target, place, style, frame)

    def _frame(
        self, attributes: Mapping[str, str], place: _Place
    ) -> tuple[float, float, float, float]:
        """x, y, width and height of a nested viewport; a size left out is all there is."""
        across, down = place.view
        width = length_px(attributes.get("width", ""), across)
        height = length_px(attributes.get("height", ""), down)
        return (
            length_px(attributes.get("x", ""), across) or 0.0,
            length_px(attributes.get("y", ""), down) or 0.0,
            across if width is None else width,
            down if height is None else height,
        )

    def viewport(
        self,
        element: ET.Element,
        place: _Place,
        style: Mapping[str, str],
        frame: tuple[float, float, float, float],
    ) -> Any:
        """What an svg or symbol shows in its frame; SVG 2, sec. 8.2 to 8.6."""
        x, y, width, height = frame
        root = element is self.drawing.root
        if width <= 0 or height <= 0:
            return _NOTHING
        inner = place.px_from_user.translate(x, y)
        view = width, height
        box = self.drawing.view_box if root else _view_box(element)
        if box is not None:
            fit = element.get("preserveAspectRatio", "")
            inner = inner.transform(view_transform(box, fit, width, height))
            view = box[2], box[3]
        below = _Place(inner, view, style)
        region = shapely.union_all([self.element(child, below) for child in element])
        if style["overflow"] in ("visible", "auto") and not root:
            return region
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        window = shapely.Polygon(place.px_from_user.transformPoints(corners))
        return region if window.covers(region) else region & window

    def _commands(self, element: ET.Element, place: _Place) -> Commands:
        css = self.styles.geometry(element)
        if "d" in css:
            raise ValueError("a style rule holds path data")
        return commands_of(element.tag, {**element.attrib, **css}, place.view)

    def _shape(
        self, commands: Commands, style: Mapping[str, str], place: _Place, path_length: str
    ) -> Any:
        if style["visibility"] != "visible" or not commands:
            return _NOTHING
        region = _NOTHING
        if self._paints(style["fill"], style["fill-opacity"]):
            region = self._fill(commands, style["fill-rule"], place)
        if self._paints(style["stroke"], style["stroke-opacity"]):
            if style["vector-effect"] != "none":
                raise ValueError("it has a stroke that does not scale; turn strokes into paths")
            outline, k = stroked(
                commands,
                style,
                view=place.view,
                tolerance=self.tolerance_px / max(_stretch(place.px_from_user), 1e-9),
                path_length=path_length,
            )
            scaled = replace(place, px_from_user=place.px_from_user.scale(1 / k))
            region = region | self._fill(outline, "nonzero", scaled)
        if any(style[f"marker-{end}"] != "none" for end in ("start", "mid", "end")):
            raise ValueError("it uses markers; turn them into paths")
        return region

    def _fill(self, commands: Commands, rule: str, place: _Place) -> Any:
        contours = self._flattened(commands, place)
        return filled(contours, "evenodd" if rule == "evenodd" else "nonzero")

    def _flattened(self, commands: Commands, place: _Place) -> list[Contour]:
        pen = FlatteningPen(self.tolerance_px)
        recording = RecordingPen()
        recording.value = commands
        recording.replay(TransformPen(pen, place.px_from_user))
        self.points += sum(map(len, pen.contours))
        if self.points > MOST_POINTS:
            raise ValueError(f"it has more than {MOST_POINTS} points; simplify it")
        if not all(np.isfinite(c).all() and np.abs(c).max() < 1e9 for c in pen.contours):
            raise ValueError("it has coordinates that are too large")
        return pen.contours

    def _paints(self, paint: str, opacity: str) -> bool:
        if amount(opacity) <= 0:
            return False
        server = reference_of(paint)
        if server is None:
            return is_seen(paint)
        found = self.drawing.by_id.get(server)
        if found is None:
            fallback = paint.partition(")")[2].strip()
            return bool(fallback) and is_seen(fallback)
        if found.tag not in _GRADIENTS:
            raise ValueError(f"it is filled with a {found.tag}; use a plain colour")
        return True

    def _clip(self, reference: str, commands: Commands, place: _Place) -> Any:
        """The region of a clipPath; CSS Masking 1, sec. 6."""
        name = reference_of(reference)
        if name is None:
            raise ValueError(f"it is clipped by {reference[:40]!r}; clip with a path")
        clip = self.drawing.by_id.get(name)
        if clip is None or clip.tag != "clipPath":
            return shapely.box(-1e12, -1e12, 1e12, 1e12)
        style = self.styles.in_place(clip)
        inner = self._moved(style, place)
        view = place.view
        if clip.get("clipPathUnits") == "objectBoundingBox":
            inner, view = inner.transform(self._box_frame(commands)), (1.0, 1.0)
        below = _Place(inner, view, style)
        region = shapely.union_all([self._clip_part(child, below) for child in clip])
        if style["clip-path"] != "none":
            region = region & self._clip(style["clip-path"], commands, place)
        return region

    def _clip_part(self, element: ET.Element, place: _Place) -> Any:
        style = self.styles.of(element, place.inherited)
        if style["display"] == "none" or style["visibility"] != "visible":
            return _NOTHING
        place = replace(place, px_from_user=self._moved(style, place), inherited=style)
        commands: Commands = []
        if element.tag == "use":
            target = self.drawing.target(element)
            x, y, *_ = self._frame(element.attrib, place)
            at = replace(place, px_from_user=place.px_from_user.translate(x, y))
            drawn = target is not None and target.tag in SHAPES
            region = self._clip_part(target, at) if drawn and target is not None else _NOTHING
        elif element.tag in SHAPES:
            commands = self._commands(element, place)
            region = self._fill(commands, style["clip-rule"], place)
        else:
            return _NOTHING
        if style["clip-path"] != "none":
            region = region & self._clip(style["clip-path"], commands, place)
        return region

    def _box_frame(self, commands: Commands) -> Transform:
        if not commands:
            raise ValueError("a group is clipped by its own bounding box; clip the shapes")
        flat = Transform()
        pen = self._flattened(commands, _Place(flat, (1.0, 1.0), {}))
        points = np.concatenate(pen)
        (x, y), (width, height) = points.min(axis=0), np.ptp(points, axis=0)
        return Transform(width, 0, 0, height, x, y)


def _view_box(element: ET.Element) -> tuple[float, float, float, float] | None:
    parts = numbers(element.get("viewBox", ""))
    if len(parts) != 4:
        return None
    x, y, width, height = parts
    return (x, y, width, height) if width > 0 and height > 0 else None


def _stretch(transform: Transform) -> float:
    """The most that a length grows."""
    a, b, c, d, *_ = transform
    return float(np.linalg.norm(np.array([[a, c], [b, d]]), 2)) if math.isfinite(a) else 1.0
