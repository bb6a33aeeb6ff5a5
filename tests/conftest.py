"""What every test stands on: no display, no folder of the user's, no clock."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# Before anything imports Qt: windows are drawn in memory, so that the tests need no display and
# put nothing in front of whoever runs them. A platform that is named already is kept.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# Before anything imports numpy: the products here are small, and threads of the linear algebra
# library beside our own make them slower and their run time uneven.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

_HOME = tempfile.TemporaryDirectory(prefix="stocklight-tests-")
# Stocks and settings of whoever runs the tests stay out of them, in child processes too.
for _name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME"):
    os.environ[_name] = str(Path(_HOME.name) / _name.lower())

# Time is never judged here: a slow machine is no failure. Under CI the examples do not vary
# from run to run, so that a red run can be repeated.
settings.register_profile(
    "stocklight",
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=bool(os.environ.get("CI")),
    print_blob=True,
)
settings.load_profile("stocklight")


@pytest.fixture(scope="session", autouse=True)
def _own_home() -> Iterator[None]:
    yield
    _HOME.cleanup()
