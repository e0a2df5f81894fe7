"""The command that lets a material's colour follow how it came out on a cup."""

import click

from mockup.faces.commands.material_options import name_argument, tell
from mockup.faces.commands.words import example, json_option

__all__ = ["correct"]


@click.command(epilog=example('materials correct "deep-water navy" --by-cup 3 --take'))
@name_argument
@click.option(
    "--by-cup",
    "order",
    metavar="ORDER",
    type=click.IntRange(min=1),
    required=True,
    help="Whose finished cup was photographed.",
)
@click.option("--role", metavar="ROLE", help="What it was used for; else as its label says.")
@click.option("--take", is_flag=True, help="Let it look so from now on; else only tell.")
@json_option
def correct(name: str, order: int, role: str | None, take: bool, as_json: bool) -> None:
    """Set right the colour of the material NAME by how it came out on a cup.

    Nothing changes without --take, and how it looked before is kept.
    """
    from mockup.material.chip import chip_hex
    from mockup.pipeline.lesson import find_lesson, take_lesson
    from mockup.store import open_store

    with open_store() as store:
        material = store.materials.find(name)
        lesson = find_lesson(store, material, order, role)
        click.echo(
            f"{lesson.role}: promised {chip_hex(lesson.before)}, by the cup of order {order} "
            f"{chip_hex(lesson.after)} (it came out ΔE00 {lesson.delta_e:.1f} away)",
            err=as_json,
        )
        if take:
            material = take_lesson(store, material, lesson)
        elif not as_json:
            click.echo("Nothing is changed; --take lets it look so from now on.")
    if take or as_json:
        tell(material, as_json)
