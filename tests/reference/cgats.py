"""Reading measurement sets in the exchange text format of ISO 28178 (CGATS.17)."""

from __future__ import annotations

import gzip
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

ICC_FOLDER = Path(__file__).parent / "icc"
"""Where the committed sets and profiles are; `LICENCE.md` beside them says whose they are."""

_WORD = re.compile(r'"([^"]*)"|(\S+)')


@dataclass(frozen=True)
class MeasurementSet:
    """A table of patches.

    Attributes
    ----------
    keywords
        What the head of the file says, by keyword.
    fields
        Column names, in order.
    rows
        One tuple of texts per patch.
    """

    keywords: dict[str, str]
    fields: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def columns(self, *names: str) -> npt.NDArray[np.float64]:
        """(N, number of names), the columns of those names, as they stand in the file."""
        places = [self.fields.index(name) for name in names]
        return np.array([[float(row[place]) for place in places] for row in self.rows])

    @property
    def CMYK(self) -> npt.NDArray[np.float64]:
        """(N, 4) ink amounts as fractions, 1 for full ink."""
        return self.columns("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K") / 100.0

    @property
    def XYZ(self) -> npt.NDArray[np.float64]:
        """(N, 3), D50, ``Y = 1`` for the perfect diffuser."""
        return self.columns("XYZ_X", "XYZ_Y", "XYZ_Z") / 100.0

    @property
    def Lab(self) -> npt.NDArray[np.float64]:
        """(N, 3), D50, relative to the perfect diffuser."""
        return self.columns("LAB_L", "LAB_A", "LAB_B")


def read_set(path: Path | str) -> MeasurementSet:
    """Read a set, packed with gzip or not.

    Parameters
    ----------
    path
        A file, or the bare name of one of the committed sets, such as ``'FOGRA39L'``.

    Raises
    ------
    ValueError
        Fewer or more values than the file announces.
    """
    path = Path(path)
    if not path.suffix:
        path = ICC_FOLDER / f"{path}.cgats.gz"
    data = path.read_bytes()
    text = (gzip.decompress(data) if data[:2] == b"\x1f\x8b" else data).decode("latin-1")
    keywords: dict[str, str] = {}
    fields: list[str] = []
    values: list[str] = []
    into: list[str] | None = None
    for line in text.splitlines()[1:]:  # the first line names the kind of file
        words = [quoted or plain for quoted, plain in _WORD.findall(_without_comment(line))]
        if not words:
            continue
        if words[0].startswith("BEGIN_DATA"):
            into = fields if words[0] == "BEGIN_DATA_FORMAT" else values
        elif words[0].startswith("END_DATA"):
            into = None
        elif into is not None:
            into += words
        else:
            keywords[words[0]] = " ".join(words[1:])
    width = len(fields)
    if not width or len(values) != width * int(keywords["NUMBER_OF_SETS"]):
        raise ValueError(f"{path.name}: {len(values)} values do not fill the table")
    rows = tuple(tuple(values[at : at + width]) for at in range(0, len(values), width))
    return MeasurementSet(keywords, tuple(fields), rows)


def _without_comment(line: str) -> str:
    """The line up to a ``#`` that stands outside quotes."""
    quoted = False
    for at, character in enumerate(line):
        if character == '"':
            quoted = not quoted
        elif character == "#" and not quoted:
            return line[:at]
    return line
