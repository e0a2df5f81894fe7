"""Which material of the shelf each piece is cut from, and how the pieces lie on its sheets.

Cut sheets are drawn from this, and amounts and price count it: one packing, one figure. Of several
cups as many as a sheet holds are cut from it together, so that a cup's pieces stay together.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from mockup.blank.wall import Blank
from mockup.design.document import Design
from mockup.design.layers import WrapLayer
from mockup.design.products import AdhesiveSheet, Foil, Vinyl, WrapSheet
from mockup.design.shelf import Shelf
from mockup.outputs.cut.framed import Frame, frame_of
from mockup.outputs.cut.nest import Packed, SheetSize, pack
from mockup.outputs.cut.pages import DESK_ROOMS
from mockup.outputs.cut.panels import Panel, WrapCut, panels
from mockup.outputs.pieces import Piece
from mockup.outputs.plan.choice import label_of, wrap_sheet_for

__all__ = ["Cut", "Goods", "Run", "goods"]

SheetProduct = Foil | AdhesiveSheet | Vinyl | WrapSheet
_MOST_PACKED = 40  # rectangles; more are packed cup by cup, which takes hardly more sheet


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """One rectangle that is cut out: a piece in its weeding frame, or a wrap or a panel of it."""

    piece: Piece
    width_mm: float
    height_mm: float
    frame: Frame | None = None
    wrap: WrapCut | None = None
    panel: Panel | None = None

    @property
    def area_mm2(self) -> float:
        """Of the rectangle."""
        return self.width_mm * self.height_mm


@dataclass(frozen=True, slots=True)
class Run:
    """Sheets for `cups` cups, cut `times` times alike.

    `Laid.index` of cut `i` of the `k`-th cup is ``k * len(cuts) + i``.
    """

    cups: int
    times: int
    sheets: tuple[Packed, ...]

    @property
    def area_mm2(self) -> float:
        """Of sheet, all times together."""
        return self.times * sum(sheet.area_mm2 for sheet in self.sheets)


@dataclass(frozen=True, slots=True, eq=False)
class Goods:
    """One material and all that one cup has of it.

    Attributes
    ----------
    name
        Such as ``Foil lettering``.
    products
        What is used up: foil together with the adhesive sheet below it, or one alone.
    size
        Of the sheets; of foil and adhesive the smaller of both.
    turning
        Whether pieces may lie sideways on it.
    """

    name: str
    products: tuple[SheetProduct, ...]
    size: SheetSize
    cuts: tuple[Cut, ...]
    turning: bool = True

    @property
    def role(self) -> str:
        """Of the palette, of its first piece."""
        return self.cuts[0].piece.role

    def runs(self, cups: int) -> tuple[Run, ...]:
        """How `cups` cups are cut: full sheets first, then what is left."""
        most = self._cups_a_sheet(cups)
        found = []
        for count, times in ((most, cups // most), (cups % most, 1)):
            if count and times:
                found.append(Run(count, times, tuple(self._packed(count))))
        return tuple(found)

    def area_mm2(self, cups: int) -> float:
        """Of sheet for `cups` cups."""
        return sum(run.area_mm2 for run in self.runs(cups))

    def share_of(self, layer: int) -> tuple[float, float]:
        """Area of one layer's rectangles, and of all, mm²."""
        own = sum(cut.area_mm2 for cut in self.cuts if cut.piece.layer == layer)
        return own, sum(cut.area_mm2 for cut in self.cuts)

    def oversize(self) -> tuple[Cut, ...]:
        """What no sheet of this size holds."""
        return tuple(
            self.cuts[laid.index] for sheet in self._packed(1) if sheet.oversize
            for laid in sheet.laid
        )  # fmt: skip

    def _cups_a_sheet(self, cups: int) -> int:
        """The most cups, up to `cups`, whose pieces lie on one sheet; at least 1."""
        low, high = 1, max(1, min(cups, _MOST_PACKED // len(self.cuts)))
        while low < high:
            middle = (low + high + 1) // 2
            if len(self._packed(middle)) == 1:
                low = middle
            else:
                high = middle - 1
        return low

    def _packed(self, cups: int) -> list[Packed]:
        sizes = [(cut.width_mm, cut.height_mm) for cut in self.cuts] * cups
        return pack(sizes, self.size, turning=self.turning, rooms_mm=DESK_ROOMS)


def goods(
    design: Design,
    blank: Blank,
    shelf: Shelf,
    found: Sequence[Piece],
    *,
    sheet_size: SheetSize | None = None,
) -> tuple[Goods, ...]:
    """Materials in the order in which the pieces `found` first use them.

    Parameters
    ----------
    sheet_size
        Of foil and vinyl, in place of the shelf's.

    Raises
    ------
    DesignError
        The shelf has no product for a piece.
    """
    made: dict[tuple[str, str], list[Piece]] = {}
    whole: dict[tuple[str, str], Goods] = {}
    for piece in found:
        layer = design.document.layers[piece.layer]
        if isinstance(layer, WrapLayer):
            whole["wrap", str(piece.order)] = _wrap_goods(piece, layer, blank, shelf)
            continue
        label = label_of(design, piece.role)
        product = shelf.product(Foil if piece.material == "foil" else Vinyl, piece.role, label)
        key = product.name, label
        made.setdefault(key, []).append(piece)
        whole[key] = _decal_goods(made[key], found, label, shelf, sheet_size)
    return tuple(whole.values())


def _wrap_goods(piece: Piece, layer: WrapLayer, blank: Blank, shelf: Shelf) -> Goods:
    product = wrap_sheet_for(shelf, layer)
    size, turning = _size(product), piece.material != "fabric"  # fabric has its grain
    margin = 2 * product.frame_mm
    if layer.fit == "placed":
        west, south, east, north = piece.outline.bounds
        cuts = [Cut(piece, east - west + margin, north - south + margin)]
    else:
        wrap = WrapCut.of(piece, layer, blank)
        cuts = []
        for panel in panels(wrap, blank, size, turning=turning):
            width, height = wrap.size_mm(blank, panel)
            cuts.append(Cut(piece, width + margin, height + margin, wrap=wrap, panel=panel))
    name = f"Template {piece.order + 1} {piece.name}"
    return Goods(name, (product,), size, tuple(cuts), turning)


def _decal_goods(
    some: Sequence[Piece],
    found: Sequence[Piece],
    label: str,
    shelf: Shelf,
    sheet_size: SheetSize | None,
) -> Goods:
    role, material = some[0].role, some[0].material
    kinds: tuple[type[Foil] | type[AdhesiveSheet] | type[Vinyl], ...] = (
        (Foil, AdhesiveSheet) if material == "foil" else (Vinyl,)
    )
    products: tuple[SheetProduct, ...] = tuple(shelf.product(kind, role, label) for kind in kinds)
    size = sheet_size or SheetSize(
        min(product.sheet_width_mm for product in products),
        min(product.sheet_height_mm for product in products),
    )
    margin = max(product.frame_mm for product in products)
    cuts = []
    for piece in some:
        kin = [other for other in found if other.layer == piece.layer]
        frame = frame_of(piece, kin, margin)
        cuts.append(Cut(piece, frame.width_mm, frame.height_mm, frame=frame))
    roles = ", ".join(dict.fromkeys(piece.role for piece in some))
    return Goods(f"{material.capitalize()} {roles}", products, size, tuple(cuts))


def _size(product: SheetProduct) -> SheetSize:
    return SheetSize(product.sheet_width_mm, product.sheet_height_mm)
