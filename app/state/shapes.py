"""The shape that a picture is cropped to, as a setting holds it and as people write it.

A shape is ``''`` for the whole picture, ``'frame'`` for that of the print's size, or a ratio such
as ``'3:2'``, which lies or stands as the picture does; ``'turned 3:2'`` goes the other way.
"""

from __future__ import annotations

import re
from typing import Any

from proofing.errors import SettingError
from proofing.language import tr

WHOLE, FRAME, TURNED = "", "frame", "turned "
RATIOS = ("3:2", "4:3", "5:4", "1:1", "16:9", "2:1", "3:1")
"""Usual shapes of sheets, frames and cameras (common practice)."""
_MOST = 50.0  # of a width against a height
_RATIO = re.compile(r"(\d+(?:\.\d+)?)\s*[:/x×]\s*(\d+(?:\.\d+)?)")


def shape_text(value: str) -> str:
    """A shape in words.

    >>> shape_text(""), shape_text("frame"), shape_text("turned 4:5")
    ('the whole picture', 'fill its size', '4:5, turned')
    """
    if value == WHOLE:
        return tr("the whole picture")
    if value == FRAME:
        return tr("fill its size")
    if value.startswith(TURNED):
        return tr("{ratio}, turned", ratio=value.removeprefix(TURNED))
    return value


def parse_shape(text: str) -> str:
    """The inverse of :func:`shape_text`; the values themselves are read as well.

    Raises
    ------
    SettingError
        For anything else.

    Examples
    --------
    >>> parse_shape("3 x 2"), parse_shape("turned 4:5"), parse_shape("whole")
    ('3:2', 'turned 4:5', '')
    """
    wanted = " ".join(text.casefold().split())
    for value, names in ((WHOLE, ("", "none", "whole", "auto")), (FRAME, ("frame", "size"))):
        if wanted in (*names, shape_text(value).casefold()):
            return value
    turned = tr("{ratio}, turned", ratio="").casefold().strip()
    if wanted.endswith(turned):
        wanted = f"{TURNED}{wanted.removesuffix(turned).strip()}"
    return check_shape(wanted)


def check_shape(value: Any) -> str:
    """A shape as a setting holds it.

    Raises
    ------
    SettingError
        For anything that is none.
    """
    if value in (WHOLE, FRAME):
        return str(value)
    given = value if isinstance(value, str) else ""
    turned = TURNED if given.startswith(TURNED) else ""
    match = _RATIO.fullmatch(given.removeprefix(TURNED).replace(",", "."))
    if match is None:
        raise SettingError(
            "crop", value, tr("write a ratio such as 3:2, or choose the whole picture")
        )
    width, height = float(match[1]), float(match[2])
    if not (width > 0.0 and height > 0.0 and 1.0 / _MOST <= width / height <= _MOST):
        raise SettingError("crop", value, tr("use a width of 1/50 to 50 times the height"))
    return f"{turned}{match[1]}:{match[2]}"


def aspect_of(value: str, lying: bool) -> float:
    """Width over height of a ratio, on a picture that lies or stands.

    >>> aspect_of("3:2", True), aspect_of("3:2", False) < 1, aspect_of("turned 3:2", False)
    (1.5, True, 1.5)
    """
    width, height = (float(side) for side in value.removeprefix(TURNED).split(":"))
    long, short = max(width, height), min(width, height)
    across = lying != value.startswith(TURNED)
    return long / short if across else short / long
