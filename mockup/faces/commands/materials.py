"""Commands for the maker's own materials: what they are, and what there is of them."""

from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from mockup.faces.commands.words import (
    Finite,
    example,
    json_option,
    order_argument,
    output_option,
    print_json,
)

if TYPE_CHECKING:
    from fractions import Fraction

    from mockup.store import Store
    from mockup.store.material_records import Material

    _Move = Callable[[Store, Material, Fraction], Material]

__all__ = ["materials"]

F = TypeVar("F", bound=Callable[..., Any])


@click.group(epilog=example("materials list"))
def materials() -> None:
    """Keep your own materials, and what there is of them.

    Plans, prices and cut sheets go by them. A figure that you have not given is typical, and says
    so wherever it is used. An AMOUNT is in mL, g, cm² of sheet, or pieces, as plans count them; or
    write 2packs or 3sheets.
    """


class _Money(click.ParamType[int]):
    """A sum such as 9.50, as minor units."""

    name = "money"

    def convert(self, value: Any, param: Any, ctx: Any) -> int:
        """Refuse what is no sum of the shelf's currency."""
        from mockup.design.shelf import read_shelf

        digits = read_shelf().rates.minor_digits
        try:
            minor = Decimal(str(value)).scaleb(digits)
        except InvalidOperation:
            self.fail(f"{value!r} is not a sum such as 9.50.", param, ctx)
        if not minor.is_finite() or minor < 0 or minor != minor.to_integral_value():
            self.fail(f"{value!r} is not a sum with at most {digits} decimals.", param, ctx)
        return int(minor)


def _figures(ctx: click.Context, param: click.Parameter, value: tuple[str, ...]) -> dict[str, str]:
    told = {}
    for one in value:
        name, equals, text = one.partition("=")
        if not equals:
            raise click.BadParameter(f"{one!r} is not written as FIGURE=VALUE.")
        told[name.strip()] = text
    return told


name_argument = click.argument("name")
amount_argument = click.argument("amount")
note_option = click.option("--note", metavar="TEXT", default="", help="What else to remember.")


def _telling(command: F) -> F:
    """The options by which a material is told of."""
    for option in (
        click.option(
            "--photo", metavar="FILE", type=click.Path(path_type=Path), help="Its picture."
        ),
        click.option("--note", metavar="TEXT", help="Your notes."),
        click.option("--batch", metavar="TEXT", help="What is stamped on it."),
        click.option(
            "--for", "suits", metavar="NAME", multiple=True,
            help="A role, swatch label, blank or artwork that it is for; may be given again.",
        ),
        click.option(
            "--by", "source", metavar="TEXT", default="data sheet", show_default=True,
            help="Where the figures given here are from.",
        ),
        click.option(
            "--set", "figures", metavar="FIGURE=VALUE", multiple=True, callback=_figures,
            help="A figure by its name, such as drying.cure_h=72; may be given again.",
        ),
        click.option("--price", metavar="MONEY", type=_Money(), help="Of one pack."),
        click.option(
            "--pack", metavar="AMOUNT", type=Finite(min=0, max=10**6),
            help="What a pack holds: mL, g, sheets or pieces.",
        ),
    ):  # fmt: skip
        command = option(command)
    return command


@materials.command("list", epilog=example("materials list --json"))
@click.option("--away", is_flag=True, help="List what was put away too.")
@json_option
def list_(away: bool, as_json: bool) -> None:
    """List your materials with what is on hand.

    What is reserved for orders beyond it is short.
    """
    from mockup.outputs.plan.words import figure, table
    from mockup.pipeline.shelving import material_as_json
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
        rows.append((m.name, m.product.kind.replace("_", " "), *sums, m.unit, told))
    click.echo("\n".join(table(rows, right=(2, 3, 4))))


@materials.command(epilog=example('materials show "copper flake"'))
@name_argument
@json_option
def show(name: str, as_json: bool) -> None:
    """Tell everything of the material NAME.

    Each figure comes with where it is from, each order with what it reserved and used.
    """
    from mockup.pipeline.shelving import material_as_json
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
@_telling
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
        material = enter_material(store, Told(name=name, photo=_photo(photo), **given))
    _tell(material, as_json)


