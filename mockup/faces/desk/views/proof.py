"""The proof: what the customer looks at and approves, as a sheet to print or to send."""

import streamlit as st

from mockup.faces.desk.jobs import follow
from mockup.faces.desk.made import proof_pdf
from mockup.faces.desk.parts.cup_view import show_cup
from mockup.faces.desk.session import desk
from mockup.faces.desk.words import file_stem, nothing_open

__all__ = ["show"]


def show() -> None:
    """Draw the page."""
    here = desk()
    if here.design is None:
        nothing_open("its proof")
        return
    design = here.design
    with st.container(key="proof_page"):
        left, right = st.columns([2, 3], gap="large")
        with right, st.container(key="sight"):
            show_cup(here, here.made())
        with left:
            st.title("Proof")
            st.markdown(
                "The sheet that your customer approves before the first coat: the cup from four "
                "sides, its flat at true size with rulers, its materials with their numbers, what "
                "may differ in a hand-made piece, and a place to sign."
            )
            paper = st.segmented_control(
                "Paper",
                ["a4", "letter"],
                format_func=lambda one: {"a4": "A4", "letter": "US Letter"}[one],
                default="a4",
                required=True,
                key="proof.paper",
                help="What the customer's printer holds.",
            )
            made = follow(
                "proof",
                f"{design.fingerprint} {paper}",
                "Make the proof",
                proof_pdf(design, paper),
                tells="Draws the cup from four sides in its light and lays out the sheet.",
            )
            if made is not None:
                st.success("The proof is ready.")
                st.download_button(
                    "Save the proof",
                    made,
                    file_name=f"{file_stem(design.document.title)}-proof.pdf",
                    mime="application/pdf",
                    on_click="ignore",
                    help="A PDF to print, to mail, or to show on the screen.",
                )
            st.caption(
                f"Fingerprint {design.fingerprint[:12]}…: any change that can be seen or made "
                "changes it, and a signed proof no longer holds."
            )


if __name__ == "__main__":
    show()
