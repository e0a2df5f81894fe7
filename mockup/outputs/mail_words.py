"""What the letter says that goes with a proof, for the maker to change."""

from collections.abc import Sequence
from pathlib import PurePath

__all__ = ["proof_subject", "proof_words"]


def proof_subject(title: str) -> str:
    """What the letter is about."""
    return f"{title}: your proof"


def proof_words(title: str, *, customer: str, revision: int, files: Sequence[str]) -> str:
    """The letter's text.

    Parameters
    ----------
    files
        Names of what is attached, whose endings say how each is to be answered.
    """
    endings = {PurePath(name).suffix.lower() for name in files}
    told = [f"Hello{f' {customer}' if customer else ''},", ""]
    told += [f"here is the proof of {title}, revision {revision}.", ""]
    if endings & {".html", ".htm"}:
        told += [
            "Save the attached page and open it in your browser: you can turn the cup and see it",
            "in other light. Then press approve or ask for a change. It gives you a short receipt;",
            "please send that back to me as an answer to this letter.",
            "",
        ]
    if ".pdf" in endings:
        told += [
            "The attached sheet shows the same with all sizes. You may sign it and send it back",
            "instead.",
            "",
        ]
    told += [
        "Screens show colours differently, and a cup made by hand is never quite its picture; the",
        "proof says what may differ. I begin once I have your answer.",
    ]
    return "\n".join(told) + "\n"
