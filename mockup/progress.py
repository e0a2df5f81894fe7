"""What long work tells whoever waits for it."""

from collections.abc import Callable
from typing import TypeAlias

__all__ = ["Progress"]

Progress: TypeAlias = Callable[[float, str], None]
"""Called with the share done, 0 to 1, and what is going on, such as ``"Rendering the front"``."""
