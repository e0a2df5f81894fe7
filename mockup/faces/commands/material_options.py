"""What the commands under `materials` share: how figures, sums and photos are given."""

from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from mockup.faces.commands.words import Finite, print_json

if TYPE_CHECKING:
    from mockup.store.material_records import Material

__all__ = ["Money", "name_argument", "note_option", "photo_in", "tell", "telling"]

F = TypeVar("F", bound=Callable[..., Any])


class Money(click.ParamType[int]):
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
note_option = click.option("--note", metavar="TEXT", default="", help="What else to remember.")


def telling(command: F) -> F:
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
        click.option("--price", metavar="MONEY", type=Money(), help="Of one pack."),
        click.option(
            "--pack", metavar="AMOUNT", type=Finite(min=0, max=10**6),
            help="What a pack holds: mL, g, sheets or pieces.",
        ),
    ):  # fmt: skip
        command = option(command)
    return command


def tell(material: "Material", as_json: bool) -> None:
    """Tell how a material stands now."""
    from mockup.faces.commands.material_words import stock_in_words
    from mockup.pipeline.material_json import material_as_json

    if as_json:
        print_json(material_as_json(material))
        return
    click.echo(stock_in_words(material))


def photo_in(path: Path | None) -> bytes | None:
    """The bytes of a photo that was named."""
    if path is None:
        return None
    from mockup.pipeline.shelving import read_photo

    return read_photo(path)
