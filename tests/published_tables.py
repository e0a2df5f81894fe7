"""Reads tests/published/*.csv: a header of ``# key: value`` lines, column names, rows."""

import csv
from pathlib import Path

__all__ = ["HEADER_KEYS", "PUBLISHED", "header", "rows"]

PUBLISHED = Path(__file__).parent / "published"
HEADER_KEYS = ("source", "table", "DOI", "units", "precision")


def header(name: str) -> dict[str, str]:
    """The header of tests/published/NAME.csv."""
    lines = (PUBLISHED / f"{name}.csv").read_text("utf-8").splitlines()
    pairs = (line[2:].split(": ", 1) for line in lines if line.startswith("# "))
    return dict(pairs)


def rows(name: str) -> list[dict[str, str]]:
    """The rows of tests/published/NAME.csv by column name."""
    lines = (PUBLISHED / f"{name}.csv").read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
