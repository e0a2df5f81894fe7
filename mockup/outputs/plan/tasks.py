"""What the search for the earliest plan is asked and what it answers: whole minutes, no names."""

from dataclasses import dataclass

__all__ = ["Chain", "Placed", "Plan", "Task"]


@dataclass(frozen=True, slots=True)
class Task:
    """Work by hand on the cups of a chain, and what must pass before the next; whole minutes.

    Attributes
    ----------
    hands_min
        At one go, at least 1.
    ready_min
        From the end of it until the next task may begin.
    window_min
        From the end of it; a next task that begins later needs sanding first, so that one shorter
        than `ready_min` asks for it always. None: no haste.
    drying_min
        The cups stand on the rack from its beginning until so long after its end. None: they
        need no rack.
    sand_min
        Sanding by hand. None: what was laid cannot be sanded.
    sand_after_min
        From the end of it until it can be sanded.
    cure_min
        From the end of it until the cups may be used.
    after_cure
        It begins when all before it has cured.
    """

    hands_min: int
    ready_min: int = 0
    window_min: int | None = None
    drying_min: int | None = None
    sand_min: int | None = None
    sand_after_min: int = 0
    cure_min: int = 0
    after_cure: bool = False


@dataclass(frozen=True, slots=True)
class Chain:
    """Tasks in their order on so many cups, which are worked on and dry together."""

    tasks: tuple[Task, ...]
    cups: int = 1


@dataclass(frozen=True, slots=True)
class Placed:
    """A task begun at `start`, minutes; `sanding` is the sanding after that task.

    `could_start` is when it might have begun, had the window after it not to be kept.
    """

    chain: int
    task: int
    start: int
    sanding: bool = False
    could_start: int = 0


@dataclass(frozen=True, slots=True)
class Plan:
    """Tasks in the order of their beginnings, and when each chain is ready, minutes.

    No plan has every chain ready before `bound`. It is `proved` that none is better than this.
    """

    placed: tuple[Placed, ...]
    ready: tuple[int, ...]
    bound: int
    proved: bool
