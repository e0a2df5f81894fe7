"""Commands that draw: what the customer sees."""

from pathlib import Path
from typing import Literal

import click

from mockup.faces.commands.words import (
    Degrees,
    Output,
    design_argument,
    example,
    light_option,
    output_option,
    palette_option,
    paper_option,
    size_of,
)
from mockup.faces.progress import shown_progress

__all__ = ["proof", "render"]


@click.command(epilog=example("render regatta/design.toml -o side.png --turn 90 --size 900x1200"))
@design_argument
@output_option(".png")
@click.option(
    "--size",
    metavar="WxH",
    callback=size_of,
    default="1200x1600",
    show_default=True,
    help="In pixels.",
)
@click.option(
    "--turn", metavar="DEG", type=Degrees(-360, 360), default=0.0, show_default=True,
    help="Turn of the cup; 0 shows the front, more shows what lies to its right.",
)  # fmt: skip
@click.option(
    "--elevation", metavar="DEG", type=Degrees(-60, 85), default=10.0, show_default=True,
    help="How far the eye looks down on the cup.",
)  # fmt: skip
@light_option
@palette_option
@click.option(
    "--samples",
    metavar="N",
    type=click.IntRange(1, 64),
    help="Per pixel; without it 4 for a large picture and up to 16 for a small one.",
)
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


@click.command(epilog=example("proof regatta -o proof.pdf --palette storm-silver --paper letter"))
@design_argument
@output_option(".pdf")
@paper_option
@light_option
@palette_option
def proof(
    design: Path,
    output: Path,
    paper: Literal["a4", "letter"],
    light: str | None,
    palette: str | None,
) -> None:
    """Write the proof of DESIGN, which the customer approves."""
    from mockup import pipeline

    with shown_progress() as progress:
        pipeline.proof(design, output, paper=paper, palette=palette, light=light, progress=progress)
    click.echo(f"Wrote {output}")
