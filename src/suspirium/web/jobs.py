"""Long work in the background: progress that any page can show, stopped on request."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Event, Lock
from typing import Literal

from suspirium.errors import SuspiriumError

State = Literal["waiting", "running", "done", "failed", "stopped"]
_MOST = 50  # jobs remembered


class Stopped(Exception):
    """The organist asked for the work to stop."""


@dataclass
class Job:
    """One piece of work; `result` is the page to go to, `words` what came of it or why not."""

    number: str
    title: str
    state: State = "waiting"
    step: str = ""
    done: int = 0
    total: int = 0
    words: str = ""
    result: str = ""
    remarks: tuple[str, ...] = ()
    _stop: Event = field(default_factory=Event)

    @property
    def over(self) -> bool:
        return self.state in ("done", "failed", "stopped")

    def tell(self, step: str, done: int | None = None, total: int | None = None) -> None:
        """Tells how far the work is; raises `Stopped` once it is to stop."""
        if self._stop.is_set():
            raise Stopped
        self.step = step
        self.done = self.done if done is None else done
        self.total = self.total if total is None else total

    def stop(self) -> None:
        """Asks for the work to stop at its next step; what waits stops at once."""
        self._stop.set()
        if self.state == "waiting":
            self.state = "stopped"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a job: words, the page to go to, and what the organist should know."""

    words: str
    result: str
    remarks: tuple[str, ...] = ()


class Jobs:
    """The jobs of this run of the app, one after another."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="job")
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._lock = Lock()

    def begin(self, title: str, work: Callable[[Job], Outcome]) -> Job:
        """Begins `work` as soon as what was begun before is over."""
        job = Job(secrets.token_urlsafe(8), title)
        with self._lock:
            self._jobs[job.number] = job
            over = [number for number, one in self._jobs.items() if one.over]
            for number in over[: max(0, len(self._jobs) - _MOST)]:
                del self._jobs[number]
        self._pool.submit(self._run, job, work)
        return job

    def find(self, number: str) -> Job | None:
        """The job of this number, None if it is not known (any more)."""
        with self._lock:
            return self._jobs.get(number)

    def running(self) -> list[Job]:
        """The jobs that are not over."""
        with self._lock:
            return [job for job in self._jobs.values() if not job.over]

    def close(self) -> None:
        """Stops everything."""
        for job in self.running():
            job.stop()
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _run(self, job: Job, work: Callable[[Job], Outcome]) -> None:
        if job.over:
            return
        job.state = "running"
        try:
            outcome = work(job)
            job.tell(job.step)  # what was stopped meanwhile is not shown as done
        except Stopped:
            job.state = "stopped"
        except SuspiriumError as problem:
            job.words, job.state = str(problem), "failed"
        except Exception as problem:
            job.words = (
                f"a fault of the program itself ({type(problem).__name__}: {problem}); your "
                "files are untouched"
            )
            job.state = "failed"
        else:
            job.words, job.result, job.remarks = outcome.words, outcome.result, outcome.remarks
            job.state = "done"
