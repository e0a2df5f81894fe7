"""What a check has to say: data, in one shape for every check. Checks return them, never raise."""

from dataclasses import dataclass
from typing import Literal

__all__ = ["Finding", "Severity"]

Severity = Literal["stop", "warn", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something about a design that can be made, but that somebody should know.

    Attributes
    ----------
    severity
        ``stop``: do not make it so; ``warn``: likely to go wrong; ``note``: to be known.
    rule
        Name of the rule, such as ``thin stroke``.
    where
        File and path within it, such as ``design.toml: layers[3]``.
    measured, limit
        In `unit`; None where the rule has no figure.
    advice
        One whole sentence or two: what was found, and what to do.
    """

    severity: Severity
    rule: str
    where: str
    measured: float | None
    limit: float | None
    unit: str
    advice: str

    def __str__(self) -> str:
        return f"{self.where}: {self.advice}"
