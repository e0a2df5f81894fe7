"""Controls of one part of the document; whatever is set is an edit of the design.

A control shows what the design holds. Only where a change was refused it keeps what was asked for,
with the reason below it, so that nothing that was typed is lost.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import streamlit as st
from annotated_types import Ge, Gt, Le, Lt

from mockup.design.document import Design
from mockup.design.fields import Part
from mockup.faces.desk.held import showing, unless_echo
from mockup.faces.desk.session import Desk
from mockup.units import inches_from_mm, mm_from_inches

__all__ = ["Fields"]

Put = Callable[..., Callable[[Design], Design]]


@dataclass(frozen=True, slots=True)
class Fields:
    """The controls of `part`.

    Attributes
    ----------
    name
        Tells these controls from all others of the page.
    part
        What the design holds now.
    put
        Makes an edit of the design out of changed fields.
    """

    desk: Desk
    name: str
    part: Part
    put: Put

    def length(
        self,
        field: str,
        label: str,
        *,
        tells: str,
        step: float = 0.5,
        places: int = 1,
        hint: str | None = None,
        put: Callable[[float], Mapping[str, Any]] | None = None,
    ) -> None:
        """A length, shown in mm or inches. With `hint` it may stay empty."""
        inches = self.desk.unit == "in"
        low, high = self._limits(field)
        shown = inches_from_mm if inches else float
        value = getattr(self.part, field)
        self._number(
            field,
            f"{label}, {self.desk.unit}",
            None if value is None else shown(value),
            (shown(low), shown(high)),
            step=round(inches_from_mm(step), 3) if inches else step,
            places=places + 2 if inches else places,
            tells=tells,
            hint=hint,
            convert=(lambda v: put(mm_from_inches(v) if inches else v))
            if put
            else (lambda v: {field: None if v is None else mm_from_inches(v) if inches else v}),
        )

    def pair(self, field: str, labels: tuple[str, str], *, tells: str) -> None:
        """Two lengths that the document holds as one."""
        inches, held = self.desk.unit == "in", getattr(self.part, field)
        for nth, (column, label) in enumerate(zip(st.columns(2), labels, strict=True)):

            def convert(value: float, nth: int = nth) -> dict[str, Any]:
                both = list(held)
                both[nth] = mm_from_inches(value) if inches else value
                return {field: tuple(both)}

            with column:
                self._number(
                    f"{field}.{nth}",
                    f"{label}, {self.desk.unit}",
                    inches_from_mm(held[nth]) if inches else float(held[nth]),
                    (-2000.0, 2000.0),
                    step=0.02 if inches else 0.5,
                    places=3 if inches else 1,
                    tells=tells,
                    hint=None,
                    convert=convert,
                )

    def number(
        self, field: str, label: str, *, tells: str, step: float = 1.0, places: int = 0
    ) -> None:
        """A number that is no length."""
        self._number(
            field,
            label,
            float(getattr(self.part, field)),
            self._limits(field),
            step=float(step),
            places=places,
            tells=tells,
            hint=None,
            convert=lambda v: {field: v},
        )

    def share(self, field: str, label: str, *, tells: str) -> None:
        """A share, set in per cent."""
        key = self._show(field, round(100 * getattr(self.part, field)))
        st.slider(
            label,
            0,
            100,
            key=key,
            format="%d %%",
            help=tells,
            on_change=self._taking(field, lambda v: {field: v / 100}),
        )
        self._refused(field)

    def choice(
        self,
        field: str,
        label: str,
        words: Mapping[Any, str],
        *,
        tells: str,
        convert: Callable[[Any], Mapping[str, Any]] | None = None,
    ) -> None:
        """One of a few, side by side."""
        value = getattr(self.part, field)
        key = self._show(field, value)
        st.segmented_control(
            label,
            list(words),
            key=key,
            format_func=lambda one: words[one],
            help=tells,
            required=True,
            on_change=self._taking(field, convert or (lambda v: {field: v})),
        )
        self._refused(field)

    def pick(
        self,
        field: str,
        label: str,
        options: Sequence[Any],
        *,
        tells: str,
        words: Callable[[Any], str] = str,
    ) -> None:
        """One of many, from a list."""
        value = getattr(self.part, field)
        listed = list(options) if value in options else [value, *options]
        key = self._show(field, value)
        st.selectbox(
            label,
            listed,
            key=key,
            format_func=words,
            help=tells,
            on_change=self._taking(field, lambda v: {field: v}),
        )
        self._refused(field)

    def text(
        self,
        field: str,
        label: str,
        *,
        tells: str,
        lines: bool = False,
        hint: str = "",
    ) -> None:
        """Words. The browser would drop what is longer than it may be; the document says so."""
        key = self._show(field, getattr(self.part, field) or "")
        control = st.text_area if lines else st.text_input
        more = {"height": 80} if lines else {}
        control(
            label,
            key=key,
            placeholder=hint,
            help=tells,
            on_change=self._taking(field, lambda v: {field: v}),
            **more,
        )
        self._refused(field)

    def tick(self, field: str, label: str, *, tells: str) -> None:
        """Yes or no."""
        key = self._show(field, getattr(self.part, field))
        st.checkbox(label, key=key, help=tells, on_change=self._taking(field, lambda v: {field: v}))
        self._refused(field)

    def _number(
        self,
        field: str,
        label: str,
        value: float | None,
        limits: tuple[float, float],
        *,
        step: float,
        places: int,
        tells: str,
        hint: str | None,
        convert: Callable[[Any], Any],
    ) -> None:
        key = self._show(field, value)
        empty = {} if hint is None else {"value": None, "placeholder": hint}
        st.number_input(
            label,
            *limits,
            key=key,
            step=float(step),
            format=f"%.{places}f",
            help=tells,
            on_change=self._taking(field, convert),
            **empty,
        )
        self._refused(field)

    def _name(self, field: str) -> str:
        return f"{self.name}.{field}.{self.desk.unit}"

    def _show(self, field: str, value: Any) -> str:
        """Give the control what the design holds, or what was refused."""
        name, refusal = self._name(field), self.desk.refusal
        if refusal is not None and refusal.control == name:
            value = refusal.value
        return showing(name, value)

    def _taking(
        self, field: str, convert: Callable[[Any], Mapping[str, Any]]
    ) -> Callable[[], None]:
        name = self._name(field)

        def take(value: Any) -> None:
            self.desk.edit(self.put(**convert(value)), control=name, value=value)

        return unless_echo(name, take)

    def _refused(self, field: str) -> None:
        refusal = self.desk.refusal
        if refusal is not None and refusal.control == self._name(field):
            st.error(refusal.words)

    def _limits(self, field: str) -> tuple[float, float]:
        """Least and most that the document allows."""
        low, high = -1e6, 1e6
        for rule in _rules(type(self.part).model_fields[field]):
            if isinstance(rule, Ge | Gt):
                low = float(rule.ge if isinstance(rule, Ge) else rule.gt)  # type: ignore[arg-type]
            if isinstance(rule, Le | Lt):
                high = float(rule.le if isinstance(rule, Le) else rule.lt)  # type: ignore[arg-type]
        return low, high


def _rules(info: Any) -> list[Any]:
    """Ranges of a field, told beside it or within its type."""
    found = list(info.metadata)
    kinds = [info.annotation]
    while kinds:
        kind = kinds.pop()
        for inner in getattr(kind, "__metadata__", ()):
            found += getattr(inner, "metadata", [inner])
        kinds += [k for k in getattr(kind, "__args__", ()) if k is not kind]
    return found
