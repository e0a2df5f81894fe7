"""SVG from strangers: read strictly and bounded, with nothing that reaches outside the file.

Whatever would change the look if it were left out is refused in a sentence that names it; only
what never draws (titles, editors' own data, comments) is dropped.
"""

import re
import zlib
from dataclasses import dataclass
from xml.etree import ElementTree as ET
from xml.parsers import expat

from mockup.design.document import Asset
from mockup.errors import AssetError
from mockup.skin.svg_length import length_px, numbers

__all__ = ["Drawing", "admit_svg"]

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
MOST_BYTES = 16 << 20
MOST_DEPTH = 64
MOST_ELEMENTS = 50_000  # counted with every <use> written out
_MOVING = {"animate", "animateColor", "animateMotion", "animateTransform", "set"}
_NEVER_DRAWN = {"title", "desc", "metadata"}
_PICTURE = re.compile(r"data:image/(png|jpe?g|gif|webp);base64,", re.I)
_URL = re.compile(r"url\(\s*['\"]?\s*([^'\")]*)", re.I)


@dataclass(frozen=True, slots=True)
class Drawing:
    """An admitted SVG: elements without namespaces, foreign parts gone, references all inside.

    `width_px` and `height_px` are the natural size at 96 px to the inch; `view_box` is
    (x, y, width, height) in user units.
    """

    root: ET.Element
    by_id: dict[str, ET.Element]
    width_px: float
    height_px: float
    view_box: tuple[float, float, float, float]

    def target(self, element: ET.Element) -> ET.Element | None:
        """The element that `element` refers to by href, or None if there is no such id."""
        return self.by_id.get(element.get("href", "")[1:])

    def text(self, width_px: int, height_px: int) -> str:
        """The drawing as SVG text again, to be drawn at the size given."""
        root = ET.Element("svg", {**self.root.attrib, "xmlns": SVG})
        root.set("width", str(width_px))
        root.set("height", str(height_px))
        root.set("viewBox", " ".join(repr(v) for v in self.view_box))
        root.extend(self.root)
        root.text = self.root.text
        return ET.tostring(root, encoding="unicode")


def admit_svg(asset: Asset, *, where: str) -> Drawing:
    """Read an SVG (or a gzipped one) that may come from anyone.

    Raises
    ------
    AssetError
        It is not well-formed, too large, too deep or too many; it declares entities; it holds a
        script, movement, text or a reference to something outside; or it has no size.
    """
    reader = _Reader(asset.name, where)
    root = reader.read(_unpacked(asset, where))
    by_id: dict[str, ET.Element] = {}
    for element in root.iter():
        if "id" in element.attrib:
            by_id.setdefault(element.attrib["id"], element)
    _count_expanded(root, by_id, reader)
    try:
        width_px, height_px, view_box = _natural_size(root, reader)
    except ValueError as error:
        raise reader.refuse(f"has a size that cannot be read: {error}", "Mend it") from error
    return Drawing(root, by_id, width_px, height_px, view_box)


