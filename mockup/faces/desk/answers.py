"""What went to the customer, what came back, and what was changed since."""

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.jobs import follow
from mockup.faces.desk.made import changes_picture
from mockup.faces.desk.session import Desk, shared_store
from mockup.faces.desk.words import ago, plain
from mockup.pipeline.orders import changes_of, note_sent, read_receipts
from mockup.store import approval_words

__all__ = ["show_answers", "show_changes", "show_sending"]

_HOWS = ("mail", "by hand", "post", "message")


def show_sending(here: Desk) -> None:
    """Where the order stands, and a note that the proof went out."""
    assert here.order is not None
    line = shared_store().book.line(here.order)
    st.subheader("On its way")
    standing = line.standing
    waits = {"maker": "It waits for you", "customer": "It waits for the customer"}
    st.markdown(
        f"This order stands at **{standing.state}**, {ago(standing.since)}. "
        f"{waits.get(standing.waits_for, 'It waits for nobody')}."
    )
    with st.form("sent", border=False):
        left, middle, right = st.columns([2, 3, 2], vertical_alignment="bottom")
        left.selectbox("How", _HOWS, key="sent.how", help="How the proof went to the customer.")
        mail = line.order.customer.mail if line.order.customer else ""
        middle.text_input("To", mail, key="sent.to", help="An address or a name; may stay empty.")
        right.form_submit_button(
            "It went out",
            on_click=_sent,
            args=(here,),
            help="Notes that a proof of the design as it is now is with the customer.",
        )


def _sent(here: Desk) -> None:
    assert here.order is not None
    state = st.session_state
    try:
        note_sent(shared_store(), here.order, how=state["sent.how"], sent_to=state["sent.to"])
    except MockupError as error:
        here.notes.append(str(error))


def show_answers(here: Desk) -> None:
    """Take in a receipt, or note an approval that left none."""
    assert here.order is not None
    st.subheader("The answer")
    approvals = shared_store().approvals.of_order(here.order)
    st.markdown(f"**{approval_words(approvals[0] if approvals else None).capitalize()}**")
    receipt, paper = st.tabs(["A receipt came", "Signed on paper"])
    with receipt, st.form("receipt", border=False, clear_on_submit=True):
        st.text_area(
            "The customer's receipt",
            key="receipt.text",
            height=110,
            help="Paste what came back from the page; it is checked against this proof's own key.",
        )
        st.form_submit_button("Read it", on_click=_receipt, args=(here,))
    with paper, st.form("signed", border=False, clear_on_submit=True):
        st.text_input("Who approved it", key="signed.who",
                      help="The name under the sheet.")  # fmt: skip
        st.form_submit_button("Note the approval", on_click=_signed, args=(here,))


def _receipt(here: Desk) -> None:
    text = st.session_state["receipt.text"]
    try:
        readings = read_receipts(shared_store(), text.encode(), order=here.order)
    except MockupError as error:
        here.notes.append(str(error))
        return
    here.notes += [reading.words for reading in readings]


def _signed(here: Desk) -> None:
    assert here.order is not None
    store = shared_store()
    try:
        revision = store.revisions.find(here.order, None)
        store.approvals.note(revision, customer=st.session_state["signed.who"], how="signed sheet")
    except MockupError as error:
        here.notes.append(str(error))


def show_changes(here: Desk) -> None:
    """What became of the design since the revision that was approved last, or went out last."""
    assert here.order is not None
    assert here.design is not None
    try:
        changes = changes_of(shared_store(), here.order)
    except MockupError:
        return  # nothing was shown to anybody yet
    if not changes.words:
        return
    st.subheader("Changed since")
    st.markdown(f"Since {plain(changes.since)}:")
    for words in changes.words:
        st.markdown(f"- {plain(words)}")
    picture = follow(
        "changes",
        f"{changes.before.fingerprint} {changes.after.fingerprint}",
        "Draw both",
        changes_picture(changes),
        tells="Draws the design as it was and as it is, side by side.",
    )
    if picture is not None:
        st.image(picture)
