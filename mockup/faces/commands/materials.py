"""Commands for the maker's own materials: what they are, and what there is of them."""

from pathlib import Path
from typing import Any

import click

from mockup.faces.commands.material_lesson import correct
from mockup.faces.commands.material_options import name_argument, photo_in, tell, telling
from mockup.faces.commands.material_stock import bought, counted, reserve, used
from mockup.faces.commands.words import example, json_option, output_option, print_json

__all__ = ["materials"]


@click.group(epilog=example("materials list"))
def materials() -> None:
    """Keep your own materials, and what there is of them.

    Plans, prices and cut sheets go by them. A figure that you have not given is typical, and says
    so wherever it is used. An AMOUNT is in mL, g, cm² of sheet, or pieces, as plans count them; or
    write 2packs or 3sheets.
    """


@materials.command("list", epilog=example("materials list --json"))
@click.option("--away", is_flag=True, help="List what was put away too.")
@json_option
def list_(away: bool, as_json: bool) -> None:
    """List your materials with what is on hand.

    What is reserved for orders beyond it is short.
    """
    from mockup.outputs.plan.figures import figure, unit_of
    from mockup.outputs.plan.words import table
    from mockup.pipeline.material_json import material_as_json
    from mockup.store import open_store

    with open_store() as store:
        found, factors = store.materials.all(away=away), store.used.factors()
    if as_json:
        print_json([material_as_json(m, factor=factors.get(m.id)) for m in found])
        return
    if not found:
        click.echo("No materials. Enter one with tumbler-mockup materials enter.")
        return
    rows: list[tuple[str, ...]] = [("material", "kind", "on hand", "reserved", "free", "", "")]
    for m in found:
        sums = (figure(float(part)) for part in (m.on_hand, m.reserved, m.free))
        told = "short" if m.free < 0 else "put away" if m.away else ""
        rows.append(
            (
                m.name,
                m.product.kind.replace("_", " "),
                *sums,
                unit_of(float(m.on_hand), m.unit),
                told,
            )
        )
    click.echo("\n".join(table(rows, right=(2, 3, 4))))


@materials.command(epilog=example('materials show "copper flake"'))
@name_argument
@json_option
def show(name: str, as_json: bool) -> None:
    """Tell everything of the material NAME.

    Each figure comes with where it is from, each order with what it reserved and used.
    """
    from mockup.pipeline.material_json import material_as_json
    from mockup.store import open_store

    with open_store() as store:
        material = store.materials.find(name)
        claims, factor = store.stock.of_material(material), store.used.factor(material)
        moves = store.stock.moves(material)
    told = material_as_json(material, claims=claims, factor=factor)
    if as_json:
        moved = [
            {
                "at": m.made_at, "kind": m.kind, "order": m.order_id, "on_hand": float(m.on_hand),
                "reserved": float(m.reserved), "price_minor": m.price_minor, "note": m.note,
            }
            for m in moves
        ]  # fmt: skip
        print_json(told | {"moves": moved})
        return
    from mockup.faces.commands.material_words import material_in_words

    click.echo(material_in_words(material, claims, factor, moves))


@materials.command(
    epilog=example(
        'materials enter "copper flake" --kind glitter --pack 50 --price 6.00 --on-hand 42.5'
    )
)
@name_argument
@click.option("--kind", required=True, metavar="KIND", help="As shelf.toml calls it: paint, foil …")
@telling
@click.option("--on-hand", metavar="AMOUNT", default="", help="What there is of it.")
@json_option
def enter(name: str, photo: Path | None, as_json: bool, **told: Any) -> None:
    """Put a new material on your shelf.

    Without --for, paint, glitter, foil, vinyl, sheets and blanks are for what is called NAME, and
    all else is for any use.
    """
    from mockup.pipeline.shelving import Told, enter_material
    from mockup.store import open_store

    given = {key: value for key, value in told.items() if value is not None}
    with open_store() as store:
        material = enter_material(store, Told(name=name, photo=photo_in(photo), **given))
    tell(material, as_json)


@materials.command(
    epilog=example('materials change "copper flake" --set loss_share=0.3 --by measured')
)
@name_argument
@telling
@click.option("--rename", "called", metavar="NAME", default="", help="What it is called now.")
@click.option("--learned", is_flag=True, help="Plan with the loss that its use taught.")
@click.option("--away/--back", default=None, help="Take it off the shelf, or put it back.")
@json_option
def change(name: str, learned: bool, as_json: bool, **told: Any) -> None:
    """Change what is told of the material NAME.

    What is not given stays as it is.
    """
    from mockup.pipeline.shelving import change_material, figures_from, learn
    from mockup.store import open_store

    with open_store() as store:
        material = store.materials.find(name)
        if learned:
            material = learn(store, material)
        typed, pack, price = told.pop("figures"), told.pop("pack"), told.pop("price")
        given = figures_from(material.product, typed, pack=pack, price_minor=price)
        photo = photo_in(told.pop("photo"))
        called = told.pop("called")
        material = change_material(store, material, given, name=called, photo=photo, **told)
    tell(material, as_json)


@materials.command(epilog=example("materials export -o shelf.zip"))
@output_option(".csv", ".zip", help="A table, or a pack with the photos.")
def export(output: Path) -> None:
    """Write your materials and what is on hand to one file.

    Where there is nothing yet, it brings the same shelf back.
    """
    from mockup.pipeline.shelving import export_materials
    from mockup.store import open_store

    with open_store() as store:
        count = export_materials(store, output)
    click.echo(f"Wrote {output}, {count} {'material' if count == 1 else 'materials'}")


@materials.command("import", epilog=example("materials import shelf.csv"))
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--counted", is_flag=True, help="Take what is on hand from the file, too.")
def import_(file: Path, counted: bool) -> None:
    """Take in the materials of FILE, a table or a pack.

    New ones come with what there is of them; of known ones the stock stays, unless --counted is
    given. Nothing is taken away.
    """
    from mockup.pipeline.shelving import import_materials
    from mockup.store import open_store

    with open_store() as store:
        shelved = import_materials(store, file, counted=counted)
    for name in shelved.new:
        click.echo(f"New: {name}")
    for name in shelved.changed:
        click.echo(f"Changed: {name}")
    click.echo(f"As it was: {len(shelved.same)}")


for _command in (bought, used, counted, reserve, correct):
    materials.add_command(_command)
