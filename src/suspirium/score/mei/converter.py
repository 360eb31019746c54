"""Any notation verovio reads, as MEI: a lasting worker process does it.

The worker is started on first use and again after a crash; it ends with this process.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path

from suspirium.errors import SuspiriumError

_WORKER = Path(__file__).with_name("verovio_worker.py")
_PATIENCE_S = 60.0  # a hymn takes hundredths of a second; this is for a parser that hangs


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

    def convert(self, kind: str, text: str) -> Conversion:
        request = json.dumps({"kind": kind, "text": text}).encode() + b"\n"
        with self._lock:
            answer = self._ask(request)
        if not answer:
            return Conversion("", "")
        fields = json.loads(answer)
        return Conversion(fields["mei"], fields["log"])

    def _ask(self, request: bytes) -> bytes:
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

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self.close()
        process = self._process = subprocess.Popen(
            [sys.executable, "-P", str(_WORKER)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        if process.stdout is None or not process.stdout.readline():
            raise SuspiriumError(
                "MusicXML, MEI and kern can't be read: verovio does not start; install it again."
            )
        return process

    def close(self) -> None:
        if self._process is None:
            return
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with contextlib.suppress(OSError):
                    pipe.close()
        self._process.wait()
        self._process = None


_worker = _Worker()
atexit.register(_worker.close)


def to_mei(kind: str, text: str) -> Conversion:
    """`text` in notation `kind` ("musicxml", "mei" or "humdrum") as MEI.

    Raises SuspiriumError where verovio can't be started.
    """
    return _worker.convert(kind, text)
