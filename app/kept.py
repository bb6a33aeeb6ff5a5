"""A print that is kept to be compared with: it hangs where the photograph does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.state import Setting

if TYPE_CHECKING:
    from proofing.engine import Baked
    from proofing.proof import Proof


@dataclass(frozen=True, eq=False)
class KeptPrint:
    """A print, ready to be drawn.

    Attributes
    ----------
    setting
        Of which print.
    baked
        Its colour function.
    proof
        What is lost on it, where that is known.
    """

    setting: Setting
    baked: Baked
    proof: Proof | None = None
