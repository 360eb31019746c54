"""The process that runs verovio: notation in, MEI out.

Run as a script, with no import from this package. It says "ready", then takes and gives
one JSON object a line: `{"kind": "musicxml", "text": ...}` in, `{"mei": ..., "log": ...}`
out; `mei` is empty where verovio refuses. It lives apart because a damaged file can make
the C++ library abort the whole process, and because some of its parsers write straight to
stderr.
"""

from __future__ import annotations

import json
import os
import sys
import tempfile

import verovio

# No page is wanted, so no line breaks are computed: that halves the time. A seed makes
# the ids, and with them the reading, the same every time.
READY = "ready"
OPTIONS = {"breaks": "none", "header": "none", "footer": "none", "xmlIdSeed": 1}


def main() -> None:
    """Answer requests until stdin closes."""
    with tempfile.TemporaryFile() as log:
        os.dup2(log.fileno(), 2)
        verovio.enableLog(verovio.LOG_WARNING)
        toolkit = verovio.toolkit()
        toolkit.setOptions(OPTIONS)
        _say(READY)
        for line in sys.stdin.buffer:
            request = json.loads(line)
            toolkit.resetXmlIdSeed(1)
            toolkit.setOptions({"inputFrom": request["kind"]})
            mei = toolkit.getMEI({}) if toolkit.loadData(request["text"]) else ""
            log.seek(0)
            said = log.read().decode("utf-8", "replace")
            log.seek(0)
            log.truncate()
            _say(json.dumps({"mei": mei, "log": said}))


def _say(line: str) -> None:
    sys.stdout.buffer.write(line.encode() + b"\n")
    sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()
