"""Long work beside the page: it shows how far it is, can be stopped, and never holds the page up.

A job runs in a thread; pictures it draws come from a render process. A tab keeps its own jobs, so
another tab's are left alone.
"""

import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from mockup.errors import MockupError
from mockup.faces.desk.words import spoken
from mockup.progress import Progress

__all__ = ["Job", "finished", "follow", "start_job"]

_POOL = ThreadPoolExecutor(max_workers=2, thread_name_prefix="desk-job")


class Stopped(Exception):  # noqa: N818  it is no fault
    """The maker has stopped the job."""


@dataclass(slots=True, eq=False)
class Job:
    """Work that has been begun.

    Attributes
    ----------
    of
        What it is made from, such as a fingerprint: another `of`, another job.
    share, doing
        How far it is.
    """

    of: str
    share: float = 0.0
    doing: str = "waiting for its turn"
    stopping: threading.Event = field(default_factory=threading.Event)
    future: Future[Any] | None = None

    def tell(self, share: float, what: str) -> None:
        """Take note of how far the work is; end it here if it is to stop."""
        if self.stopping.is_set():
            raise Stopped
        self.share, self.doing = share, what

    @property
    def running(self) -> bool:
        """Whether it is still to end."""
        return self.future is not None and not self.future.done()

    def result(self) -> Any:
        """What came of it; None if it was stopped.

        Raises
        ------
        MockupError
            It could not be done.
        """
        assert self.future is not None
        try:
            return self.future.result()
        except Stopped:
            return None


def start_job(of: str, work: Callable[[Progress], Any]) -> Job:
    """Begin `work`, which tells its progress."""
    job = Job(of)

    def run() -> Any:
        job.tell(0.0, "beginning")
        return work(job.tell)

    job.future = _POOL.submit(run)
    return job


def follow(
    name: str,
    of: str,
    label: str,
    work: Callable[[Progress], Any],
    *,
    tells: str,
    at_once: bool = False,
) -> Any:
    """A button that begins a job, then its progress and a way to stop it; gives what came of it.

    Parameters
    ----------
    name, of
        Of this job among the tab's jobs, and what it is made from: what was made from something
        else is not shown any more.
    at_once
        Whether it begins by itself.
    """
    jobs: dict[str, Job] = st.session_state.setdefault("jobs", {})
    asked: set[str] = st.session_state.setdefault("asked", set())
    if name in jobs and jobs[name].of != of:
        jobs.pop(name).stopping.set()
    if name in asked or (name not in jobs and at_once):
        asked.discard(name)
        jobs[name] = start_job(of, work)
    job = jobs.get(name)
    if job is not None and job.running:
        _watch(name, label, job)
        return None
    # The press only asks: it may come before the page has drawn what was set just before it.
    st.button(
        label, key=f"{name}.begin", on_click=asked.add, args=(name,), type="primary", help=tells
    )
    if job is None:
        return None
    try:
        return job.result()
    except MockupError as error:
        st.error(spoken(error))
        return None


def finished(name: str, of: str) -> Any:
    """What came of the tab's job of that name, if it is done and still of the same; else None."""
    job: Job | None = st.session_state.get("jobs", {}).get(name)
    if job is None or job.of != of or job.running:
        return None
    try:
        return job.result()
    except MockupError:
        return None


def _watch(name: str, label: str, job: Job) -> None:
    def show() -> None:
        if not job.running:
            st.rerun()
        st.progress(min(max(job.share, 0.0), 1.0), text=f"{label}: {job.doing}")
        st.button(
            "Stop",
            key=f"{name}.stop",
            on_click=job.stopping.set,
            help="Ends this work; nothing of it is kept.",
        )

    st.fragment(show, run_every=0.7)()
