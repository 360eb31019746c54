"""Shared fixtures: the demo parish, and the folder of real hymns where it is present."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PARISH = ROOT / "examples" / "parish"
HYMNS = ROOT.parent / "shared" / "hymns"


@pytest.fixture(scope="session")
def hymn_labels() -> dict[str, dict[str, object]]:
    """Labels of the 104 public-domain hymns; skips where their folder is absent."""
    if not HYMNS.is_dir():
        pytest.skip(f"the folder of real hymns is absent: {HYMNS.name}")
    labels: dict[str, dict[str, object]] = json.loads((HYMNS / "labels.json").read_text("utf-8"))
    return labels
