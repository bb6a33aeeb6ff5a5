"""From a setting to a request."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from app.state import Setting, build_request
from proofing.catalogue import Catalogue
from proofing.photograph import photograph_from_array


@pytest.mark.parametrize("surround", ["average", "dim", "dark"])
def test_the_surround_follows_the_room(surround: str) -> None:
    """A dimmer room beyond a spotlit wall is a dim surround, a dark one dark (CIE 159:2004)."""
    photograph = photograph_from_array(np.zeros((4, 6, 3), np.uint8))
    catalogue = Catalogue.load(Path("/nonexistent"))
    request = build_request(Setting(surround=surround), catalogue, photograph)
    assert request.room.surround == surround
