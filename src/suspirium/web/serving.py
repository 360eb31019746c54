"""Running the app: here only, or with a tablet let in."""

from __future__ import annotations

import os
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import uvicorn
from starlette.applications import Starlette

from suspirium.desk.own_desk import desk_folder
from suspirium.errors import OutputError
from suspirium.web.app import create_app
from suspirium.web.certificate import certificate_for
from suspirium.web.lan import lan_address, pairing_code, qr_terminal
from suspirium.web.settings import WebSettings

_LAST_PORT = 65535


def run(port: int, *, lan: bool, browser: bool, say: Callable[[str], None]) -> None:
    """Serves until it is interrupted; `OutputError` if the port is taken.

    With `lan`, the port after it serves the same by https, for what browsers allow only there.
    """
    address = lan_address() if lan else ""
    if lan and not address:
        raise OutputError("this machine is on no network; without --lan the desk opens here")
    listening = _listen("0.0.0.0" if lan else "127.0.0.1", port)
    safe = _listen("0.0.0.0", port + 1 if port < _LAST_PORT else port - 1) if lan else None
    settings = WebSettings(
        port,
        address,
        pairing_code() if lan else "",
        safe_port=safe.getsockname()[1] if safe else 0,
    )
    here = f"http://127.0.0.1:{port}/"
    say(f"The desk is open at {here} (stop it with Ctrl+C).")
    if lan:
        say(f"On the tablet: {settings.there}   pairing code: {settings.code}")
        say(qr_terminal(settings.there))
        say(f"Or, to keep its screen on: {settings.there_safely}")
    if browser:
        threading.Timer(0.6, webbrowser.open, (here,)).start()
    app = create_app(settings)
    server = uvicorn.Server(_config(app))
    with ExitStack() as stack:
        if safe is not None:
            pem = certificate_for(address, desk_folder())
            stack.enter_context(beside(app, safe, pem))
        server.run(sockets=[listening])


def _config(app: Starlette, pem: Path | None = None) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        log_level="error" if os.environ.get("SUSPIRIUM_TRACEBACK") else "critical",
        server_header=False,
        timeout_graceful_shutdown=3,
        lifespan="off" if pem else "on",  # the app begins and ends once
        ssl_certfile=pem,
    )


@contextmanager
def beside(app: Starlette, listening: socket.socket, pem: Path) -> Iterator[None]:
    """The same app by https on a socket that listens, in a thread of its own."""
    server = uvicorn.Server(_config(app, pem))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(5)


def _listen(host: str, port: int) -> socket.socket:
    try:
        return socket.create_server((host, port), backlog=128)
    except OSError:
        raise OutputError(
            f"port {port} is in use; is the desk open already? Or choose another: --port 8471"
        ) from None
