"""The price in a customer's words: what a piece costs, what all cost together, the tax in it."""

from mockup.design.shelf import Rates
from mockup.outputs.facts import Quote
from mockup.outputs.plan.money import shown
from mockup.outputs.plan.price import Price

__all__ = ["quote_of"]


def quote_of(price: Price, rates: Rates) -> Quote:
    """The rows that a proof shows; none of the inner sum."""

    def money(minor: int) -> str:
        return shown(minor, currency=rates.currency, minor_digits=rates.minor_digits)

    rows = []
    if price.cups > 1:
        rows.append(("Each", money(price.each_minor)))
    taxed = price.tax_minor > 0
    if taxed and not rates.round_with_tax:
        rows += [("Before tax", money(price.net_minor)), ("Tax", money(price.tax_minor))]
    cups = "1 cup" if price.cups == 1 else f"{price.cups} cups together"
    rows.append((cups, money(price.total_minor)))
    if taxed and rates.round_with_tax:
        return Quote(tuple(rows), f"Tax of {money(price.tax_minor)} is in it.")
    return Quote(tuple(rows), "" if taxed else "No tax is added.")
