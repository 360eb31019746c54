"""The app over an empty library, and over one that holds the demo parish."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from suspirium.desk.hymnal import VARIABLE, add_scores, the_library
from suspirium.desk.parish import parish_scores
from suspirium.web.app import create_app
from suspirium.web.settings import WebSettings

BASE = "http://127.0.0.1:8470"


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    monkeypatch.setenv(VARIABLE, str(tmp_path / "hymnal.sqlite"))
    with TestClient(create_app(WebSettings()), base_url=BASE, follow_redirects=False) as client:
        yield client


@pytest.fixture
def parish(empty: TestClient) -> TestClient:
    with the_library() as library:
        add_scores(library, parish_scores(), processes=1)
    return empty
