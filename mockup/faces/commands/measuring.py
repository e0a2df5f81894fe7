"""The command that measures a material from photos beside a card."""

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from mockup.faces.commands.words import Finite, Output, example, json_option, print_json
from mockup.faces.progress import shown_progress

if TYPE_CHECKING:
    from mockup.photo.measured import Measured, MeasuredSwatch

__all__ = ["measure"]

_KINDS = ("paint", "print", "fabric", "vinyl", "glitter", "foil")
_FIGURES = {
    "cut_mm": ("cut", " mm"),
    "coverage": ("coverage", ""),
    "sparkle": ("sparkle", ""),
    "tilt_deg": ("tilt", "°"),
    "mirrored": ("mirrored light", " of a white card's"),
    "specular_roughness": ("roughness", ""),
}


class _Size(click.ParamType):  # type: ignore[type-arg]  # older clicks take none
    """Two sides in mm."""

    name = "size"

    def convert(self, value: Any, param: Any, ctx: Any) -> tuple[float, float]:
        """Give them as two numbers."""
        if isinstance(value, tuple):
            return value
        found = re.fullmatch(r"(\d+(?:\.\d+)?)[x×](\d+(?:\.\d+)?)", str(value).strip(), re.ASCII)
        sides = (float(found[1]), float(found[2])) if found else (0.0, 0.0)
        if not all(5 <= side <= 1000 for side in sides):
            self.fail(f"{value!r} is no size in mm such as 85.6x54.", param, ctx)
        return sides


@click.command(
    epilog=example(
        "measure jar.jpg --as paint --light D65 -o jar.toml",
        "measure jar.jpg --as paint --corners '8%,10%,30%,10%,30%,25%,8%,25%'"
        " --place '55%,20%,80%,60%'",
        "measure on-white.jpg on-black.jpg --as glitter --place '50%,5%,95%,95%'"
        " --bare '5%,60%,40%,90%'",
        "measure mirrors-card.jpg mirrors-black.jpg --as foil --place 900,1400,1100,1550 --json",
    )
)
@click.argument("photos", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--as", "kind", type=click.Choice(_KINDS), required=True,
    help="What the material is. Glitter and foil take two photos.",
)  # fmt: skip
@click.option(
    "--place", "places", metavar="L,T,R,B", multiple=True,
    help="Where it lies: left, top, right, bottom, in pixels or each with a % sign; for each"
    " photo, or once for all.",
)  # fmt: skip
@click.option(
    "--bare", metavar="L,T,R,B", multiple=True, help="Where the ground under glitter is bare."
)
@click.option(
    "--corners", metavar="X,Y,...", multiple=True,
    help="The card's four corners, clockwise from the top left, if it is not found by itself.",
)  # fmt: skip
@click.option(
    "--reflectance", metavar="SHARE", type=Finite(0.02, 1.0), default=0.18, show_default=True,
    help="Of the card, from its data sheet.",
)  # fmt: skip
@click.option(
    "--card", "card_mm", metavar="MMxMM", type=_Size(),
    help="The card's size, by which the cut of glitter is told; else a bank card's, 85.6x53.98.",
)  # fmt: skip
@click.option("--chart", is_flag=True, help="The corners are those of a chart of 24 patches.")
@click.option(
    "--light", metavar="NAME",
    help="What the photo was taken in, by its CIE name: D65, A, LED-B3. Without it all common"
    " lights are taken for possible.",
)  # fmt: skip
@click.option(
    "--distance", "distance_mm", metavar="MM", type=Finite(10, 1000), default=60.0,
    show_default=True, help="From the place on foil to the middle of the card that it mirrors.",
)  # fmt: skip
@click.option(
    "--dark", metavar="SHARE", type=Finite(0.0, 0.15), default=0.03, show_default=True,
    help="Reflectance of the dark thing that foil mirrors.",
)  # fmt: skip
@click.option(
    "--metal", type=click.Choice(["aluminium", "copper", "gold", "silver"]), default="aluminium",
    show_default=True, help="Under the lacquer of foil.",
)  # fmt: skip
@click.option(
    "-o", "--output", metavar="FILE.toml", type=Output(".toml"),
    help="Write the swatch as a palette of its own.",
)  # fmt: skip
@json_option
def measure(
    photos: tuple[Path, ...],
    kind: str,
    places: tuple[str, ...],
    bare: tuple[str, ...],
    corners: tuple[str, ...],
    reflectance: float,
    card_mm: tuple[float, float] | None,
    chart: bool,
    light: str | None,
    distance_mm: float,
    dark: float,
    metal: str,
    output: Path | None,
    as_json: bool,
) -> None:
    """Measure a material from PHOTOS beside a neutral card.

    JPEG, HEIC or PNG from any phone. A chart of 24 patches in place of the card is found by
    itself, and leaves less unsure. Lay the card in the same light as the material, on ground of
    another brightness, and let nothing coloured stand near. Glitter: strewn on white, then strewn
    alike on black. Foil: first it mirrors the standing card, then something black in its place.
    Every figure is told with how sure it is; your own instrument stands above it.
    """
    from mockup.photo.measure import Setting, as_palette
    from mockup.photo.measure import measure as measured_from

    setting = Setting(
        reflectance=reflectance,
        card_mm=card_mm,
        light=light,
        corners=corners,
        places=places,
        bare=bare,
        dark=dark,
        distance_mm=distance_mm,
        metal=metal,
        chart=chart,
    )
    with shown_progress() as progress:
        measured = measured_from(photos, kind, setting, progress=progress)
    if output is not None:
        from mockup.design.write import palette_text
        from mockup.files import write_whole

        write_whole(output, palette_text(as_palette(measured, output.stem)))
    if as_json:
        print_json(measured.as_dict())
        return
    _tell(measured)
    if output is not None:
        click.echo(f"Wrote {output}")


def _tell(measured: "Measured") -> None:
    for one in measured.swatches:
        several = len(measured.swatches) > 1
        share = f"{100 * one.share:.0f} ± {100 * one.share_within:.0f} %  " if several else ""
        click.echo(f"{_patch(one)}{share}ΔE00 within {one.delta_e:.1f} in 9 of 10 cases")
    for name, (word, unit) in _FIGURES.items():
        if name in measured.figures:
            figure = measured.figures[name]
            click.echo(f"{word} {figure.value:.3g} ± {figure.within:.2g}{unit}")
    for word in measured.words:
        click.echo(word, err=True)


def _patch(one: "MeasuredSwatch") -> str:
    from mockup.material.chip import chip_hex

    chip = chip_hex(one.swatch)
    red, green, blue = bytes.fromhex(chip[1:])
    return f"{click.style('    ', bg=(red, green, blue))} {chip}  "
