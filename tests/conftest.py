"""Shared fixtures: the demo parish, and the folder of real hymns where it is present."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import settings

# The same examples every time, so that a change is judged by what it changes;
# SUSPIRIUM_EXAMPLES=searching looks for new ones.
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("searching", deadline=None)
settings.load_profile(os.environ.get("SUSPIRIUM_EXAMPLES", "repeatable"))

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
