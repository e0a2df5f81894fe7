"""What the checks say of the cup: findings in words, changes that would pass, contrast by angle."""

import math
from collections.abc import Sequence

import streamlit as st

from mockup.checks.finding import Finding
from mockup.design.document import Design
from mockup.faces.desk.jobs import finished, follow
from mockup.faces.desk.made import check_of
from mockup.faces.desk.session import Desk
from mockup.faces.desk.words import plain
from mockup.outputs.check_facts import CheckFacts, CheckRow

__all__ = ["contrast_by_turn", "show_check"]

_MARKS = {"stop": "**Stop.**", "warn": "**Mind.**", "note": "Note."}
_MOST = 3  # findings shown at once; the rest on asking


def show_check(desk: Desk) -> None:
    """A button that has the cup looked over, and what was found."""
    design = desk.design
    assert design is not None
    facts: CheckFacts | None = follow(
        "check",
        design.fingerprint,
        "Look it over",
        check_of(design),
        tells="Can every word be read, from all sides and in other lights? Can it be cut?",
    )
    if facts is None:
        return
    with st.container(key="findings"):
        _findings(facts.findings)
    for nth, remedy in enumerate(facts.remedies[:4]):
        st.button(
            f"{remedy.words}: {remedy.ratio:.1f} to 1",
            key=f"remedy{nth}",
            on_click=_take,
            args=(desk, remedy.design),
            help="Makes this change; the contrast is what the decal then has at least. Undo takes "
            "it back.",
        )


def _findings(findings: Sequence[Finding]) -> None:
    if not findings:
        st.success("Nothing to mend: it can be read all round, and it can be cut.")
    for finding in findings[:_MOST]:
        st.markdown(f"{_MARKS[finding.severity]} {plain(finding.advice)}")
    if len(findings) > _MOST:
        with st.expander(f"{len(findings) - _MOST} more"):
            for finding in findings[_MOST:]:
                st.markdown(f"{_MARKS[finding.severity]} {plain(finding.advice)}")


def _take(desk: Desk, design: Design) -> None:
    desk.edit(lambda _: design, control="check")


def contrast_by_turn(desk: Desk) -> tuple[str, list[tuple[float, float | None]]]:
    """The picked decal's name, and its contrast at each turn in degrees; None out of view.

    Empty unless the cup was looked over as it is.
    """
    design = desk.design
    if design is None or desk.selected is None:
        return "", []
    facts: CheckFacts | None = finished("check", design.fingerprint)
    rows = facts.rows if facts is not None else ()
    row = next((row for row in rows if row.contrast.shape.layer == desk.selected), None)
    return ("", []) if row is None else (row.name, _round(row, design.document.light))


def _round(row: CheckRow, light: str) -> list[tuple[float, float | None]]:
    seen = row.legibility
    if seen is None:
        return []
    named = light if light in seen.lights else seen.lights[0]
    return [
        (turn, None if math.isnan(ratio) else round(float(ratio), 2))
        for turn, ratio in zip(seen.turns_deg, seen.round_the_turn(named), strict=True)
    ]
