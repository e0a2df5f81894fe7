"""Changes to a design: each a pure function from one design to the next.

What comes out has been checked as a file would be, so a change that makes no design is refused
with one sentence and the design at hand stays as it was.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from mockup.design.blanks import BlankSpec
from mockup.design.document import Asset, Design, Document
from mockup.design.fields import Part
from mockup.design.layers import AnyLayer, BaseLayer
from mockup.design.palette import Palette, Swatch
from mockup.design.strict import validate
from mockup.errors import DesignError

__all__ = [
    "changed",
    "copied_layer",
    "fresh_design",
    "inserted_layer",
    "moved_layer",
    "removed_layer",
    "with_asset",
    "with_blank",
    "with_document",
    "with_layer",
    "with_part",
    "with_swatch",
]

P = TypeVar("P", bound=Part)

_UNSAFE = re.compile(r"[^0-9A-Za-z._-]+")
_MOST_NAME = 80  # characters of an asset's file name


def changed(part: P, where: str, changes: Mapping[str, Any]) -> P:
    """`part` with some fields changed and all of it checked again; None takes a field out.

    Raises
    ------
    DesignError
        A value is not what it should be.
    """
    whole = part.model_dump(exclude_none=True) | dict(changes)
    raw = {key: _plain(value) for key, value in whole.items() if value is not None}
    return validate(type(part), raw, where=where)


def fresh_design(
    title: str, blank: BlankSpec, palettes: Mapping[str, Palette], *, palette: str
) -> Design:
    """A design to start from: the blank and one base coat, under a palette that has one.

    Raises
    ------
    DesignError
        The title is no title.
    """
    document = Document(
        format=1, title="cup", blank=blank, palette=palette, layers=(BaseLayer(swatch="base"),)
    )
    design = Design(document, dict(palettes), {}, where="design")
    return with_document(design, title=title)


def with_document(design: Design, **changes: Any) -> Design:
    """Another title, note, palette or light.

    Raises
    ------
    UnknownName, DesignError
        A value is not what it should be, or the palette does not suit the layers.
    """
    return _checked(design, changed(design.document, design.where, changes))


def with_blank(design: Design, blank: BlankSpec) -> Design:
    """The same layers on another blank."""
    return replace(design, document=design.document.model_copy(update={"blank": blank}))


def with_layer(design: Design, index: int, **changes: Any) -> Design:
    """Layer `index` with some of its fields changed; None takes a field out.

    Raises
    ------
    DesignError, UnknownName
        A value is not what it should be.
    """
    layers = list(design.document.layers)
    layers[index] = changed(layers[index], _place(design, index), changes)
    return _with_layers(design, layers)


def with_part(design: Design, index: int, field: str, nth: int | None, **changes: Any) -> Design:
    """Layer `index` with some fields of one of its parts changed.

    Parameters
    ----------
    field, nth
        The part: a field that holds one, or entry `nth` of a field that holds several.

    Raises
    ------
    DesignError, UnknownName
        A value is not what it should be.
    """
    held = getattr(design.document.layers[index], field)
    where = f"{_place(design, index)}.{field}"
    if nth is None:
        return with_layer(design, index, **{field: changed(held, where, changes)})
    parts = list(held)
    parts[nth] = changed(parts[nth], f"{where}[{nth}]", changes)
    return with_layer(design, index, **{field: tuple(parts)})


def inserted_layer(design: Design, at: int, layer: AnyLayer) -> Design:
    """`layer` laid so that it becomes layer `at`, what lies from there on further out.

    Raises
    ------
    DesignError, UnknownName
        There are too many layers, or the palette has not its roles.
    """
    layers = list(design.document.layers)
    layers.insert(at, layer)
    return _with_layers(design, layers)


def copied_layer(design: Design, index: int) -> Design:
    """Layer `index` once more, next further out."""
    return inserted_layer(design, index + 1, design.document.layers[index])


def removed_layer(design: Design, index: int) -> Design:
    """The design without layer `index`.

    Raises
    ------
    DesignError
        It is the last one.
    """
    if len(design.document.layers) == 1:
        raise DesignError(
            "a cup without any layer is bare steel",
            where=_place(design, index),
            remedy="Lay another layer first",
        )
    layers = list(design.document.layers)
    del layers[index]
    return _with_layers(design, layers)


def moved_layer(design: Design, index: int, to: int) -> Design:
    """Layer `index` moved to stand at `to`, as far as the stack reaches."""
    layers = list(design.document.layers)
    layer = layers.pop(index)
    layers.insert(max(0, min(to, len(layers))), layer)
    return _with_layers(design, layers)


def with_asset(design: Design, file_name: str, data: bytes) -> tuple[Design, str]:
    """The design with a file at hand, and its name below assets/.

    The same bytes keep the name that they have; another file of the same name gets a number.
    Assets that no layer names stay until the next change of the layers.
    """
    for asset in design.assets.values():
        if asset.data == data:
            return design, asset.name
    stem, dot, ending = _UNSAFE.sub("-", file_name.rpartition("/")[2]).strip("-.").rpartition(".")
    stem, ending = (stem[:_MOST_NAME], dot + ending) if dot else (ending[:_MOST_NAME], "")
    stem = stem or "file"
    number, name = 1, f"assets/{stem}{ending}"
    while name in design.assets:
        number += 1
        name = f"assets/{stem}-{number}{ending}"
    return replace(design, assets={**design.assets, name: Asset(name, data)}), name


def with_swatch(design: Design, role: str, swatch: Swatch) -> Design:
    """Another material for `role` in the palette in use, which becomes the design's own.

    Raises
    ------
    DesignError
        It does not suit a layer that asks for the role.
    """
    palette = design.palette
    roles = {**palette.roles, role: swatch}
    name = design.document.palette
    own = palette.model_copy(update={"roles": roles})
    return _checked(replace(design, palettes={**design.palettes, name: own}), design.document)


def _with_layers(design: Design, layers: Sequence[AnyLayer]) -> Design:
    place = f"{design.where}: layers"
    most = 60
    if len(layers) > most:
        raise DesignError(
            f"{len(layers)} layers are too many", where=place, remedy=f"Lay {most} at most"
        )
    document = design.document.model_copy(update={"layers": tuple(layers)})
    return _checked(design, document)


def _checked(design: Design, document: Document) -> Design:
    """`document` with the assets that it names, its roles looked up."""
    names = document.asset_names()
    assets = {name: design.asset(name, where=where) for name, where in names.items()}
    found = replace(design, document=document, assets=assets)
    found.check_roles()
    return found


def _place(design: Design, index: int) -> str:
    return f"{design.where}: layers[{index}]"


def _plain(value: Any) -> Any:
    """Models within changes as the tables that validation takes."""
    if isinstance(value, Part):
        return value.model_dump(exclude_none=True)
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    return value
