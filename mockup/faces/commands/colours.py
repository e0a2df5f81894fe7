"""Commands about colours: palettes of a design, colours of a picture, what goes with a colour."""

import json
import re
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from mockup.errors import DesignError
from mockup.faces.commands.words import Output, design_argument, example, json_option

if TYPE_CHECKING:
    from mockup.design.document import Design
    from mockup.pipeline.colours import Taken

__all__ = ["colours", "companions", "palettes"]

_LISTS = (".gpl", ".csv", ".json", ".toml")


class _Colour(click.ParamType):  # type: ignore[type-arg]  # older clicks take none
    """An sRGB colour, with or without its number sign, which shells take for a comment."""

    name = "colour"

    def convert(self, value: Any, param: Any, ctx: Any) -> str:
        """Give it as ``#rrggbb``."""
        found = re.fullmatch(r"#?([0-9a-f]{6})", str(value).strip().lower())
        if found is None:
            self.fail(f"{value!r} is no colour such as 0d2348.", param, ctx)
        return f"#{found[1]}"


@click.command(
    epilog=example(
        "palettes regatta --json",
        "palettes regatta --use kelp-bed",
        "palettes regatta --palette kelp-bed --to kelp-bed.gpl",
        "palettes regatta --from kelp-bed.gpl --name kelp-and-sand",
        "palettes regatta --from harbour.jpg",
    )
)
@design_argument
@click.option("--use", metavar="NAME", help="Make this one the design's palette.")
@click.option(
    "--to", metavar="FILE", type=Output(*_LISTS),
    help="Write a palette to a file: .gpl, .csv, .json or .toml.",
)  # fmt: skip
@click.option("--palette", metavar="NAME", help="The one to write, else the one in use.")
@click.option(
    "--from", "source", metavar="FILE", type=click.Path(path_type=Path),
    help="Take in a palette from such a file, or from the colours of a picture.",
)  # fmt: skip
@click.option("--name", metavar="NAME", help="What to call the one that is taken in.")
@click.option("--replace", is_flag=True, help="It may replace one of that name.")
@json_option
def palettes(
    design: Path,
    use: str | None,
    to: Path | None,
    palette: str | None,
    source: Path | None,
    name: str | None,
    replace: bool,
    as_json: bool,
) -> None:
    """List, choose, write out or take in palettes for DESIGN.

    By itself it lists those at hand. A star marks the one in use; one that does not fit says why.
    A list of colours cannot hold metals, films and spectra; what becomes of them is told.
    """
    _check_together(use, to, palette, source, name, replace=replace)
    from mockup.pipeline import colours as pipeline

    if use is not None:
        chosen = pipeline.choose_palette(design, use)
        click.echo(f"{chosen.document.title} is now in {use}")
    elif to is not None:
        _tell(pipeline.palette_to_file(design, to, palette=palette))
        click.echo(f"Wrote {to}")
    elif source is not None:
        take = (
            pipeline.palette_from_file
            if source.suffix.lower() in _LISTS
            else pipeline.palette_from_picture
        )
        _tell_taken(take(design, source, name=name, replacing=replace))
    else:
        _list(design, as_json=as_json)


def _check_together(
    use: str | None,
    to: Path | None,
    palette: str | None,
    source: Path | None,
    name: str | None,
    *,
    replace: bool,
) -> None:
    """Refuse options that say two things at once, or nothing."""
    asked = [word for word, given in (("--use", use), ("--to", to), ("--from", source)) if given]
    if len(asked) > 1:
        raise click.UsageError(f"{' and '.join(asked)} are two things; ask for one at a time.")
    if palette is not None and to is None:
        raise click.UsageError("--palette says which one to write; add --to FILE, or say --use.")
    if (name is not None or replace) and source is None:
        raise click.UsageError("--name and --replace go with --from FILE.")


