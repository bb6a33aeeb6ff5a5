"""What a lamp does to the colours of a print beside daylight, or a glowing filament, of its warmth.

The measure of CIE 224:2017 applied to a print's own spectra instead of to test samples: the
difference in appearance under the lamp and under the reference illuminant of the same correlated
colour temperature, an eye fully adapted to either. What a brightener adds is left out of both.
"""

from __future__ import annotations

import functools
import warnings
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from proofing._colour import colour_science
from proofing.language import tr
from proofing.viewing.appearance import ViewingConditions, forward
from proofing.viewing.light import LIGHT_WAVELENGTHS_NM, Light

Float = npt.NDArray[np.float64]

_WHITE_CD_M2 = 500.0
_Y_B = 20.0
"""CIE 224:2017, 4.3: L_A = 100 cd/m2, a background of 20 %, average surround, D = 1."""


@dataclass(frozen=True, eq=False)
class LampColours:
    """Colours of a print, (N, 3) CAM16-UCS J', a', b'.

    Attributes
    ----------
    lamp, reference
        Under the lamp and under its reference illuminant.
    """

    lamp: Float = field(repr=False)
    reference: Float = field(repr=False)

    @property
    def apart(self) -> Float:
        """(N,) how far apart the two are."""
        return np.asarray(np.linalg.norm(self.lamp - self.reference, axis=1))


def lamp_colours(reflectance: npt.NDArray[np.floating], light: Light) -> LampColours:
    """Colours under a lamp and under its reference illuminant.

    Parameters
    ----------
    reflectance
        (N, 36) at :data:`~proofing.colorimetry.WAVELENGTHS_NM`.
    light
        The lamp.

    Raises
    ------
    SettingError
        If it is so far from white that it has no reference.

    Notes
    -----
    CIE 224:2017 takes CIECAM02-UCS and the 10-degree observer; this takes CAM16-UCS and the
    2-degree one, as all else here does.
    """
    return LampColours(_seen(reflectance, light), _seen(reflectance, reference_of(light)))


@functools.lru_cache(maxsize=64)
def reference_of(light: Light) -> Light:
    """The reference illuminant of CIE 224:2017 for a light.

    Up to 4000 K a Planckian radiator, from 5000 K a phase of daylight, between them a mixture; of
    the light's own correlated colour temperature.

    Raises
    ------
    SettingError
        If the light is so far from white that it has none.
    """
    colour = colour_science()
    light.check_white()
    nm = LIGHT_WAVELENGTHS_NM
    shape = colour.SpectralShape(float(nm[0]), float(nm[-1]), float(nm[1] - nm[0]))
    with warnings.catch_warnings():  # it remarks that it resamples its own tables
        warnings.simplefilter("ignore")
        sd = colour.quality.cfi2017.sd_reference_illuminant(light.cct_K, shape)
    name = tr("reference of {light}", light=light.name)
    return Light(
        name=name,
        words=name,
        kind="measured",
        provenance=tr("CIE 224:2017, by colour-science"),
        samples=(np.asarray(sd.wavelengths, float), np.asarray(sd.values, float)),
    )


def _seen(reflectance: npt.NDArray[np.floating], light: Light) -> Float:
    X, Y, Z = (float(v) for v in light.XYZ_w)
    conditions = ViewingConditions((X, Y, Z), _WHITE_CD_M2, _Y_B, "average", 1.0)
    XYZ = np.asarray(reflectance, np.float64) @ light.weights()
    found = forward(XYZ * _WHITE_CD_M2, conditions)
    M = np.log1p(0.0228 * found.M) / 0.0228  # CAM16-UCS, Li et al. 2017
    h = np.radians(found.h)
    J = 1.7 * found.J / (1.0 + 0.007 * found.J)
    return np.column_stack([J, M * np.cos(h), M * np.sin(h)])
