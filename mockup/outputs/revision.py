"""Which revision of a design a sheet is of, and whether the customer has approved it."""

from dataclasses import dataclass

from mockup.design.document import Design

__all__ = ["NOT_APPROVED", "Revision", "short_fingerprint"]

NOT_APPROVED = "not approved"
"""How a revision stands that nobody has approved, or that nobody has looked up."""


@dataclass(frozen=True, slots=True)
class Revision:
    """`standing` is printed in plain sight as it is told, such as ``approved, revision 4``."""

    title: str
    fingerprint: str
    standing: str = NOT_APPROVED

    @classmethod
    def of(cls, design: Design, standing: str = NOT_APPROVED) -> "Revision":
        """The revision that a design is, under the palette in use."""
        return cls(design.document.title, design.fingerprint, standing)

    @property
    def short(self) -> str:
        """The first eight figures of the fingerprint, in two groups."""
        return short_fingerprint(self.fingerprint)


def short_fingerprint(fingerprint: str) -> str:
    """The first eight figures, in two groups: enough to tell revisions apart by eye."""
    return f"{fingerprint[:4]} {fingerprint[4:8]}".upper()
