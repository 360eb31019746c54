"""The process that runs verovio: notation in, MEI out.

Run as a script, with no import from this package. It says "ready", then takes and gives
one JSON value a line: `{"kind": "musicxml", "text": ...}` in, the MEI out, empty where
verovio refuses. What verovio says meanwhile goes to stderr. It lives apart because a
damaged file can make the C++ library abort the whole process, and because some of its
parsers write straight to stderr.
"""

from __future__ import annotations

import json
import sys

import verovio

# No page is wanted, so no line breaks are computed: that halves the time. A seed makes
# the ids, and with them the reading, the same every time.
OPTIONS = {"breaks": "none", "header": "none", "footer": "none", "xmlIdSeed": 1}


def main() -> None:
    """Answer requests until stdin closes."""
    verovio.enableLog(verovio.LOG_WARNING)
    toolkit = verovio.toolkit()
    toolkit.setOptions(OPTIONS)
    _say("ready")
    for line in sys.stdin.buffer:
        request = json.loads(line)
        toolkit.resetXmlIdSeed(1)
        toolkit.setOptions({"inputFrom": request["kind"]})
        _say(toolkit.getMEI({}) if toolkit.loadData(request["text"]) else "")


def _say(text: str) -> None:
    sys.stdout.buffer.write(json.dumps(text).encode() + b"\n")
    sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()
