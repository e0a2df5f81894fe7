"""Palettes made of colours that were pulled out of a picture.

The colours take the places of a palette at hand by their lightness, so that what was dark stays
dark: paint, print and vinyl take a colour as it is, metallised film takes it as its lacquer. Other
metals, films and holograms have colours of their own and stay.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from mockup.colorimetry.companions import tints
from mockup.colorimetry.oklab import hex_from_oklab, linear_from_oklab, oklab_from_rgb8
from mockup.colorimetry.plain_names import plain_name
from mockup.colorimetry.srgb import rgb8_from_hex
from mockup.design.palette import MetalSwatch, Palette, PigmentSwatch, Swatch
from mockup.errors import DesignError
from mockup.material.chip import chip_hex

__all__ = ["colour_list", "dressed"]

_SOURCE = "pulled out of a picture"


def colour_list(colours: Sequence[str], name: str) -> Palette:
    """The colours, ``#rrggbb``, as pigments by themselves, each called by its plain name."""
    roles: dict[str, Swatch] = {}
    for srgb in colours:
        called = plain_name(_oklab(srgb))
        role, number = called, 1
        while role in roles:
            number += 1
            role = f"{called} {number}"
        roles[role] = PigmentSwatch(label=called, srgb=srgb)
    return Palette(name=name, source=_SOURCE, roles=roles)


def dressed(palette: Palette, colours: Sequence[str], name: str) -> Palette:
    """`palette` with other colours.

    Parameters
    ----------
    colours
        ``#rrggbb``, the most important first; where there are more than roles the first are taken,
        where there are fewer those between them too.

    Raises
    ------
    DesignError
        There is no colour, or no role can take one.
    """
    places = sorted(
        (role for role, swatch in palette.roles.items() if _takes_a_colour(swatch)),
        key=lambda role: _oklab(chip_hex(palette.roles[role]))[0],
    )
    if not colours or not places:
        raise DesignError(
            "no colour of the picture has a place in it",
            where=f"palette {palette.name!r}",
            remedy="Begin with a palette that has pigments or coloured film",
        )
    roles: dict[str, Swatch] = dict(palette.roles)
    for role, oklab in zip(places, _as_many(colours[: len(places)], len(places)), strict=True):
        roles[role] = _coloured(roles[role], oklab)
    return Palette(
        name=name, note=f"Colours of a picture in place of those of {palette.name}."[:500],
        source=_SOURCE, licence=palette.licence, roles=roles,
    )  # fmt: skip


def _takes_a_colour(swatch: Swatch) -> bool:
    if swatch.kind == "metal":
        return swatch.metal == "aluminium"
    return swatch.kind in ("pigment", "spectrum")


def _coloured(swatch: Swatch, oklab: NDArray[np.float64]) -> Swatch:
    srgb, called = hex_from_oklab(oklab), plain_name(oklab)
    if isinstance(swatch, MetalSwatch):
        return swatch.model_copy(update={"tint_srgb": srgb, "label": called, "source": _SOURCE})
    return PigmentSwatch(label=called, srgb=srgb, source=_SOURCE)


def _as_many(colours: Sequence[str], count: int) -> NDArray[np.float64]:
    """From dark to light, `count` colours: (count, 3) Oklab."""
    known = np.array(sorted((_oklab(srgb) for srgb in colours), key=lambda oklab: oklab[0]))
    if len(known) == 1 and count > 1:
        return tints(linear_from_oklab(known[0]), count)
    at = np.linspace(0.0, len(known) - 1.0, count)
    return np.stack([np.interp(at, np.arange(len(known)), axis) for axis in known.T], axis=-1)


def _oklab(srgb: str) -> NDArray[np.float64]:
    return oklab_from_rgb8(rgb8_from_hex(srgb))
