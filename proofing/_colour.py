"""colour-science, imported late and in silence: the one door to it.

The import takes up to seconds and warns about a plotting library that is kept out of this
environment on purpose; neither belongs in front of a person who only wants a picture.
"""

from __future__ import annotations

import functools
import warnings
from typing import Any


@functools.cache
def colour_science() -> Any:
    """Import and return the `colour` package, without its remark about missing plotting.

    Only that remark is silenced; any other warning of the import is let through.
    """
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message='"Matplotlib" related API features')
        import colour
        import colour.appearance
        import colour.quality
        import colour.temperature

    return colour
