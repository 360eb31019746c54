"""The way in for a tablet: this machine's address on its network, as a QR code."""

from __future__ import annotations

import io
import secrets
import socket

import segno


def lan_address() -> str:
    """This machine's IPv4 address on its network, empty if it has none.

    A datagram socket is only pointed outwards, which tells the address; nothing is sent.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation, RFC 5737
            found = str(probe.getsockname()[0])
        except OSError:
            return ""
    return "" if found.startswith("127.") else found


def pairing_code() -> str:
    """Six digits, new for every run."""
    return f"{secrets.randbelow(10**6):06}"


def qr_svg(text: str) -> str:
    """`text` as a QR code (ISO/IEC 18004), an SVG that fills its place."""
    out = io.BytesIO()
    segno.make(text, micro=False, error="m").save(
        out, kind="svg", xmldecl=False, omitsize=True, border=4, dark="#000", light="#fff"
    )
    return out.getvalue().decode()


def qr_terminal(text: str) -> str:
    """The same for a terminal."""
    out = io.StringIO()
    segno.make(text, micro=False, error="m").terminal(out, compact=True)
    return out.getvalue()