def _list(path: Path, *, as_json: bool) -> None:
    from mockup.design.read import read_design

    whole = read_design(path)
    misfits = {name: _misfit(whole, name) for name in sorted(whole.palettes)}
    if as_json:
        found = {
            name: whole.palettes[name].model_dump(mode="json") | {"misfit": misfit}
            for name, misfit in misfits.items()
        }
        in_use = whole.document.palette
        click.echo(json.dumps({"in_use": in_use, "palettes": found}, indent=2, ensure_ascii=False))
        return
    for name, misfit in misfits.items():
        mark = "*" if name == whole.document.palette else " "
        about = f"does not fit: {misfit}" if misfit else whole.palettes[name].note
        click.echo(f"{mark} {name}  {about}".rstrip())


def _misfit(design: "Design", palette: str) -> str | None:
    try:
        design.with_palette(palette)
    except DesignError as error:
        return error.problem
    return None


def _tell(sentences: tuple[str, ...]) -> None:
    for sentence in sentences:
        click.echo(sentence, err=True)


def _tell_taken(taken: "Taken") -> None:
    _tell(taken.told)
    click.echo(f"Wrote {taken.file}; see it with --palette {taken.palette.name!r}")


@click.command(epilog=example("colours harbour.jpg --most 6 --to harbour.gpl"))
@click.argument("picture", type=click.Path(path_type=Path))
@click.option(
    "--most", metavar="N", type=click.IntRange(1, 24), default=8, show_default=True,
    help="Colours at most.",
)  # fmt: skip
@click.option(
    "--to", metavar="FILE", type=Output(*_LISTS),
    help="Also write them to a palette file: .gpl, .csv, .json or .toml.",
)  # fmt: skip
@json_option
def colours(picture: Path, most: int, to: Path | None, as_json: bool) -> None:
    """Tell the colours of PICTURE with their shares.

    PICTURE is a photo, a scan or a drawing: PNG, JPEG, TIFF, WebP or SVG. Colours that the eye
    hardly tells apart are one; what is transparent does not count.
    """
    from mockup.pipeline import colours as pipeline

    found = pipeline.colours_of(picture, most=most)
    if to is not None:
        _tell(pipeline.write_colours(found, to))
    if as_json:
        click.echo(json.dumps([asdict(colour) for colour in found], indent=2))
        return
    for colour in found:
        click.echo(f"{_patch(colour.srgb)}{100 * colour.share:5.1f} %  {_name(colour.srgb)}")
    if to is not None:
        click.echo(f"Wrote {to}")


@click.command(epilog=example("companions 0d2348 --steps 9"))
@click.argument("colour", type=_Colour())
@click.option(
    "--steps", metavar="N", type=click.IntRange(2, 24), default=7, show_default=True,
    help="Tints from dark to light.",
)  # fmt: skip
@json_option
def companions(colour: str, steps: int, as_json: bool) -> None:
    """Tell what goes with COLOUR, and its tints from dark to light.

    COLOUR is written such as 0d2348. Companions are as light and as strong as it is, or paler
    where a screen shows no stronger one.
    """
    from mockup.pipeline import colours as pipeline

    found = pipeline.companions_of(colour, steps=steps)
    if as_json:
        click.echo(json.dumps({"colour": colour, **found}, indent=2))
        return
    click.echo(f"{_patch(colour)} {_name(colour)}")
    for name, several in found.items():
        click.echo(name)
        for srgb in several:
            click.echo(f"  {_patch(srgb)} {_name(srgb)}")


def _patch(srgb: str) -> str:
    """The colour itself, where a terminal shows it, and its code."""
    red, green, blue = bytes.fromhex(srgb[1:])
    return f"{click.style('    ', bg=(red, green, blue))} {srgb} "


def _name(srgb: str) -> str:
    from mockup.colorimetry.oklab import oklab_from_rgb8
    from mockup.colorimetry.plain_names import plain_name
    from mockup.colorimetry.srgb import rgb8_from_hex

    return plain_name(oklab_from_rgb8(rgb8_from_hex(srgb)))
