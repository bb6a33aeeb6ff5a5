"""Names for order files, by a pattern with fields in braces.

>>> fields = NameFields("harbour_at_six", "smooth matte", 600.0, 400.0, 254.0, "sRGB", "2026-11-26")
>>> order_name("{name}_{width}x{height}{unit}_{stock}", fields)
'harbour_at_six_60x40cm_smooth-matte'
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from proofing.errors import SettingError
from proofing.files import free_name
from proofing.language import mark, tr

Unit = Literal["cm", "in", "mm"]
_MM = {"cm": 10.0, "in": 25.4, "mm": 1.0}

START_PATTERN = "{name}_{width}x{height}{unit}_{stock}"
"""The pattern at the start."""

FIELDS = {
    "name": mark("the photograph's file name without its ending"),
    "stock": mark("the stock"),
    "width": mark("the print's width"),
    "height": mark("the print's height"),
    "unit": mark("what width and height are in: cm, in or mm"),
    "ppi": mark("pixels per inch, rounded"),
    "space": mark("the file's colour space"),
    "date": mark("the day, such as 2026-11-26"),
}
"""The fields of a pattern, and what stands there."""

_LONGEST_BYTES = 180  # file systems take 255; a number and an ending follow
_FORBIDDEN = set('<>:"/\\|?*')  # by one system or another
_RESERVED = {"con", "prn", "aux", "nul"} | {f"{p}{n}" for p in ("com", "lpt") for n in range(1, 10)}


@dataclass(frozen=True)
class NameFields:
    """What the fields of a pattern are filled with.

    Attributes
    ----------
    name, stock, space
        Texts.
    width_mm, height_mm
        Of the print.
    ppi
        Pixels per inch.
    date
        ISO 8601.
    unit
        In which lengths are given.
    """

    name: str
    stock: str
    width_mm: float
    height_mm: float
    ppi: float
    space: str
    date: str
    unit: Unit = "cm"

    def values(self) -> dict[str, str]:
        """The text of each field of :data:`FIELDS`."""
        mm = _MM[self.unit]
        return {
            "name": self.name,
            "stock": self.stock,
            "width": f"{self.width_mm / mm:.1f}".removesuffix(".0"),
            "height": f"{self.height_mm / mm:.1f}".removesuffix(".0"),
            "unit": self.unit,
            "ppi": f"{self.ppi:.0f}",
            "space": self.space,
            "date": self.date,
        }


def order_name(pattern: str, fields: NameFields) -> str:
    """A file name without its ending.

    Parameters
    ----------
    pattern
        Text with fields in braces, each of :data:`FIELDS`.
    fields
        What stands there.

    Returns
    -------
    str
        A name that every system takes: what one of them forbids becomes a hyphen, so do blanks
        in the fields; at most 180 bytes.

    Raises
    ------
    SettingError
        An unknown field, a brace without its partner, or a pattern that leaves no name.
    """
    values = fields.values()

    def filled(match: re.Match[str]) -> str:
        if match[1] not in values:
            known = ", ".join(f"{{{name}}}" for name in FIELDS)
            raise SettingError(
                "pattern",
                pattern,
                tr("there is no field {field}; use {known}", field=match[0], known=known),
            )
        return re.sub(r"\s+", "-", values[match[1]].strip())

    name = re.sub(r"\{([^{}]*)\}", filled, pattern)
    if set(re.sub(r"\{[^{}]*\}", "", pattern)) & {"{", "}"}:
        raise SettingError(
            "pattern",
            pattern,
            tr("a brace has no partner; write fields as in {name}", name="{name}"),
        )
    name = safe_name(name)
    if not name:
        raise SettingError("pattern", pattern, tr("this leaves no name; add {name}", name="{name}"))
    return name


def safe_name(text: str) -> str:
    """A text as a file name that every system takes, '' where nothing is left of it.

    >>> safe_name("a/b: c?."), safe_name("con"), safe_name("...")
    ('a-b- c-', 'con-', '')
    """
    text = unicodedata.normalize("NFC", text)
    text = "".join("-" if c in _FORBIDDEN or not c.isprintable() else c for c in text)
    text = re.sub(r" +", " ", text).strip(" .")
    while len(text.encode("utf-8", "replace")) > _LONGEST_BYTES:
        text = text[:-1].rstrip(" .")
    return f"{text}-" if text.split(".")[0].casefold() in _RESERVED else text


def order_path(folder: Path, pattern: str, fields: NameFields, suffix: str) -> Path:
    """A path in `folder` by a pattern that no file has yet: the plain name, else with a number.

    Raises
    ------
    SettingError
        As :func:`order_name`.
    """
    return free_name(folder, order_name(pattern, fields), suffix)
