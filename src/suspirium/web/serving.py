"""Running the app: here only, or with a tablet let in."""

from __future__ import annotations

import os
import socket
import threading
import webbrowser
from collections.abc import Callable

import uvicorn

from suspirium.errors import OutputError
from suspirium.web.app import create_app
from suspirium.web.lan import lan_address, pairing_code, qr_terminal
from suspirium.web.settings import WebSettings


def run(port: int, *, lan: bool, browser: bool, say: Callable[[str], None]) -> None:
    """Serves until it is interrupted; `OutputError` if the port is taken."""
    address = lan_address() if lan else ""
    if lan and not address:
        raise OutputError("this machine is on no network; without --lan the desk opens here")
    settings = WebSettings(port, address, pairing_code() if lan else "")
    listening = _listen("0.0.0.0" if lan else "127.0.0.1", port)
    here = f"http://127.0.0.1:{port}/"
    say(f"The desk is open at {here} (stop it with Ctrl+C).")
    if lan:
        there = f"http://{address}:{port}/"
        say(f"On the tablet: {there}   pairing code: {settings.code}")
        say(qr_terminal(there))
    if browser:
        threading.Timer(0.6, webbrowser.open, (here,)).start()
    config = uvicorn.Config(
        create_app(settings),
        log_level="error" if os.environ.get("SUSPIRIUM_TRACEBACK") else "critical",
        server_header=False,
        timeout_graceful_shutdown=3,
    )
    uvicorn.Server(config).run(sockets=[listening])


def _listen(host: str, port: int) -> socket.socket:
    try:
        return socket.create_server((host, port), backlog=128)
    except OSError:
        raise OutputError(
            f"port {port} is in use; is the desk open already? Or choose another: --port 8471"
        ) from None
