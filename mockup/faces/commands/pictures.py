"""Commands that draw: what the customer sees."""

from pathlib import Path

import click

from mockup.faces.commands.words import (
    Degrees,
    Finite,
    Output,
    design_argument,
    elevation_option,
    example,
    light_option,
    output_option,
    palette_option,
    samples_option,
    size_option,
)
from mockup.faces.progress import shown_progress

__all__ = ["render", "turntable"]


@click.command(epilog=example("render regatta/design.toml -o side.png --turn 90 --size 900x1200"))
@design_argument
@output_option(".png")
@size_option("1200x1600")
@click.option(
    "--turn", metavar="DEG", type=Degrees(-360, 360), default=0.0, show_default=True,
    help="Turn of the cup; 0 shows the front, more shows what lies to its right.",
)  # fmt: skip
@elevation_option
@light_option
@palette_option
@samples_option
@click.option("--transparent", is_flag=True, help="Leave the surroundings out.")
@click.option(
    "--linear", metavar="FILE.npy", type=Output(".npy"), help="Also write linear radiance."
)
@click.option(
    "--scene",
    metavar="FILE.json",
    type=Output(".json"),
    help="Also write what was rendered, and how.",
)
def render(
    design: Path,
    output: Path,
    size: tuple[int, int],
    turn: float,
    elevation: float,
    light: str | None,
    palette: str | None,
    samples: int | None,
    transparent: bool,
    linear: Path | None,
    scene: Path | None,
) -> None:
    """Render a picture of DESIGN."""
    from mockup import pipeline

    shot = pipeline.Shot(
        width_px=size[0],
        height_px=size[1],
        turn_deg=turn,
        elevation_deg=elevation,
        samples=samples,
        transparent=transparent,
    )
    with shown_progress() as progress:
        pipeline.render(
            design,
            output,
            shot=shot,
            palette=palette,
            light=light,
            linear=linear,
            scene=scene,
            progress=progress,
        )
    click.echo(f"Wrote {output}")


@click.command(epilog=example("turntable regatta -o regatta.mp4 --frames 96 --seconds 6"))
@design_argument
@output_option(".mp4", ".webp", "", help="The film, or a folder for PNG frames.")
@click.option(
    "--frames", metavar="N", type=click.IntRange(2, 999), default=48, show_default=True,
    help="How many, once round.",
)  # fmt: skip
@click.option(
    "--seconds", metavar="S", type=Finite(0.5, 120), default=4.0, show_default=True,
    help="How long one round takes.",
)  # fmt: skip
@size_option("540x720")
@elevation_option
@light_option
@palette_option
@samples_option
def turntable(
    design: Path,
    output: Path,
    frames: int,
    seconds: float,
    size: tuple[int, int],
    elevation: float,
    light: str | None,
    palette: str | None,
    samples: int | None,
) -> None:
    """Film DESIGN going round once.

    An MP4 plays everywhere, an animated WebP where only pictures are taken. Ctrl-C stops it, and
    leaves no half film.
    """
    from mockup import pipeline

    with shown_progress() as progress:
        pipeline.turntable(
            design,
            output,
            frames=frames,
            seconds=seconds,
            size_px=size,
            elevation_deg=elevation,
            samples=samples,
            palette=palette,
            light=light,
            progress=progress,
        )
    click.echo(f"Wrote {output}")
