"""colour-science, imported late and in silence.

The import takes up to seconds and warns about plotting libraries that are kept out of this
environment on purpose; neither belongs in front of a person who only wants a picture.
"""

from __future__ import annotations

import functools
import warnings
from typing import Any


@functools.cache
def colour_science() -> Any:
    """Import and return the `colour` package, without its remarks about missing plotting."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
        import colour.appearance
        import colour.quality
        import colour.temperature

    return colour
