"""An order of tasks under construction: the least beginnings that it allows, and its cost."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from mockup.outputs.plan.hours import DAY_MIN, WorkingHours
from mockup.outputs.plan.tasks import Chain, Placed, Task

__all__ = ["Child", "Cost", "Node", "Order"]


@dataclass(frozen=True, slots=True)
class Node:
    """A task, or the sanding after it, in its place in the order."""

    chain: int
    step: int
    sanding: bool
    task: Task
    cups: int
    before: int | None  # index in the order of the same chain's node before
    hands: int  # minutes of work
    drying: int | None  # minutes on the rack after it


def _task(chain: int, step: int, of: Chain, before: int | None) -> Node:
    task = of.tasks[step]
    return Node(chain, step, False, task, of.cups, before, task.hands_min, task.drying_min)


Cost = tuple[int, ...]  # the last chain ready, sandings, sum of readies, each chain ready
Child = tuple[Cost, list[int], Node]  # cost at least, beginnings of all nodes, the new node


class Order:
    """Nodes in the order in which they are begun; `push` and `pop` at its end."""

    def __init__(self, chains: Sequence[Chain], hours: WorkingHours, rack: int, start: int) -> None:
        self.chains, self.hours, self.rack, self.start = chains, hours, rack, start
        self.nodes: list[Node] = []
        self.effort = 0  # tasks whose beginnings were worked out, about
        self.last: list[int | None] = [None] * len(chains)  # each chain's latest node
        # hours repeat by the week: windows that can be kept at all are kept within two
        self.patience = 14 * DAY_MIN + sum(
            task.hands_min + (task.window_min or 0) for chain in chains for task in chain.tasks
        )
        self._tails: dict[tuple[int, int, int, int], int] = {}

    def push(self, node: Node) -> None:
        """Put a node at the end."""
        self.last[node.chain] = len(self.nodes)
        self.nodes.append(node)

    def pop(self) -> None:
        """Take the last node away."""
        node = self.nodes.pop()
        self.last[node.chain] = node.before

    def complete(self) -> bool:
        """Whether every task of every chain is in it."""
        return all(
            last is not None
            and not self.nodes[last].sanding
            and self.nodes[last].step + 1 == len(chain.tasks)
            for chain, last in zip(self.chains, self.last, strict=True)
        )

    def placed(self, starts: list[int]) -> Iterator[Placed]:
        """The order as a plan's tasks."""
        for i, (node, begins) in enumerate(zip(self.nodes, starts, strict=True)):
            could = self._least(i, starts)
            yield Placed(node.chain, node.step, begins, node.sanding, could)

    def children(self, starts: list[int]) -> Iterator[Child]:
        """Every node that may come next, with what the order then is."""
        for chain in range(len(self.chains)):
            if self._twin_waits(chain):
                continue
            for node in self._next(chain):
                self.effort += len(starts) + 1
                self.push(node)
                settled = self._settle(starts)
                child = None if settled is None else (self.cost(settled), settled, node)
                self.pop()
                if child is not None:
                    yield child

    def cost(self, starts: list[int]) -> Cost:
        """What the order costs at least, whatever comes after; just that once it is complete."""
        free = starts[-1] + self.nodes[-1].hands if starts else self.start
        ready = [self._ready(chain, starts, free) for chain in range(len(self.chains))]
        return (max(ready), sum(n.sanding for n in self.nodes), sum(ready), *ready)

    def _twin_waits(self, chain: int) -> bool:
        """Of chains alike that are not yet begun, the first is begun first."""
        return self.last[chain] is None and any(
            self.last[other] is None and self.chains[other] == self.chains[chain]
            for other in range(chain)
        )

    def _next(self, chain: int) -> Iterator[Node]:
        """A chain's next task, and the sanding before it where that can take a window's place."""
        whole, index = self.chains[chain], self.last[chain]
        if index is None:
            yield _task(chain, 0, whole, None)
            return
        done, sand = self.nodes[index], self.nodes[index].task.sand_min
        if done.step + 1 < len(whole.tasks):
            window = None if done.sanding else done.task.window_min
            if window is None or window >= done.task.ready_min:
                yield _task(chain, done.step + 1, whole, index)
            if window is not None and sand is not None:
                yield Node(chain, done.step, True, done.task, whole.cups, index, sand, None)

    def _settle(self, starts: list[int]) -> list[int] | None:
        """The least beginnings with the newest node; None if a window cannot be kept."""
        starts = [*starts, self.start]
        newest = len(starts) - 1
        limit: int | None = None
        first = newest
        while first <= newest:
            for i in range(first, newest + 1):
                begins = self.hours.fit(starts[i], self.nodes[i].hands)
                starts[i] = max(begins, self._least(i, starts))
                starts[i] = self.hours.fit(starts[i], self.nodes[i].hands)
            limit = starts[newest] + self.patience if limit is None else limit
            if starts[newest] > limit:
                return None
            first = self._hold_back(starts)
        return starts

    def _hold_back(self, starts: list[int]) -> int:
        """Begin later what has a window that would close; the first index that moved."""
        first = len(starts)
        for i in range(len(starts) - 1, 0, -1):
            before = self.nodes[i].before
            if before is None or self.nodes[i].sanding or self.nodes[before].sanding:
                continue
            window = self.nodes[before].task.window_min
            if window is not None:
                need = starts[i] - window - self.nodes[before].hands
                if starts[before] < need:
                    starts[before], first = need, min(first, before)
        return first

    def _least(self, i: int, starts: list[int]) -> int:
        """When node `i` can begin, but for the windows after it."""
        node, least = self.nodes[i], self.start
        if i:
            least = starts[i - 1] + self.nodes[i - 1].hands
        before = node.before
        if before is not None:
            done = self.nodes[before]
            end, wait = starts[before] + done.hands, 0
            if node.sanding:
                wait = max(done.task.sand_after_min, done.task.ready_min)
            elif not done.sanding:
                wait = done.task.ready_min
            least = max(least, end + wait)
            if node.task.after_cure and not node.sanding:
                least = max(least, self._cured(before, starts))
        if node.drying is not None:
            least = max(least, self._rack_free(i, starts, least))
        return self.hours.fit(least, node.hands)

    def _cured(self, index: int | None, starts: list[int]) -> int:
        """When all has cured that was laid on a chain, back from node `index`."""
        cured = self.start
        while index is not None:
            node = self.nodes[index]
            if not node.sanding:
                cured = max(cured, starts[index] + node.hands + node.task.cure_min)
            index = node.before
        return cured

    def _rack_free(self, i: int, starts: list[int], least: int) -> int:
        """When from `least` on the rack has room for node `i` beside those begun before it."""
        room, own = self.rack - self.nodes[i].cups, self.nodes[i].chain
        taken: dict[int, int] = {}  # of each other chain
        for begins, node in zip(starts, self.nodes[:i], strict=False):
            if node.drying is not None and node.chain != own:
                until = begins + node.hands + node.drying
                if until > taken.get(node.chain, least):
                    taken[node.chain] = until
        for chain, until in sorted(taken.items(), key=lambda item: -item[1]):
            room -= self.chains[chain].cups
            if room < 0:
                return until
        return least

    def _ready(self, chain: int, starts: list[int], free: int) -> int:
        index = self.last[chain]
        if index is None:
            return self._tail(chain, 0, free, self.start)
        node = self.nodes[index]
        dry = starts[index] + node.hands + (0 if node.sanding else node.task.ready_min)
        over = node.step + 1 == len(self.chains[chain].tasks)
        dry = dry if over else max(dry, free)
        return self._tail(chain, node.step + 1, dry, self._cured(index, starts))

    def _tail(self, chain: int, step: int, minute: int, cured: int) -> int:
        """When a chain is ready if its tasks from `step` on had hands and rack to themselves."""
        key = (chain, step, minute, cured)
        if key not in self._tails:
            for task in self.chains[chain].tasks[step:]:
                if task.after_cure:
                    minute = max(minute, cured)
                minute = self.hours.fit(minute, task.hands_min) + task.hands_min
                cured = max(cured, minute + task.cure_min)
                minute += task.ready_min
            self._tails[key] = max(minute, cured)
        return self._tails[key]
