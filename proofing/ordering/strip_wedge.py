"""The grey wedge of a test strip: equal steps of L*, from paper white to black, uncorrected."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from proofing.colorimetry import Lab_to_XYZ
from proofing.ordering.dither import round_plainly
from proofing.photograph import IccIntent, IccProfile, icc

STEPS = 21
"""As printed step wedges have (common practice)."""


def wedge_L(profile: IccProfile) -> tuple[float, ...]:
    """L* of the steps in a space, D50, media-relative.

    Parameters
    ----------
    profile
        RGB; the wedge ends at its black.

    Examples
    --------
    >>> from proofing.ordering.spaces import adobe_rgb
    >>> wedge_L(adobe_rgb())[:3], wedge_L(adobe_rgb())[-1]
    ((100.0, 95.0, 90.0), 0.0)
    """
    black = float(icc.device_to_Lab(profile, [[0.0, 0.0, 0.0]], IccIntent.RELATIVE)[0, 0])
    return tuple(float(L) for L in np.linspace(100.0, max(round(black, 3), 0.0), STEPS))


def wedge_codes(profile: IccProfile, L: Sequence[float], top: int) -> npt.NDArray[Any]:
    """The nearest codes of the steps, without noise: each step is one even grey.

    Parameters
    ----------
    profile
        Of the file.
    L
        As :func:`wedge_L` tells them.
    top
        The code of full scale, 255 or 65535.

    Returns
    -------
    ndarray
        (N, 3) uint8 or uint16; the first is paper white, the last the space's black.
    """
    Lab = np.zeros((len(L), 3))
    Lab[:, 0] = L
    device = icc.XYZ_to_device(profile, Lab_to_XYZ(Lab), IccIntent.RELATIVE)
    if profile.is_matrix:  # its neutrals are equal red, green and blue, but for rounding
        device[:] = device.mean(axis=1, keepdims=True)
    device[0], device[-1] = 1.0, 0.0
    codes: npt.NDArray[Any] = round_plainly(device, top)
    return codes