@materials.command(
    epilog=example('materials change "copper flake" --set loss_share=0.3 --by measured')
)
@name_argument
@_telling
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
        photo = _photo(told.pop("photo"))
        called = told.pop("called")
        material = change_material(store, material, given, name=called, photo=photo, **told)
    _tell(material, as_json)


@materials.command(epilog=example('materials bought "copper flake" 100 --paid 12.00'))
@name_argument
@amount_argument
@click.option("--paid", metavar="MONEY", type=_Money(), help="For all of it.")
@note_option
@json_option
def bought(name: str, amount: str, paid: int | None, note: str, as_json: bool) -> None:
    """Put AMOUNT of the material NAME on the shelf."""
    _move(name, as_json, amount, lambda s, m, a: s.stock.buy(m, a, price_minor=paid, note=note))


@materials.command(epilog=example('materials used "copper flake" 7.5 --order 3'))
@name_argument
@amount_argument
@click.option(
    "--order", metavar="N", type=click.IntRange(min=1), help="For this order, which learns by it."
)
@note_option
@json_option
def used(name: str, amount: str, order: int | None, note: str, as_json: bool) -> None:
    """Take AMOUNT of the material NAME off the shelf.

    With --order it is held against what the order's plan takes.
    """
    _move(name, as_json, amount, lambda s, m, a: s.stock.use(m, a, order=order, note=note))


@materials.command(epilog=example('materials counted "copper flake" 38.2'))
@name_argument
@amount_argument
@note_option
@json_option
def counted(name: str, amount: str, note: str, as_json: bool) -> None:
    """Say how much there is of the material NAME."""
    _move(name, as_json, amount, lambda s, m, a: s.stock.count(m, a, note=note))


@materials.command(epilog=example("materials reserve 3"))
@order_argument
@click.option("--cups", metavar="N", type=click.IntRange(1, 1000), help="Else the order's.")
@click.option("--none", is_flag=True, help="Give back what it has reserved.")
@json_option
def reserve(order: int, cups: int | None, none: bool, as_json: bool) -> None:
    """Reserve for ORDER what its plan takes.

    To reserve again follows the design as it is now. An order that is called off gives back what
    it reserved; one that is handed over takes what nobody weighed as planned.
    """
    from mockup.outputs.plan.words import figure
    from mockup.pipeline.materials import reserve_for, reserved_by
    from mockup.store import open_store

    with open_store() as store:
        if none:
            store.stock.give_back(order)
            held = reserved_by(store, order)
        else:
            held = reserve_for(store, order, cups=cups)
    lines = [
        (m.name, float(claim.reserved), m.unit, float(held.short.get(m.id, 0)))
        for m, claim in held.claims
    ]
    if as_json:
        keys = ("material", "reserved", "unit", "short")
        told = [dict(zip(keys, line, strict=True)) for line in lines]
        print_json({"reserved": told, "not_yours": list(held.others)})
        return
    for name, amount, unit, short in lines:
        lacks = f", {figure(short)} {unit} short" if short else ""
        click.echo(f"{name}: {figure(amount)} {unit} reserved{lacks}")
    if held.others:
        click.echo("No materials of yours, so nothing of them is reserved:", err=True)
    for name in held.others:
        click.echo(f"  {name}", err=True)


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


def _move(name: str, as_json: bool, amount: str, move: "_Move") -> None:
    from mockup.pipeline.shelving import amount_from
    from mockup.store import open_store

    with open_store() as store:
        material = store.materials.find(name)
        _tell(move(store, material, amount_from(material.product, amount)), as_json)


def _tell(material: "Material", as_json: bool) -> None:
    from mockup.faces.commands.material_words import stock_in_words
    from mockup.pipeline.shelving import material_as_json

    if as_json:
        print_json(material_as_json(material))
        return
    click.echo(stock_in_words(material))


def _photo(path: Path | None) -> bytes | None:
    if path is None:
        return None
    from mockup.pipeline.shelving import read_photo

    return read_photo(path)
