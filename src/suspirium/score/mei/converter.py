"""Any notation verovio reads, as MEI: a lasting worker process does it.

The worker is started on first use and again after a crash; it ends with this process.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import subprocess
import sys
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from suspirium.errors import SuspiriumError

_WORKER = Path(__file__).with_name("verovio_worker.py")
_PATIENCE_S = 20.0  # a hymn takes hundredths of a second; this is for a parser that hangs


@dataclass(frozen=True, slots=True)
class Conversion:
    """The MEI, empty where the notation can't be read, and what verovio said about it."""

    mei: str
    log: str


class _Worker:
    """One verovio process; calls from several threads take turns."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._log: IO[bytes] | None = None

    def convert(self, kind: str, text: str) -> Conversion:
        request = json.dumps({"kind": kind, "text": text}).encode() + b"\n"
        with self._lock:
            answer = self._ask(request)
            said = self._said()
            if not answer:
                self._end()
        return Conversion(json.loads(answer or '""'), said)

    def close(self) -> None:
        """End the process, if there is one."""
        with self._lock:
            self._end()

    def _ask(self, request: bytes) -> bytes:
        """The answer; empty where the process dies of the request or takes too long."""
        process = self._running()
        assert process.stdin is not None
        assert process.stdout is not None
        patience = threading.Timer(_PATIENCE_S, process.kill)
        patience.start()
        try:
            process.stdin.write(request)
            process.stdin.flush()
            return process.stdout.readline()
        except OSError:
            return b""
        finally:
            patience.cancel()

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            with contextlib.suppress(OSError):
                process.communicate()
        if self._log is not None:
            self._log.close()
            self._log = None

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self._end()
        self._log = tempfile.TemporaryFile()  # noqa: SIM115 (closed with the process)
        process = self._process = subprocess.Popen(
            [sys.executable, "-P", str(_WORKER)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._log,
        )
        if process.stdout is None or not process.stdout.readline():
            raise SuspiriumError(
                "MusicXML, MEI and kern can't be read: verovio does not start; install it again."
            )
        return process

    def _said(self) -> str:
        """What was logged since the last time."""
        if self._log is None:
            return ""
        self._log.seek(0)
        said = self._log.read()
        self._log.seek(0)
        self._log.truncate()
        return said.decode("utf-8", "replace")


_worker = _Worker()
atexit.register(_worker.close)


def to_mei(kind: str, text: str) -> Conversion:
    """`text` in notation `kind` ("musicxml", "mei" or "humdrum") as MEI.

    Raises SuspiriumError where verovio can't be started.
    """
    return _worker.convert(kind, text)
