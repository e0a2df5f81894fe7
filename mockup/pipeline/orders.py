"""From an order's records to what its maker is told: where it stands, and what changed since."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any

from mockup.design.changes import changes_in_words
from mockup.design.document import Design
from mockup.design.read import read_design
from mockup.errors import StoreError
from mockup.outputs.changes import draw_changes
from mockup.outputs.pictures import write_picture
from mockup.outputs.revision import NOT_APPROVED
from mockup.pipeline.cup import Quiet, Shot, build_cup, part, render_cup
from mockup.progress import Progress
from mockup.render.process import RenderProcess
from mockup.store import Store, approval_words, open_store
from mockup.store.connect import connector_for
from mockup.store.letter import text_of_letter
from mockup.store.records import Approval, OrderLine, Proof, Reading

__all__ = [
    "Changes",
    "changes_of",
    "enter",
    "line_as_json",
    "note_sent",
    "picture_changes",
    "proof_for",
    "read_receipts",
    "reading_as_json",
    "standing_of",
]

UNKNOWN = "approval not known: no order book"
_VIEWS = {"front": 0.0, "back": 180.0}
_VIEW_PX = (420, 560)


def standing_of(design: Design, *, store: Store | None = None) -> str:
    """Whether exactly this design is approved, as cut sheets, plans and work sheets tell it.

    The maker's own store is asked unless one is given; where there is none, none is made.
    """
    if store is not None:
        return approval_words(store.approvals.of(design.fingerprint))
    try:
        file = connector_for(None).file
        if file is not None and not file.exists():
            return NOT_APPROVED
        with open_store() as own:
            return standing_of(design, store=own)
    except StoreError:
        return UNKNOWN


@dataclass(frozen=True, slots=True)
class Changes:
    """What an order's design became since a revision; `approval` is that revision's, if any."""

    revision: int
    approval: Approval | None
    before: Design
    after: Design
    words: tuple[str, ...]

    @property
    def since(self) -> str:
        """What it is compared with, such as ``revision 2, approved 2026-06-01``."""
        words = approval_words(self.approval).replace(f", revision {self.revision},", "")
        return f"revision {self.revision}, {words}"


def changes_of(store: Store, order: int, *, revision: int | None = None) -> Changes:
    """What changed in an order's draft since the revision that was approved last.

    Parameters
    ----------
    revision
        Another one to compare with; the newest, where nothing was approved yet.

    Raises
    ------
    StoreError
        There is no such order, draft or revision.
    """
    store.book.order(order)
    approvals = store.approvals.of_order(order)
    if revision is not None:
        approvals = tuple(a for a in approvals if a.revision == revision)
    approval = approvals[0] if approvals else None
    frozen = store.revisions.find(order, approval.revision if approval else revision)
    draft = store.drafts.current(order)
    assert draft is not None  # a revision was made of it
    before, after = frozen.design(), draft.design()
    if approval is not None:
        same_palette = before.document.palette == after.document.palette
        before = before.with_palette(approval.palette)
        if same_palette and approval.palette in after.palettes:
            after = after.with_palette(approval.palette)  # an option, as the customer chose it
    return Changes(frozen.number, approval, before, after, changes_in_words(before, after))


def picture_changes(changes: Changes, output: Path, *, progress: Progress = Quiet) -> None:
    """Draw both designs side by side, front and back, over the words for what changed."""
    with RenderProcess() as renderer:
        renderer.start()
        views = []
        for i, design in enumerate((changes.before, changes.after)):
            cup = build_cup(design, progress=part(progress, 0.45 * i, 0.45 * i + 0.2))
            drawn = []
            for j, (name, turn_deg) in enumerate(_VIEWS.items()):
                progress(0.45 * i + 0.2 + 0.12 * j, f"drawing the {name}")
                shot = Shot(*_VIEW_PX, turn_deg=turn_deg)
                drawn.append(render_cup(cup, shot, renderer).rgba8_srgb[..., :3])
            views.append(drawn)
    progress(0.95, "laying out the sheet")
    title = changes.after.document.title
    sheet = draw_changes(title, (changes.since, "now"), views, tuple(_VIEWS), changes.words)
    write_picture(sheet, output)
    progress(1.0, "done")


def enter(
    store: Store,
    path: Path,
    *,
    order: int | None = None,
    title: str = "",
    customer: str = "",
    mail: str = "",
    cups: int = 1,
    due: date | None = None,
    note: str = "",
) -> OrderLine:
    """Read a design into the order book: as a new order, or as what `order`'s design is now.

    Raises
    ------
    DesignError
        The design cannot be read.
    StoreError
        There is no such order.
    """
    design = read_design(path)
    if order is None:
        person = store.book.add_customer(customer, mail=mail) if customer else None
        made = store.book.add_order(
            title or design.document.title, customer=person, cups=cups, due=due, note=note
        )
        store.drafts.begin(made.id, design)
        return store.book.line(made.id)
    store.book.order(order)
    draft = store.drafts.current(order)
    if draft is None:
        store.drafts.begin(order, design)
    else:
        store.drafts.save(draft, design)
    return store.book.line(order)


def proof_for(store: Store, order: int, *, palettes: Sequence[str] = (), light: str = "") -> Proof:
    """The proof of an order's design as it is now: the newest that shows just that, or a new one.

    Its key goes on the page that the customer answers by.

    Raises
    ------
    StoreError
        There is no such order, or it has no design.
    """
    store.book.order(order)
    draft = store.drafts.current(order)
    if draft is None:
        raise StoreError(
            f"order {order} has no design yet", where=store.where, remedy="Enter one first"
        )
    revision = store.revisions.freeze(draft)
    for proof in store.proofs.of_order(order)[:1]:
        shown = tuple(option.palette for option in proof.options)
        same = proof.revision == revision.number and light in ("", proof.light)
        if same and tuple(palettes) in ((), shown):
            return proof
    return store.proofs.add(revision, palettes=palettes, light=light)


def note_sent(
    store: Store,
    order: int,
    *,
    how: str,
    sent_to: str = "",
    palettes: Sequence[str] = (),
    light: str = "",
) -> Proof:
    """Note that the proof of an order's design as it is now went out.

    Raises
    ------
    StoreError
        As `proof_for` does.
    """
    proof = proof_for(store, order, palettes=palettes, light=light)
    person = store.book.order(order).customer
    return store.proofs.note_sent(
        proof, how=how, sent_to=sent_to or (person.mail if person else "")
    )


def read_receipts(
    store: Store, data: bytes, *, order: int | None = None, where: str = "receipt"
) -> tuple[Reading, ...]:
    """Read the receipts of a mail or a text, as bytes of a file.

    Raises
    ------
    StoreError
        The file is no mail's size, or there is no such order.
    """
    return store.receipts.read(text_of_letter(data, where=where), order=order)


def reading_as_json(reading: Reading) -> dict[str, Any]:
    """What came of a receipt as plain values."""
    told = asdict(reading)
    told["approval"] = approval_words(reading.approval)
    return told


def line_as_json(line: OrderLine) -> dict[str, Any]:
    """A line of the order book as plain values."""
    told = asdict(line)
    told["approval"] = approval_words(line.approval)
    told["order"].pop("version")
    if told["order"]["customer"]:
        told["order"]["customer"].pop("version")
    return told