class _Reader:
    """Streams the bytes through expat and builds the tree of what may stay."""

    def __init__(self, name: str, where: str) -> None:
        self.name, self.where = name, where
        self.builder = ET.TreeBuilder()
        self.path: list[str] = []
        self.count = 0
        self.skipping = 0
        self.bare = False  # the root has no namespace: take all elements as SVG

    def refuse(self, problem: str, remedy: str) -> AssetError:
        return AssetError(f"{self.name} {problem}", where=self.where, remedy=remedy)

    def read(self, data: bytes) -> ET.Element:
        parser = expat.ParserCreate(namespace_separator="}")
        parser.buffer_text = True
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.characters
        parser.StartDoctypeDeclHandler = self.doctype
        parser.EntityDeclHandler = self.entity
        parser.SkippedEntityHandler = self.entity
        parser.ProcessingInstructionHandler = self.instruction
        try:
            parser.Parse(data, True)
        except (expat.ExpatError, LookupError, ValueError) as error:
            raise self.refuse(
                f"is not well-formed SVG ({error})", "Save it again as plain SVG"
            ) from error
        return self.builder.close()

    def doctype(
        self, _name: str, _system: str | None, _public: str | None, has_subset: bool
    ) -> None:
        if has_subset:
            raise self.refuse(
                "carries a document type with declarations of its own", "Save it as plain SVG"
            )

    def entity(self, name: str, *_: object) -> None:
        raise self.refuse(f"declares or uses the entity {name!r}", "Save it as plain SVG")

    def instruction(self, target: str, _text: str) -> None:
        if target == "xml-stylesheet":
            raise self.refuse(
                "has an external reference (a style sheet)", "Save it with its styles inside"
            )

    def start(self, name: str, attributes: dict[str, str]) -> None:
        namespace, _, local = name.rpartition("}")
        if not self.path:
            self.bare = not namespace
            if local != "svg" or (namespace and namespace != SVG):
                raise self.refuse(
                    f"is no SVG: its root is <{local}> of {namespace or 'no namespace'}",
                    "Name an SVG file",
                )
        self.path.append(local)
        self.count += 1
        if len(self.path) > MOST_DEPTH:
            raise self.refuse(f"is nested more than {MOST_DEPTH} deep", "Ungroup it")
        if self.count > MOST_ELEMENTS:
            raise self.refuse(f"has more than {MOST_ELEMENTS} elements", "Simplify it")
        if local == "script":
            raise self.refuse("holds a script", "Take the script out")
        foreign = namespace != SVG and not (self.bare and not namespace)
        if self.skipping or foreign or self._never_drawn(local, attributes):
            self.skipping += 1
            return
        self.builder.start(local, self._attributes(local, attributes))

    def _never_drawn(self, local: str, attributes: dict[str, str]) -> bool:
        if local in _MOVING:
            raise self.refuse(f"moves (<{local}>)", "Save a still drawing")
        if local == "foreignObject":
            if "requiredExtensions" in attributes:
                return True
            raise self.refuse("holds a foreign object", "Turn it into paths or take it out")
        return local in _NEVER_DRAWN

    def _attributes(self, local: str, attributes: dict[str, str]) -> dict[str, str]:
        kept: dict[str, str] = {}
        for name, value in attributes.items():
            namespace, _, key = name.rpartition("}")
            if namespace and (namespace != XLINK or key != "href" or "href" in attributes):
                continue
            if key.lower().startswith("on"):
                raise self.refuse(f"holds a script ({key})", "Take the script out")
            if key == "href":
                if local == "a":  # a link to click: it draws nothing and loads nothing
                    continue
                self._check_reference(local, value)
            self.check_css(value, style=key == "style")
            kept[key] = value
        return kept

    def _check_reference(self, local: str, value: str) -> None:
        inside = value.startswith("#") or (
            local in ("image", "feImage") and _PICTURE.match(value.strip())
        )
        if not inside:
            raise self.refuse(
                f"has an external reference ({_short(value)})",
                "Embed what it refers to, then save it again",
            )

    def check_css(self, value: str, *, style: bool) -> None:
        for reference in _URL.findall(value):
            if not reference.startswith("#"):
                raise self.refuse(
                    f"has an external reference ({_short(reference)})",
                    "Embed what it refers to, then save it again",
                )
        if style and "@import" in value.lower():
            raise self.refuse("has an external reference (@import)", "Put the styles inside")
        if style and "\\" in value:
            raise self.refuse("has styles with escaped letters", "Save it as plain SVG")

    def end(self, _name: str) -> None:
        local = self.path.pop()
        if self.skipping:
            self.skipping -= 1
        else:
            self.builder.end(local)

    def characters(self, text: str) -> None:
        if self.skipping:
            return
        if "style" in self.path:
            self.check_css(text, style=True)
            self.builder.data(text)
        elif "text" in self.path and text.strip():
            raise self.refuse("holds text, whose font is not in the file", "Turn text into paths")


def _unpacked(asset: Asset, where: str) -> bytes:
    data = asset.data
    if data[:2] == b"\x1f\x8b":
        try:
            data = zlib.decompressobj(wbits=31).decompress(data, MOST_BYTES + 1)
        except zlib.error as error:
            raise AssetError(
                f"{asset.name} is a damaged gzip file", where=where, remedy="Save it again as SVG"
            ) from error
    if len(data) > MOST_BYTES:
        raise AssetError(
            f"{asset.name} is larger than {MOST_BYTES >> 20} MB",
            where=where,
            remedy="Simplify it or save it as PNG",
        )
    return data


def _count_expanded(root: ET.Element, by_id: dict[str, ET.Element], reader: _Reader) -> None:
    """Refuse drawings that grow without bound when every <use> is written out."""
    counts: dict[ET.Element, int] = {}
    open_: set[ET.Element] = set()

    def count(element: ET.Element) -> int:
        if element in counts:
            return counts[element]
        if element in open_:
            raise reader.refuse("has a <use> that refers to itself", "Mend the drawing")
        if len(open_) > 2 * MOST_DEPTH:
            raise reader.refuse(f"chains <use> more than {MOST_DEPTH} deep", "Ungroup it")
        open_.add(element)
        total = 1 + sum(count(child) for child in element)
        if element.tag == "use":
            target = by_id.get(element.get("href", "")[1:])
            total += count(target) if target is not None else 0
        open_.remove(element)
        if total > MOST_ELEMENTS:
            raise reader.refuse(
                f"draws more than {MOST_ELEMENTS} elements through <use>", "Simplify it"
            )
        counts[element] = total
        return total

    count(root)


def _natural_size(
    root: ET.Element, reader: _Reader
) -> tuple[float, float, tuple[float, float, float, float]]:
    """Width and height in px and the view box, as CSS sizes a replaced element."""
    box = numbers(root.get("viewBox", ""))
    if box and (len(box) != 4 or min(box[2:]) <= 0):
        raise reader.refuse(f"has the viewBox {root.get('viewBox')!r}", "Give it four numbers")
    width = length_px(root.get("width", ""), None)
    height = length_px(root.get("height", ""), None)
    if not box and (width is None or height is None):
        raise reader.refuse("does not say how large it is", "Give it a viewBox")
    if width is None and height is None:
        width, height = box[2], box[3]
    elif width is None:
        assert height is not None
        width = height * box[2] / box[3]
    elif height is None:
        height = width * box[3] / box[2]
    assert width is not None
    assert height is not None
    if not (0 < width < 1e7 and 0 < height < 1e7 and max(width / height, height / width) < 1000):
        raise reader.refuse(f"is {width:g} by {height:g} px", "Give it a width and a height")
    x, y, w, h = box or (0.0, 0.0, width, height)
    return width, height, (x, y, w, h)


def _short(value: str) -> str:
    return value if len(value) <= 60 else f"{value[:57]}..."
