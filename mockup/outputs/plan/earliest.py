"""The earliest plan for a pair of hands, a turning rack and layers that dry: an exact search.

Hands do one thing at a time, so every plan has an *order* in which its tasks are begun. All that
binds the tasks of an order (working hours, drying, recoat windows, room on the rack) asks that a
task begin no earlier than something that grows with the other tasks' beginnings; a window that
would close asks it of the task before. Such rules have one least solution, in which every task
begins as early as in any plan of that order (Tarski 1955). The search runs through the orders and
through the choice of sanding at each recoat window, and leaves out what cannot be better than the
best plan so far. When it comes to its end, the plan is the earliest that there is.

References
----------
Tarski (1955), A lattice-theoretical fixpoint theorem and its applications,
doi:10.2140/pjm.1955.5.285. Neumann, Schwindt & Zimmermann (2003), Project Scheduling with Time
Windows and Scarce Resources, ch. 2 (minimum and maximum time lags).
"""

from collections.abc import Callable, Sequence

from mockup.outputs.plan.hours import WorkingHours
from mockup.outputs.plan.order import Child, Cost, Order
from mockup.outputs.plan.tasks import Chain, Placed, Plan

__all__ = ["find_earliest"]


def find_earliest(
    chains: Sequence[Chain],
    hours: WorkingHours,
    *,
    rack: int,
    start: int,
    most_effort: int = 200_000,
    good_enough: int | None = None,
) -> Plan | None:
    """The plan whose last chain is ready first; among those the one with the least sanding.

    Parameters
    ----------
    rack
        Places for cups that turn or dry at once; no fewer than any chain's cups.
    start
        No task begins before this minute.
    most_effort
        Tasks whose beginning may be worked out in the search; 200,000 take about a second. Where
        that is too few, the best plan so far is given, unproved, with the bound that it may be
        judged by; the first tried are list schedules, which begin first what can be begun first.
        The count decides, not the clock: the same tasks always give the same plan.
    good_enough
        Stop at the first plan that is ready by this minute; a later one is not looked at.

    Returns
    -------
    None if a window that sanding cannot replace never falls into working hours, or if no plan was
    found that is good enough.
    """
    search = _Search(Order(chains, hours, rack, start), good_enough)
    bound = search.order.cost([])[0]
    for rule in (_first_begun, _first_ready, _one_by_one):
        if not search.enough():
            search.dive(rule)
    if search.best is None and good_enough is None:
        return None
    done = search.run(most_effort)
    if search.best is None:
        return None
    cost, placed = search.best
    if good_enough is not None:
        return Plan(placed, cost[3:], bound, cost[0] <= bound)
    if done:
        return Plan(placed, cost[3:], cost[0], proved=True)
    if len(chains) > 1:
        for chain in set(chains):
            alone = find_earliest([chain], hours, rack=rack, start=start, most_effort=most_effort)
            bound = max(bound, alone.bound if alone else bound)
    return Plan(placed, cost[3:], bound, cost[0] <= bound)


Rule = Callable[[Child], tuple[int, ...]]


def _first_begun(child: Child) -> tuple[int, ...]:
    cost, starts, node = child
    return (starts[-1], *cost[:3], node.chain)


def _first_ready(child: Child) -> tuple[int, ...]:
    cost, starts, node = child
    return (*cost[:3], starts[-1], node.chain)


def _one_by_one(child: Child) -> tuple[int, ...]:
    """A chain to its end before the next: this finds a plan wherever there is one."""
    cost, starts, node = child
    return (node.chain, *cost[:3], starts[-1])


class _Search:
    """Depth first, and never into what cannot be better than the best so far."""

    def __init__(self, order: Order, good_enough: int | None) -> None:
        self.order, self.good_enough = order, good_enough
        self.best: tuple[Cost, tuple[Placed, ...]] | None = None

    def dive(self, rule: Rule) -> None:
        """One order from start to end, by a rule for what comes next."""
        starts: list[int] = []
        while children := [c for c in self.order.children(starts) if self._in_time(c[0])]:
            _, starts, node = min(children, key=rule)
            self.order.push(node)
        self._keep(starts)
        while self.order.nodes:
            self.order.pop()

    def run(self, most_effort: int) -> bool:
        """Every order that may be better than the best; whether the search came to its end."""
        self.order.effort = 0
        stack = [self._promising([])]
        while stack:
            if self.order.effort > most_effort or self.enough():
                return False
            if not stack[-1]:
                stack.pop()
                if self.order.nodes:
                    self.order.pop()
                continue
            cost, starts, node = stack[-1].pop()
            if not self._may_win(cost):
                continue
            self.order.push(node)
            self._keep(starts)
            stack.append(self._promising(starts))
        return True

    def _promising(self, starts: list[int]) -> list[Child]:
        """What may come next, the best to try last."""
        children = [child for child in self.order.children(starts) if self._may_win(child[0])]
        return sorted(children, key=_first_begun, reverse=True)

    def _may_win(self, cost: Cost) -> bool:
        return self._in_time(cost) and (self.best is None or cost[:3] < self.best[0][:3])

    def _in_time(self, cost: Cost) -> bool:
        return self.good_enough is None or cost[0] <= self.good_enough

    def enough(self) -> bool:
        """Whether there is a plan that is good enough."""
        return self.best is not None and self.good_enough is not None

    def _keep(self, starts: list[int]) -> None:
        if self.order.complete():
            cost = self.order.cost(starts)
            if self.best is None or cost[:3] < self.best[0][:3]:
                self.best = (cost, tuple(self.order.placed(starts)))
