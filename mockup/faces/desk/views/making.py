"""The making: what the job takes, when it is done, what it costs, and the sheets for the bench."""

from datetime import date, datetime, time, timedelta

import streamlit as st

from mockup.design.document import Design
from mockup.faces.desk.jobs import follow
from mockup.faces.desk.made import Paper, cut_zip, plan_of, worksheet_pdf
from mockup.faces.desk.parts.reserving import shelf_state, show_reserving
from mockup.faces.desk.plan_tables import show_plan
from mockup.faces.desk.session import Desk, desk, shared_store
from mockup.faces.desk.words import file_stem, nothing_open

__all__ = ["show"]


def show() -> None:
    """Draw the page."""
    here = desk()
    if here.design is None:
        nothing_open("its making")
        return
    st.title("Making")
    cups, start, paper = _given(here)
    sheets, plan = st.columns([2, 5], gap="large")
    with sheets:
        _cut_sheets(here.design, cups, paper)
        _work_sheet(here.design, cups, start, paper)
        show_reserving(here, cups)
    with plan:
        _plan(here, cups, start)


def _given(here: Desk) -> tuple[int, datetime, Paper]:
    """How many, from when, on which paper."""
    assert here.order is not None
    order = shared_store().book.order(here.order)
    with st.container(horizontal=True, vertical_alignment="bottom", key="making_given"):
        cups = st.number_input(
            "Cups",
            1,
            1000,
            order.cups,
            key=f"making.cups.{order.id}",
            width=120,
            help="How many alike are made; the order book's figure to begin with.",
        )
        begin = st.date_input(
            "Begin on",
            date.today() + timedelta(days=1),
            key="making.start",
            width=170,
            format="YYYY-MM-DD",
            help="The first day at the bench.",
        )
        paper = st.segmented_control(
            "Paper",
            ["a4", "letter"],
            default="a4",
            required=True,
            key="making.paper",
            format_func=lambda one: {"a4": "A4", "letter": "US Letter"}[one],
            help="Of the sheets for the bench.",
        )
    return int(cups), datetime.combine(begin, time()), "letter" if paper == "letter" else "a4"


def _cut_sheets(design: Design, cups: int, paper: Paper) -> None:
    st.subheader("Cut sheets")
    st.markdown("Templates, packed foil and vinyl, a strip to place them by: at true size.")
    foil_mirrored = _foil_mirrored(design)
    cut = follow(
        "cut",
        f"{design.fingerprint} {cups} {paper} {foil_mirrored}",
        "Make the cut sheets",
        cut_zip(design, cups, paper, foil_mirrored=foil_mirrored),
        tells="A PDF for the bench and an SVG of each sheet for the cutter, in one archive.",
    )
    if cut is not None:
        archive, findings = cut
        for finding in findings:
            st.warning(finding.advice)
        st.download_button(
            "Save the cut sheets",
            archive,
            file_name=f"{file_stem(design.document.title)}-cut-sheets.zip",
            mime="application/zip",
            on_click="ignore",
            help="Measure the printed rule first: printers like to shrink a page to fit.",
        )


def _foil_mirrored(design: Design) -> bool:
    """How the maker's foil is cut; asked where there is any."""
    layers = design.document.layers
    roles = {role for one in layers if one.kind == "decal" for role in one.sheet_swatches}
    if not any(design.swatch(role, where="palette").metallic for role in roles):
        return True
    chosen = st.segmented_control(
        "Foil",
        ["mirrored", "face up"],
        default="mirrored",
        required=True,
        key="making.foil",
        format_func=str.capitalize,
        help="Mirrored: its adhesive is cut from behind and laid with the cut face to the cup. "
        "Face up: as it is seen on the cup, lifted with transfer tape.",
    )
    return bool(chosen == "mirrored")


def _work_sheet(design: Design, cups: int, start: datetime, paper: Paper) -> None:
    st.subheader("Work sheet")
    st.markdown("Each step with its time, amounts, boxes to tick and cautions.")
    sheet = follow(
        "worksheet",
        f"{design.fingerprint} {paper} {cups} {start}",
        "Make the work sheet",
        worksheet_pdf(design, cups, start, paper),
        tells="A PDF to hang over the bench.",
    )
    if sheet is not None:
        st.download_button(
            "Save the work sheet",
            sheet,
            file_name=f"{file_stem(design.document.title)}-work-sheet.pdf",
            mime="application/pdf",
            on_click="ignore",
            help="For the bench, with the front on it.",
        )


def _plan(here: Desk, cups: int, start: datetime) -> None:
    design = here.design
    assert design is not None
    assert here.order is not None
    wanted = shared_store().book.order(here.order).due
    due = datetime.combine(wanted, time(23, 59)) if wanted is not None else None
    st.subheader("Plan")
    made = follow(
        "plan",
        f"{design.fingerprint} {cups} {start} {due} {shelf_state()}",
        "Work it out anew",
        plan_of(design, cups, start, due, here.order),
        tells="Grams, millilitres, hours, days and price, each with its formula.",
        at_once=True,
    )
    if made is not None:
        plan, calendar = made
        if calendar is not None:
            st.download_button(
                "Save the days",
                calendar,
                file_name=f"{file_stem(design.document.title)}.ics",
                mime="text/calendar",
                on_click="ignore",
                help="A calendar file that any calendar takes in.",
            )
        show_plan(plan, here.unit)


if __name__ == "__main__":
    show()
