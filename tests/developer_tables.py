"""Writes the tables of DEVELOPERS.md that are made from code: ``python tests/developer_tables.py``.

Each lies between ``<!-- NAME -->`` and ``<!-- end -->``.
"""

import re
import sys
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from mockup.material.channels import MAPS, PARAMETERS, slots  # noqa: E402

__all__ = ["PAGE", "TABLES", "rewritten"]

PAGE = ROOT / "DEVELOPERS.md"


def _maps() -> str:
    rows = [
        f"| `{c.name}` | {c.unit} | {c.low:g} … {c.high:g} | {c.meaning} |" for c in MAPS.values()
    ]
    return "\n".join(["| map | unit | range | meaning |", "|---|---|---|---|", *rows])


def _parameters() -> str:
    first = slots()
    rows = [
        f"| {first[p.name]} | `{p.name}` | {p.vec4s} | {p.unit} | {p.meaning} |" for p in PARAMETERS
    ]
    head = ["| first slot | parameter | slots | unit | meaning |", "|---|---|---|---|---|"]
    return "\n".join([*head, *rows])


TABLES: dict[str, Callable[[], str]] = {"maps": _maps, "parameters": _parameters}


def rewritten(text: str) -> str:
    """`text` with every table as the code has it now."""
    for name, table in TABLES.items():
        text, found = re.subn(
            rf"(<!-- {name} -->\n).*?(<!-- end -->)",
            lambda match, table=table: f"{match[1]}{table()}\n{match[2]}",
            text,
            flags=re.DOTALL,
        )
        if found != 1:
            raise ValueError(f"{name} has {found} places in {PAGE.name}")
    return text


if __name__ == "__main__":
    PAGE.write_text(rewritten(PAGE.read_text("utf-8")), "utf-8")
