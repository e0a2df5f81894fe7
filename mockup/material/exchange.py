"""Palettes to and from other programs' files, told what a file cannot hold.

A GIMP palette is a list of colours: a metal, film, hologram or spectrum goes into it as the colour
of its chip. Read back, such a colour is a pigment, unless it is still the chip of a swatch that
stands for the same role in a palette at hand.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from mockup.design.palette import Palette, Swatch
from mockup.design.palette_csv import csv_text, read_csv
from mockup.design.palette_gpl import gpl_text, read_gpl
from mockup.design.palette_json import json_text, read_json
from mockup.design.read import read_palette
from mockup.design.strict import MAX_TOML_BYTES
from mockup.design.write import palette_text
from mockup.errors import DesignError
from mockup.material.chip import chip_hex

__all__ = ["ENDINGS", "Exchanged", "exchanged", "kept_materials", "read_exchanged"]

ENDINGS = (".gpl", ".csv", ".json", ".toml")
_WHAT = {
    "metal": "a metal",
    "film": "a colour-shifting film",
    "hologram": "a hologram",
    "spectrum": "a measured spectrum",
}


@dataclass(frozen=True, slots=True)
class Exchanged:
    """A palette as a file's bytes, and what the file cannot hold, each a whole sentence."""

    data: bytes
    lost: tuple[str, ...]


def exchanged(palette: Palette, ending: str) -> Exchanged:
    """The palette as a file of that ending.

    Raises
    ------
    DesignError
        The ending is none of `ENDINGS`.
    """
    shown = {role: chip_hex(swatch) for role, swatch in palette.roles.items()}
    match ending.lower():
        case ".gpl":
            return Exchanged(gpl_text(palette, shown).encode(), _lost_in_a_list(palette, shown))
        case ".csv":
            return Exchanged(csv_text(palette, shown).encode(), _lost_in_a_table(palette))
        case ".json":
            return Exchanged(json_text(palette, shown).encode(), ())
        case ".toml":
            return Exchanged(palette_text(palette), ())
    raise _unknown_ending(ending, "palette")


def _lost_in_a_list(palette: Palette, shown: Mapping[str, str]) -> tuple[str, ...]:
    lost = [
        f"{_called(role, swatch)} is {_WHAT[swatch.kind]}: a list of colours holds only how it "
        f"looks, {shown[role]}."
        for role, swatch in palette.roles.items()
        if swatch.kind != "pigment"
    ]
    noted = [
        role
        for role, swatch in palette.roles.items()
        if swatch.source != type(swatch).model_fields["source"].default
    ]
    if noted:
        lost.append(f"The list has no room for the sources of {_listed(noted)}.")
    return tuple(lost)


def _lost_in_a_table(palette: Palette) -> tuple[str, ...]:
    said = [key for key in ("note", "source", "licence") if getattr(palette, key)]
    return (f"The table has no room for the palette's {_listed(said)}.",) if said else ()


def read_exchanged(path: Path) -> Palette:
    """The palette in a file that this module wrote, or another program.

    Raises
    ------
    DesignError
        The file cannot be read, its ending is none of `ENDINGS`, or it holds no palette.
    """
    ending, where = path.suffix.lower(), path.name
    if ending == ".toml":
        return read_palette(path)
    if ending not in ENDINGS:
        raise _unknown_ending(ending, where)
    text, name = _text(path), path.stem[:80] or "palette"
    if ending == ".gpl":
        return read_gpl(text, name=name, where=where)
    return (
        read_csv(text, name=name, where=where) if ending == ".csv" else read_json(text, where=where)
    )


def kept_materials(palette: Palette, known: Palette) -> tuple[Palette, tuple[str, ...]]:
    """`palette` with the materials of `known` where a pigment is still their very chip.

    Returns
    -------
    (Palette, tuple)
        The tuple has a sentence for each role that kept its material, or has lost it because the
        colour is another.
    """
    roles: dict[str, Swatch] = dict(palette.roles)
    told = []
    for role, swatch in palette.roles.items():
        was = known.roles.get(role)
        if swatch.kind != "pigment" or was is None or was.kind == "pigment":
            continue
        called = _called(role, was)
        if swatch.srgb == chip_hex(was):
            roles[role] = was.model_copy(update={"label": swatch.label})
            told.append(f"{called} stays {_WHAT[was.kind]}: its colour is the same.")
        else:
            told.append(f"{called} was {_WHAT[was.kind]} and is now a pigment of {swatch.srgb}.")
    return palette.model_copy(update={"roles": roles}), tuple(told)


def _text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            data = file.read(MAX_TOML_BYTES + 1)
        if len(data) > MAX_TOML_BYTES:
            raise DesignError(
                f"the file is larger than {MAX_TOML_BYTES / 1e6:g} MB",
                where=path.name,
                remedy="Name a palette; it needs far less",
            )
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DesignError(
            f"byte {error.start} is not UTF-8 text",
            where=path.name,
            remedy="Save it again as UTF-8",
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        raise DesignError(
            f"the file cannot be read ({getattr(error, 'strerror', None) or error})",
            where=str(path),
            remedy="Name a palette that is there and that you may read",
        ) from error


def _unknown_ending(ending: str, where: str) -> DesignError:
    return DesignError(
        f"{ending!r} is no palette's ending" if ending else "its name has no ending",
        where=where,
        remedy=f"End it in {', '.join(ENDINGS[:-1])} or {ENDINGS[-1]}",
    )


def _called(role: str, swatch: Swatch) -> str:
    return f"{role} ({swatch.label})" if swatch.label else role


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
