"""A certificate that this desk signs for itself, so that a tablet's browser trusts its pages.

Browsers keep a screen awake and open a microphone only over https (W3C, Secure Contexts). No
authority vouches for a machine at home: the tablet asks once whether to go on.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from suspirium.store import read_bytes, write_whole

_LASTS = timedelta(days=397)  # the longest that browsers take (CA/Browser Forum, ballot SC31)
_RENEWED_BEFORE = timedelta(days=30)


def certificate_for(address: str, folder: Path) -> Path:
    """A file with key and certificate for this IP address, in `folder`.

    The one that lies there is used again while it holds, so that the tablet asks only once.
    """
    path = folder / "tablet.pem"
    if not (path.is_file() and _holds(read_bytes(path), address)):
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, _made(address), mode=0o600)
    return path


def _holds(pem: bytes, address: str) -> bool:
    try:
        found = x509.load_pem_x509_certificate(pem)
        names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (ValueError, x509.ExtensionNotFound):
        return False
    lasts = found.not_valid_after_utc - datetime.now(UTC) > _RENEWED_BEFORE
    return lasts and ip_address(address) in names.get_values_for_type(x509.IPAddress)


def _made(address: str) -> bytes:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Suspirium on this network")])
    now = datetime.now(UTC)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))  # clocks differ
        .not_valid_after(now - timedelta(days=1) + _LASTS)
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ip_address(address))]), critical=False
        )
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    private = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return private + certificate.public_bytes(Encoding.PEM)
