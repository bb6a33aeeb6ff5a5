"""Names in the order in which a person counts them.

>>> sorted(["10.tif", "9.tif", "a2b.tif", "A10.tif", "a2.tif"], key=natural_key)
['9.tif', '10.tif', 'a2.tif', 'a2b.tif', 'A10.tif']
"""

from __future__ import annotations

import re
import unicodedata
from pathlib import PurePath

Key = tuple[tuple[tuple[int, int, str], ...], str]


def natural_key(name: str) -> Key:
    """What a name is sorted by: runs of digits by their value, letters whatever their case.

    Names that differ in nothing else (``img7``, ``img07``) keep an order of their own.

    >>> natural_key("img7") < natural_key("IMG08") < natural_key("img12")
    True
    """
    stem, dot, ending = name.rpartition(".")
    parts = [*_parts(stem), (-1, 0, ""), *_parts(ending)] if dot and stem else [*_parts(name)]
    return tuple(parts), name


def natural_path_key(path: PurePath | str) -> tuple[Key, ...]:
    """The same for a path, folder by folder.

    >>> paths = ["b/1.tif", "a10/1.tif", "a9/2.tif", "a9/10.tif"]
    >>> sorted(paths, key=natural_path_key)
    ['a9/2.tif', 'a9/10.tif', 'a10/1.tif', 'b/1.tif']
    """
    return tuple(natural_key(part) for part in PurePath(path).parts)


def _parts(text: str) -> list[tuple[int, int, str]]:
    folded = unicodedata.normalize("NFKC", text).casefold()
    return [
        (0, int(run), "") if run.isdecimal() else (1, 0, run)
        for run in re.findall(r"\d+|\D+", folded)
    ]
