"""Plans found by trying every hour: slow, plain, and nothing in common with the search."""

from itertools import pairwise

from mockup.outputs.plan.hours import DAY_MIN

HOUR = 60

__all__ = ["HOUR", "earliest_by_trial", "faults"]


def faults(plan, chains, hours, rack, start):
    """Every rule that a plan breaks, told in words; minutes."""
    told = []
    work = sorted(
        (p.start, p.start + _hands(chains[p.chain].tasks[p.task], p.sanding), p)
        for p in plan.placed
    )
    for begins, ends, p in work:
        spans = hours.week[(begins // DAY_MIN + hours.first_day.weekday()) % 7]
        day = begins // DAY_MIN * DAY_MIN
        if begins < start:
            told.append(f"{p} before the start")
        if not any(day + opens <= begins and ends <= day + closes for opens, closes in spans):
            told.append(f"{p} outside working hours")
    told += [
        f"{a} and {b} need hands at once"
        for (_, ends, a), (begins, _, b) in pairwise(work)
        if begins < ends
    ]
    for index, chain in enumerate(chains):
        told += _faults_of(index, chain, plan)
    on_rack = [
        (begins, ends + task.drying_min, p.chain)
        for begins, ends, p in work
        if not p.sanding and (task := chains[p.chain].tasks[p.task]).drying_min is not None
    ]
    for moment, _, _ in on_rack:
        there = {chain for begins, ends, chain in on_rack if begins <= moment < ends}
        if sum(chains[chain].cups for chain in there) > rack:
            told.append(f"the rack is too full at {moment}")
    return told


def _hands(task, sanding):
    return task.sand_min if sanding else task.hands_min


def _faults_of(index, chain, plan):
    told, own = [], [p for p in plan.placed if p.chain == index]
    done = {p.task: p for p in own if not p.sanding}
    sanded = {p.task: p for p in own if p.sanding}
    if sorted(done) != list(range(len(chain.tasks))):
        return [f"chain {index} has the tasks {sorted(done)}"]
    cured = 0
    for i, task in enumerate(chain.tasks):
        end = done[i].start + task.hands_min
        if task.after_cure and done[i].start < cured:
            told.append(f"task {i} before the cure")
        cured = max(cured, end + task.cure_min)
        if i + 1 == len(chain.tasks):
            if plan.ready[index] != max(end + task.ready_min, cured):
                told.append(f"chain {index} is not ready when it says")
            continue
        after = done[i + 1].start
        if after < end + task.ready_min:
            told.append(f"task {i + 1} on a layer that is not ready")
        if i in sanded:
            if task.sand_min is None or sanded[i].start < end + task.sand_after_min:
                told.append(f"sanding {i} too early")
            if after < sanded[i].start + task.sand_min:
                told.append(f"task {i + 1} before its sanding")
        elif task.window_min is not None and after > end + task.window_min:
            told.append(f"task {i + 1} after its window, unsanded")
    return told


def earliest_by_trial(chains, hours, rack, start, limit):
    """The least hour, up to a limit, at which one chain or two can be ready; all in whole hours."""
    ways = [sorted(set(_ways(chain, hours, start, limit))) for chain in chains]
    if len(ways) == 1:
        return ways[0][0][0]
    crowded = sum(chain.cups for chain in chains) > rack
    found = [
        max(ready, other)
        for ready, work, wet in ways[0]
        for other, other_work, other_wet in ways[1]
        if not work & other_work and not (crowded and wet & other_wet)
    ]
    return min(found)


def _ways(chain, hours, start, limit, i=0, at=None, cured=0):
    """(ready, hours of work, hours on the rack) of every way through a chain; hours as bits."""
    task = chain.tasks[i]
    earliest, latest = (start, None) if at is None else at
    if task.after_cure:
        earliest = max(earliest, cured)
    for begins in _beginnings(hours, task.hands_min, earliest, latest, limit):
        end = begins + task.hands_min
        work = _bits(begins, end)
        wet = 0 if task.drying_min is None else _bits(begins, end + task.drying_min)
        dry = max(cured, end + task.cure_min)
        if i + 1 == len(chain.tasks):
            if max(end + task.ready_min, dry) <= limit:
                yield max(end + task.ready_min, dry), work, wet
            continue
        window = None if task.window_min is None else end + task.window_min
        then = [(end + task.ready_min, window, 0)]
        if window is not None and task.sand_min is not None:
            first = end + max(task.ready_min, task.sand_after_min)
            for sanding in _beginnings(hours, task.sand_min, first, None, limit):
                done = sanding + task.sand_min
                then.append((done, None, _bits(sanding, done)))
        for first, last, sand_work in then:
            for ready, more_work, more_wet in _ways(
                chain, hours, start, limit, i + 1, (first, last), dry
            ):
                yield ready, work | sand_work | more_work, wet | more_wet


def _bits(begins, end):
    """One bit for each hour."""
    return sum(1 << hour for hour in range(begins // HOUR, end // HOUR))


def _beginnings(hours, hands, first, latest, limit):
    latest = limit if latest is None else min(latest, limit)
    for day in range(first // DAY_MIN, latest // DAY_MIN + 1):
        for opens, closes in hours.week[(day + hours.first_day.weekday()) % 7]:
            for begins in range(day * DAY_MIN + opens, day * DAY_MIN + closes - hands + 1, HOUR):
                if first <= begins <= latest:
                    yield begins
