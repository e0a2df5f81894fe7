"""The plan as tables on the page."""

from collections.abc import Sequence
from html import escape
from typing import Literal

import streamlit as st

from mockup.faces.desk.words import length, plain
from mockup.outputs.plan.bookings import moment_text
from mockup.outputs.plan.days import Days
from mockup.outputs.plan.days_words import days_told, next_in_words, room_told
from mockup.outputs.plan.figures import counted, figure
from mockup.outputs.plan.making import Making
from mockup.outputs.plan.money import shown

__all__ = ["show_plan", "table"]


def show_plan(plan: Making, unit: Literal["mm", "in"]) -> None:
    """Amounts, mixes, hours, days, price, cautions."""
    flat = plan.flat
    around = f"Once round {length(flat.width_foot_mm, unit)}"
    if flat.sector_outer_radius_mm is not None:
        around += f" at the foot and {length(flat.width_rim_mm, unit)} at the rim"
    st.markdown(
        f"{around}; {length(flat.slant_mm, unit)} along the wall; "
        f"{flat.area_mm2 / 100:.0f} cm² a cup. By the {plan.shelf.name}."
    )
    amounts, days, price, cautions = st.tabs(["Amounts", "Days", "Price", "Cautions"])
    with amounts:
        _amounts(plan)
    with days:
        if plan.days is None:
            st.markdown(plain(_sentence(plan.no_days)))
        else:
            _days(plan.days)
        table(("Hours of", "are from"), plan.hours)
    with price:
        _price(plan)
    with cautions:
        for sentence in plan.cautions:
            st.markdown(f"- {sentence}")


def _days(days: Days) -> None:
    for told in days_told(days):
        st.markdown(plain(_sentence(told)))
    table(
        ("When", "Which", "What to do", "After it"),
        [
            (
                moment_text(booking.starts),
                days.batches[booking.batch].label,
                booking.step.title,
                next_in_words(booking),
            )
            for booking in days.bookings
        ],
    )
    st.caption(_sentence(room_told(days)))


def _sentence(told: str) -> str:
    return f"{told[:1].upper()}{told[1:].rstrip('.')}."


def _amounts(plan: Making) -> None:
    rows = [
        (
            a.layer,
            a.material,
            figure(a.amount_before_loss),
            counted(a.amount, a.unit),
            a.formula,
            a.source.partition(";")[0],
        )
        for a in plan.amounts
    ]
    heads = ("Layer", "Material", "Before loss", "To have", "How it is worked out", "Figures from")
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
    together = float(sum(w.minutes for w in plan.work))
    table(
        ("Step", "Minutes", "How it is worked out"),
        [
            *((w.step.replace("_", " "), figure(float(w.minutes)), w.formula) for w in plan.work),
            ("together", figure(together), f"{together / 60:.1f} h"),
        ],
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
    st.caption(f"Each is {'with' if rates.round_with_tax else 'before'} tax.")
    price = plan.price
    others = (price.waste, price.overhead, price.fees, price.margin, price.rounding)
    rows = [(line.what, money(line.minor), line.formula) for line in price.materials]
    rows.append(("materials", money(price.materials_minor), ""))
    rows.append(("labour", money(price.labour_minor), f"{money(rates.hourly_rate_minor)} an hour"))
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
