"""The tablet's way in: the certificate, and the page that shows the addresses."""

from __future__ import annotations

import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from starlette.testclient import TestClient

from suspirium.desk.hymnal import VARIABLE
from suspirium.web.app import create_app
from suspirium.web.certificate import certificate_for
from suspirium.web.settings import WebSettings

ADDRESS = "192.0.2.7"  # for documentation, RFC 5737


def _days_left(path: Path) -> float:
    found = x509.load_pem_x509_certificate(path.read_bytes())
    return (found.not_valid_after_utc - datetime.now(UTC)) / timedelta(days=1)


def test_a_certificate_is_made_once(tmp_path: Path) -> None:
    """Else the tablet would warn again every Sunday."""
    first = certificate_for(ADDRESS, tmp_path).read_bytes()
    assert certificate_for(ADDRESS, tmp_path).read_bytes() == first


def test_another_address_gets_another_certificate(tmp_path: Path) -> None:
    first = certificate_for(ADDRESS, tmp_path).read_bytes()
    assert certificate_for("192.0.2.8", tmp_path).read_bytes() != first


@pytest.mark.parametrize("lies_there", [b"", b"not a certificate", b"-----BEGIN CERTIFICATE-----"])
def test_what_is_no_certificate_is_made_anew(tmp_path: Path, lies_there: bytes) -> None:
    (tmp_path / "tablet.pem").write_bytes(lies_there)
    assert _days_left(certificate_for(ADDRESS, tmp_path)) > 0


def test_it_is_renewed_before_it_ends(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("suspirium.web.certificate._LASTS", timedelta(days=20))
    first = certificate_for(ADDRESS, tmp_path).read_bytes()
    monkeypatch.undo()
    assert certificate_for(ADDRESS, tmp_path).read_bytes() != first
    assert _days_left(tmp_path / "tablet.pem") > 300


def test_it_is_what_browsers_and_openssl_take(tmp_path: Path) -> None:
    """At most 398 days (CA/Browser Forum, Baseline Requirements 6.3.2); the name in SAN."""
    path = certificate_for(ADDRESS, tmp_path / "new")
    assert _days_left(path) <= 398
    ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600, "nobody else reads the key"


def _page(settings: WebSettings, asks_from: str) -> str:
    client = TestClient(create_app(settings), base_url=settings.there, client=(asks_from, 50000))
    return client.get("/tablet").text


def test_the_page_shows_both_ways_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "hymnal.sqlite"))
    settings = WebSettings(address=ADDRESS, code="246802", safe_port=8471)
    shown = _page(settings, "127.0.0.1")
    assert f"http://{ADDRESS}:8470/" in shown
    assert f"https://{ADDRESS}:8471/" in shown
    assert "246802" in shown
    assert shown.count("<svg") == 2


def test_the_code_is_shown_on_this_machine_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "hymnal.sqlite"))
    settings = WebSettings(address=ADDRESS, code="246802", safe_port=8471)
    assert "246802" not in _page(settings, "192.0.2.44")
