"""The command that holds a finished cup against its proof."""

from pathlib import Path

import click

from mockup.faces.commands.words import (
    Degrees,
    Finite,
    example,
    json_option,
    light_option,
    output_option,
    palette_option,
    print_json,
)
from mockup.faces.progress import shown_progress

__all__ = ["finished"]


@click.command(
    epilog=example(
        "finished regatta cup.jpg -o cup.png",
        "finished 12 cup.jpg -o cup.png --turn 0 --light window",
    )
)
@click.argument("design", metavar="DESIGN|ORDER")
@click.argument("photo", type=click.Path(path_type=Path))
@output_option(".png", help="The picture to write, both side by side.")
@palette_option
@light_option
@click.option(
    "--turn", "turn_deg", metavar="DEG", type=Degrees(-360, 360),
    help="The turn of the wall that faces the camera, 0 the front, to 15°; else found.",
)  # fmt: skip
@click.option(
    "--lens", "focal_35mm", metavar="MM", type=Finite(5, 1200),
    help="Focal length for 36 × 24 mm film; else from the photo's EXIF, else from the outline.",
)  # fmt: skip
@click.option(
    "--corners", metavar="X,Y,...", default="",
    help="The card's four corners, clockwise from the top left, if it is not found by itself.",
)  # fmt: skip
@click.option(
    "--reflectance", metavar="SHARE", type=Finite(0.02, 1.0), default=0.18, show_default=True,
    help="Of the card, from its data sheet.",
)  # fmt: skip
@json_option
def finished(
    design: str,
    photo: Path,
    output: Path,
    palette: str | None,
    light: str | None,
    turn_deg: float | None,
    focal_35mm: float | None,
    corners: str,
    reflectance: float,
    as_json: bool,
) -> None:
    """Hold a PHOTO of the finished cup against its design.

    The neutral card must be in the picture, in the cup's own light, and the whole cup before a
    plain ground. Colours are compared role by role, glitter by its cover along the height, decals
    by place and tilt. Of an order's number what was approved last is taken, else its design as it
    is now, and photo, picture and figures are kept with the order. A photo that cannot be measured
    is told, and nothing is kept.
    """
    from mockup.files import keep_apart
    from mockup.outputs.pictures import write_picture
    from mockup.pipeline.cup import opened
    from mockup.pipeline.finished import Told, hold_photo, keep_photo
    from mockup.store import open_store

    told = Told(corners, reflectance, turn_deg, focal_35mm, light)
    keep_apart(output, photo, "the photo")
    order = int(design) if design.isdecimal() and not Path(design).exists() else None
    with shown_progress() as progress:
        if order is None:
            held = hold_photo(opened(Path(design), palette, light), photo, told, progress=progress)
            write_picture(held.picture, output)
        else:
            with open_store() as store:
                held = keep_photo(store, order, photo, output, told, palette, progress=progress)
    if as_json:
        print_json(held.as_json())
        return
    for sentence in held.sentences:
        click.echo(sentence)
    for note in held.facts.notes:
        click.echo(f"Note: {note}.", err=True)
    click.echo(f"Wrote {output}")
    if order is not None:
        click.echo(f"Kept with order {order}")
