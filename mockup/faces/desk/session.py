"""What one browser tab works on: an order, its design, the cup made of it, what is picked.

The order's design lies in the store; every change is saved there before the page shows it. What
one tab does never changes another tab's view; where both change one order, the later is told.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal

import streamlit as st

from mockup.design.document import Design
from mockup.errors import MockupError
from mockup.faces.desk.words import spoken
from mockup.pipeline import Cup, remade_cup
from mockup.store import StaleRecord, Store, open_store
from mockup.store.records import Draft

__all__ = ["Desk", "Unit", "desk", "shared_store"]

Unit = Literal["mm", "in"]
Change = Callable[[Design], Design]


def shared_store() -> Store:
    """The store, opened once for all tabs."""
    store: Store = _opened_store()
    return store


_opened_store = st.cache_resource(show_spinner=False)(open_store)


@dataclass(slots=True)
class Refusal:
    """A change that was not taken over: why, and which control asked for it with what."""

    words: str
    control: str
    value: Any


@dataclass(slots=True)
class Desk:
    """One tab's state.

    Attributes
    ----------
    selected
        Index of the layer that is being worked on; None is the bare cup.
    refusal
        The last change, if it could not be taken over.
    stale
        The step under which this tab's last change was kept aside, if another tab had moved on.
    turn_to
        The page to go to once this run is over.
    notes
        What to tell at the top of the next page.
    """

    unit: Unit = "mm"
    draft: Draft | None = None
    design: Design | None = None
    cup: Cup | None = None
    selected: int | None = None
    refusal: Refusal | None = None
    stale: int | None = None
    turn_to: str | None = None
    notes: list[str] = field(default_factory=list)

    @property
    def order(self) -> int | None:
        """Number of the order on the table."""
        return self.draft.order_id if self.draft is not None else None

    def open(self, order: int) -> None:
        """Work on an order; what it was left as last time is on the table again.

        Raises
        ------
        MockupError
            Its design cannot be read.
        """
        draft = shared_store().drafts.current(order)
        self.draft, self.design, self.cup = draft, None, None
        self.selected, self.refusal, self.stale = None, None, None
        if draft is not None:
            self._show(draft)

    def begin(self, order: int, design: Design) -> None:
        """Lay an order's first design on the table."""
        self.draft = shared_store().drafts.begin(order, design)
        self.design, self.cup = design, None
        self.selected, self.refusal, self.stale = None, None, None

    def made(self) -> Cup:
        """The cup of the design on the table.

        Raises
        ------
        MockupError
            It cannot be made as it is.
        """
        assert self.design is not None
        if self.cup is None or self.cup.design is not self.design:
            self.cup = remade_cup(self.design, self.cup)
        return self.cup

    def edit(self, change: Change, *, control: str = "", value: Any = None) -> bool:
        """Change the design, see that a cup can be made of it, and save it.

        A change that cannot be taken over leaves everything as it was; `refusal` says why.
        """
        assert self.design is not None
        assert self.draft is not None
        self.refusal = None
        try:
            design = change(self.design)
            cup = remade_cup(design, self.cup)
            self.draft = shared_store().drafts.save(self.draft, design)
        except StaleRecord as error:
            self.stale = error.kept
            return False
        except MockupError as error:
            self.refusal = Refusal(spoken(error), control, value)
            return False
        self.design, self.cup = design, cup
        self._keep_selected()
        return True

    def undo(self) -> None:
        """Take back the last change."""
        self._step(shared_store().drafts.undo)

    def redo(self) -> None:
        """Do again what was taken back last."""
        self._step(shared_store().drafts.redo)

    def take_theirs(self) -> None:
        """Go on from what another tab has saved."""
        assert self.draft is not None
        draft = shared_store().drafts.current(self.draft.order_id)
        assert draft is not None
        self.stale = None
        self._show(draft)

    def take_mine(self) -> None:
        """Go on from this tab's change, which was kept aside."""
        assert self.draft is not None
        assert self.stale is not None
        drafts = shared_store().drafts
        draft = drafts.current(self.draft.order_id)
        assert draft is not None
        mine, self.stale = self.stale, None
        self._show(drafts.take(draft, mine))

    def _step(self, move: Callable[[Draft], Draft]) -> None:
        assert self.draft is not None
        self.refusal = None
        try:
            self._show(move(self.draft))
        except StaleRecord:
            self.take_theirs()
            self.notes.append("Another window has changed this order; this is how it stands now.")

    def _show(self, draft: Draft) -> None:
        self.draft, self.design = draft, draft.design()
        self._keep_selected()

    def _keep_selected(self) -> None:
        assert self.design is not None
        last = len(self.design.document.layers) - 1
        if self.selected is not None and self.selected > last:
            self.selected = last


def desk() -> Desk:
    """The desk of the tab that is being drawn."""
    if "desk" not in st.session_state:
        st.session_state["desk"] = Desk()
    found: Desk = st.session_state["desk"]
    return found
