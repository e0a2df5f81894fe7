"""The plan as tables on the page."""

from collections.abc import Sequence
from html import escape
from typing import Literal

import streamlit as st

from mockup.faces.desk.words import length, plain
from mockup.outputs.plan.days_words import days_in_words
from mockup.outputs.plan.making import Making
from mockup.outputs.plan.money import shown

__all__ = ["show_plan", "table"]


def show_plan(plan: Making, unit: Literal["mm", "in"]) -> None:
    """Amounts, mixes, hours, days, price, cautions."""
    flat = plan.flat
    st.markdown(
        f"Once round {length(flat.width_foot_mm, unit)} at the foot and "
        f"{length(flat.width_rim_mm, unit)} at the rim; {length(flat.slant_mm, unit)} along the "
        f"wall; {flat.area_mm2 / 100:.0f} cm² a cup. By the {plan.shelf.name}."
    )
    amounts, days, price, cautions = st.tabs(["Amounts", "Days", "Price", "Cautions"])
    with amounts:
        _amounts(plan)
    with days:
        if plan.days is None:
            st.markdown(f"None: {plan.no_days}")
        else:
            st.html('<pre class="days">' + escape("\n".join(days_in_words(plan.days))) + "</pre>")
        table(("Hours of", "are from"), plan.hours)
    with price:
        _price(plan)
    with cautions:
        for sentence in plan.cautions:
            st.markdown(f"- {sentence}")


def _amounts(plan: Making) -> None:
    rows = [
        (
            a.layer,
            a.material,
            f"{a.amount_before_loss:.4g}",
            f"{a.amount:.4g} {a.unit}",
            a.formula,
            a.source.replace("; from your product's data sheet", ""),
        )
        for a in plan.amounts
    ]
    heads = ("Layer", "Material", "On the cup", "To have", "How it is worked out", "Figures from")
    table(heads, rows, right=(2, 3))
    for told in plan.proposals:
        st.markdown(f"What use taught, a proposal: {plain(told)}")
    if plan.mixes:
        st.markdown("**Resin, mix by mix**")
        table(
            ("Layer", "Coat", "Cups", "Times", "Part A", "Part B", "Together"),
            [
                (
                    mix.layer,
                    f"{mix.coat} of {mix.coats}",
                    str(mix.cups),
                    str(mix.times),
                    *(f"{part.ml:.1f} mL · {part.g:.1f} g" for part in mix.parts),
                    f"{mix.ml:.1f} mL",
                )
                for mix in plan.mixes
            ],
            right=(2, 3, 4, 5, 6),
        )
    st.markdown("**Handling**")
    table(
        ("Step", "Minutes", "How it is worked out"),
        [(w.step.replace("_", " "), f"{float(w.minutes):g}", w.formula) for w in plan.work],
        right=(1,),
    )


def _price(plan: Making) -> None:
    rates = plan.shelf.rates

    def money(minor: int) -> str:
        return shown(minor, currency=rates.currency, minor_digits=rates.minor_digits)

    table(
        ("Cups", "Each", "Before tax", "Tax", "Together"),
        [
            (str(p.cups), *map(money, (p.each_minor, p.net_minor, p.tax_minor, p.total_minor)))
            for p in plan.steps
        ],
        right=(0, 1, 2, 3, 4),
    )
    price = plan.price
    others = (price.waste, price.overhead, price.fees, price.margin, price.rounding)
    rows = [(line.what, money(line.minor), line.formula) for line in price.materials]
    rows.append(("materials", money(price.materials_minor), ""))
    rows.append(("labour", money(price.labour_minor), ""))
    rows += [(line.what, money(line.minor), line.formula) for line in others]
    rows.append(("price before tax", money(price.net_minor), rates.source))
    st.markdown("**Your own sum**")
    table(("What", "Sum", "How it is worked out"), rows, right=(1,))


def table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()
) -> None:
    """A plain table; columns in `right` end flush."""

    def cells(name: str, row: Sequence[str]) -> str:
        return "".join(
            f"<{name}{' class=right' if i in right else ''}>{escape(cell)}</{name}>"
            for i, cell in enumerate(row)
        )

    body = "".join(f"<tr>{cells('td', row)}</tr>" for row in rows)
    st.html(
        f'<div class="table" tabindex="0" role="region" aria-label="{escape(heads[0])} table">'
        f"<table><thead><tr>{cells('th', heads)}</tr></thead><tbody>{body}</tbody></table></div>"
    )
