"""Clipped sound: flat tops count, single peaks do not."""

from __future__ import annotations

import numpy as np
import pytest

from suspirium.take.clipped import Clipping


def clipping(*blocks: list[float]) -> Clipping:
    counted = Clipping()
    rows = [np.array(block, dtype=np.float32)[:, None] for block in blocks]
    passed = list(counted.through(rows))
    assert all(a is b for a, b in zip(rows, passed, strict=True))
    return counted


def test_three_samples_in_a_row_at_full_scale_are_a_flat_top() -> None:
    assert clipping([0.1, 1, 1, 1, 0.2]).clipped == 1
    assert clipping([0.1, -1, -1, -1, -1, 0.2]).clipped == 2
    assert clipping([0.1, 1, 1, 0.3, 1, 1]).clipped == 0


def test_channels_are_apart() -> None:
    counted = Clipping()
    list(counted.through([np.array([[1, 0], [1, 1], [1, 1], [0, 1]], dtype=np.float32)]))
    assert (counted.clipped, counted.samples) == (2, 8)


@pytest.mark.parametrize("blocks", [[], [[0.0, 0.5, 1.0]], [[1.0]]])
def test_sound_that_is_not_clipped_has_no_remark(blocks: list[list[float]]) -> None:
    assert clipping(*blocks).remarks == ()


def test_the_share_is_said() -> None:
    (text,) = clipping([0.5] * 98 + [1] * 4).remarks
    assert "2 %" in text
