"""Commands for stock: what was bought, used and counted, and what orders reserve."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import click

from mockup.faces.commands.material_options import Money, name_argument, note_option, tell
from mockup.faces.commands.words import example, json_option, order_argument, print_json

if TYPE_CHECKING:
    from fractions import Fraction

    from mockup.store import Store
    from mockup.store.material_records import Material

    _Move = Callable[[Store, Material, Fraction], Material]

__all__ = ["bought", "counted", "reserve", "used"]

amount_argument = click.argument("amount")


@click.command(epilog=example('materials bought "copper flake" 100 --paid 12.00'))
@name_argument
@amount_argument
@click.option("--paid", metavar="MONEY", type=Money(), help="For all of it.")
@note_option
@json_option
def bought(name: str, amount: str, paid: int | None, note: str, as_json: bool) -> None:
    """Put AMOUNT of the material NAME on the shelf."""
    _move(name, as_json, amount, lambda s, m, a: s.stock.buy(m, a, price_minor=paid, note=note))


@click.command(epilog=example('materials used "copper flake" 7.5 --order 3'))
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


@click.command(epilog=example('materials counted "copper flake" 38.2'))
@name_argument
@amount_argument
@note_option
@json_option
def counted(name: str, amount: str, note: str, as_json: bool) -> None:
    """Say how much there is of the material NAME."""
    _move(name, as_json, amount, lambda s, m, a: s.stock.count(m, a, note=note))


@click.command(epilog=example("materials reserve 3"))
@order_argument
@click.option("--cups", metavar="N", type=click.IntRange(1, 1000), help="Else the order's.")
@click.option("--none", is_flag=True, help="Give back what it has reserved.")
@json_option
def reserve(order: int, cups: int | None, none: bool, as_json: bool) -> None:
    """Reserve for ORDER what its plan takes.

    To reserve again follows the design as it is now. An order that is called off gives back what
    it reserved; one that is handed over takes what nobody weighed as planned.
    """
    from mockup.outputs.plan.figures import counted
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
        lacks = f", {counted(short, unit)} short" if short else ""
        click.echo(f"{name}: {counted(amount, unit)} reserved{lacks}")
    if held.others:
        click.echo("No materials of yours, so nothing of them is reserved:", err=True)
    for name in held.others:
        click.echo(f"  {name}", err=True)


def _move(name: str, as_json: bool, amount: str, move: "_Move") -> None:
    from mockup.pipeline.shelving import amount_from
    from mockup.store import open_store

    with open_store() as store:
        material = store.materials.find(name)
        tell(move(store, material, amount_from(material.product, amount)), as_json)
