"""Other processes for long work."""

from __future__ import annotations

import multiprocessing
from concurrent.futures import ProcessPoolExecutor


def workers(count: int | None = None) -> ProcessPoolExecutor:
    """Worker processes, one a core if no count is given.

    They are started afresh: copies of a process that shows progress from a thread may hang.
    """
    return ProcessPoolExecutor(count, mp_context=multiprocessing.get_context("spawn"))
