"""Planted clipping: patches whose channels are at the top or bottom of the file, and near-misses.

The truth is what was planted, counted here: a pixel is clipped if a channel is at the highest code
(255 of 8 bits, 65535 of 16) or all three at the lowest; a place is pointed at if more than a
quarter of it is clipped and it covers more than a square of 20 minutes of arc (the rules stated in
proofing/findings/regions.py). One code below is not clipped.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from proofing.findings.finding import Finding
from proofing.findings.kinds import Kind
from proofing.photograph import photograph_from_array
from proofing.proof import Prover
from tests.findings.planted import Score, engine, is_near, request, score

PLACE, DOWN, ACROSS = 112, 2, 3  # pixels a side around a patch, so that none is joined to the next
MOST = 56  # pixels a side of a patch
CELL = 8  # pixels, at one minute of arc a pixel
LEAST_PX = 400.0  # pixels, likewise, in a square of 20 minutes of arc
NAMES = ("red", "green", "blue")
GROUND = 110


@dataclass(frozen=True)
class Planted:
    """One patch: (MOST, MOST, 3) codes of it and what surrounds it, and what is true of it."""

    codes: npt.NDArray[np.int64]
    clipped: bool
    near: bool
    said: frozenset[str]
    """Words the reason must hold, of the channels, white and black."""


def planted(rng: np.random.Generator, top: int) -> Planted:
    """A patch of any kind."""
    ground = round(GROUND * top / 255)
    codes = np.full((MOST, MOST, 3), ground)
    tone = rng.integers(top // 8, top - top // 8, 3)
    channels = rng.permutation(3)[: rng.integers(1, 4)]
    said = frozenset(NAMES[c] for c in channels) if len(channels) < 3 else frozenset({"white"})
    kind = rng.choice(["area", "specks", "one below", "black", "not black", "two channels"])
    if kind in ("area", "one below"):
        height, width = (int(n) for n in rng.integers(4, MOST + 1, 2))
        if rng.random() < 0.5:  # an even share of small ones
            height, width = (int(n) for n in rng.integers(4, 24, 2))
        y, x = (int(rng.integers(0, MOST - n + 1)) for n in (height, width))
        tone[channels] = top - (kind == "one below")
        codes[y : y + height, x : x + width] = tone
        area = height * width
        return Planted(
            codes,
            kind == "area" and area >= LEAST_PX,
            kind == "area" and bool(is_near(area, LEAST_PX)),
            said,
        )
    if kind == "specks":
        count = int(rng.choice([*range(1, 17), *range(17, 65, 3)]))
        codes[:] = tone
        for y, x in np.ndindex(MOST // CELL, MOST // CELL):
            cell = codes[y * CELL : (y + 1) * CELL, x * CELL : (x + 1) * CELL]
            chosen = rng.permutation(CELL**2)[:count]
            for c in channels:
                cell[chosen // CELL, chosen % CELL, c] = top
        return Planted(codes, count > CELL**2 // 4, bool(is_near(count, CELL**2 / 4)), said)
    if kind == "black":
        codes[:] = 0
        return Planted(codes, True, False, frozenset({"black"}))
    if kind == "not black":
        codes[:] = 0
        codes[..., channels] = 1
        return Planted(codes, False, False, frozenset())
    # two channels, each in its own half; and a third one in a tenth, too little to be named
    codes[:] = tone
    first, second, third = rng.permutation(3)
    codes[:, : MOST // 2, first] = top
    codes[:, MOST // 2 :, second] = top
    codes[: MOST // 10, :, third] = top - 1 if rng.random() < 0.5 else top
    return Planted(codes, True, False, frozenset({NAMES[first], NAMES[second]}))


def names_in(reason: str) -> frozenset[str]:
    return frozenset(w for w in (*NAMES, "white", "black") if w in reason.replace(",", "").split())


def lies_in(finding: Finding, index: int) -> bool:
    """Whether the middle of a finding's box is in a place."""
    x, y, width, height = finding.region.box
    row, column = divmod(index, ACROSS)
    return (int(y + height / 2) // PLACE, int(x + width / 2) // PLACE) == (row, column)


def cases(rng: np.random.Generator, dtype: type[Any]) -> tuple[Score, list[Any]]:
    """312 patches, six in a picture: the score, and the names wanted and told of those found."""
    top = int(np.iinfo(dtype).max)
    wanted: list[bool] = []
    got: list[bool] = []
    near: list[bool] = []
    names: list[tuple[frozenset[str], frozenset[str]]] = []
    while len(wanted) < 312:
        # no more than three in a picture are pointed at
        patches = [planted(rng, top) for _ in range(DOWN * ACROSS)]
        if sum(p.clipped or p.near for p in patches) > 3:
            continue
        picture = np.full((DOWN * PLACE, ACROSS * PLACE, 3), round(GROUND * top / 255), dtype)
        for index, patch in enumerate(patches):
            y, x = (n * PLACE + (PLACE - MOST) // 2 for n in divmod(index, ACROSS))
            picture[y : y + MOST, x : x + MOST] = patch.codes
        photograph = photograph_from_array(picture)
        proof = Prover(engine(), request(photograph, "baryta", 500.0, 1.0)).scan()
        for index, patch in enumerate(patches):
            here = [f for f in proof.findings if lies_in(f, index)]
            clipped = [f for f in here if f.kind is Kind.CLIPPED_IN_FILE]
            wanted.append(patch.clipped)
            got.append(bool(clipped))
            near.append(patch.near)
            if clipped and patch.clipped:
                names.append((patch.said, names_in(clipped[0].reason)))
                # what the file has lost is never blamed on the paper
                paper = (Kind.BLOWN_HIGHLIGHTS, Kind.BLOCKED_SHADOWS)
                assert not [f for f in here if f.kind in paper]
    return score(wanted, got, near), names


@pytest.mark.parametrize(("dtype", "seed"), [(np.uint8, 21), (np.uint16, 22)])
def test_planted_clipping(dtype: type[Any], seed: int) -> None:
    """312 patches each in 8 and 16 bits: areas, specks, near-misses, one to three channels, black.
    Precision and recall are at least 0.93 over all, as a place is counted in cells of 8 minutes of
    arc, and 0.97 over those not within 15 % of a threshold; the reason names the channels planted,
    and no other."""
    found, names = cases(np.random.default_rng(seed), dtype)
    print(found, f"{len(names)} reasons")
    assert found.count >= 300
    assert found.wanted >= 100
    assert found.over_all >= 0.93
    assert found.clear >= 0.97
    assert [told for _, told in names] == [said for said, _ in names]
