"""What a run of many photographs stands on: names in order, the journal, what needs a look."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing.errors import OutputError
from proofing.ordering.file_check import file_remarks
from proofing.ordering.journal import Journal, file_key, settings_key
from proofing.ordering.natural import natural_key, natural_path_key
from proofing.ordering.size import Fineness
from proofing.ordering.summary import (
    COLUMNS,
    COMPARE_COLUMNS,
    ORDER_COLUMNS,
    RANKING_COLUMNS,
    in_order,
    readable,
    summary_csv,
)
from proofing.ordering.triage import (
    UNREADABLE,
    WEIGHTS,
    Concern,
    Grade,
    Missed,
    grade_of,
    reason,
    triage,
)
from proofing.photograph import photograph_from_array


def test_names_stand_as_a_person_counts() -> None:
    """Numbers by value, capitals with small letters, folders before what differs inside them."""
    names = ["b 10.tif", "B 9.jpg", "a.tif", "b 9.tif", "b 9 (2).tif", "img007.tif", "img07.tif"]
    assert sorted(names, key=natural_key) == [
        "a.tif", "B 9.jpg", "b 9.tif", "b 9 (2).tif", "b 10.tif", "img007.tif", "img07.tif",
    ]  # fmt: skip
    paths = ["roll 10/1.tif", "roll 9/20.tif", "roll 9/3.tif"]
    assert sorted(paths, key=natural_path_key) == ["roll 9/3.tif", "roll 9/20.tif", "roll 10/1.tif"]


@given(st.lists(st.integers(0, 10**6), unique=True), st.sampled_from(["", "x", "Ä ", "7-"]))
def test_numbered_names_are_in_the_order_of_their_numbers(numbers: list[int], stem: str) -> None:
    """Whatever stands before the number."""
    names = [f"{stem}{number}.tif" for number in numbers]
    assert sorted(names, key=natural_key) == [f"{stem}{number}.tif" for number in sorted(numbers)]


def test_the_journal_goes_on_after_a_line_that_was_cut_short(tmp_path: Path) -> None:
    """What was finished is known, what was begun is known, half a line is passed over."""
    path = tmp_path / "order-journal.jsonl"
    with Journal.open(path, {"stock": "canvas"}) as journal:
        assert journal.is_new
        journal.begin("a", "a.tif")
        journal.finish("a", {"n": 1})
        journal.begin("b", "b.tif")
        journal.fail("b", "broken")
        journal.begin("c", "c.tif")
    whole = path.read_bytes()
    path.write_bytes(whole + b'{"done": "c", "rec')
    with Journal.open(path, {"stock": "canvas"}) as journal:
        assert not journal.is_new
        assert journal.done == {"a": {"n": 1}}
        assert journal.begun == {"c": "c.tif"}
        journal.finish("c", {"n": 3})
    with Journal.open(path, {"stock": "canvas"}) as journal:
        assert journal.done == {"a": {"n": 1}, "c": {"n": 3}}
    assert path.read_bytes().startswith(whole)


def test_other_settings_do_not_mix(tmp_path: Path) -> None:
    """They are refused, and the record stays as it is; anew it begins with nothing."""
    path = tmp_path / "order-journal.jsonl"
    with Journal.open(path, {"stock": "canvas"}) as journal:
        journal.finish("a", {})
    before = path.read_bytes()
    with pytest.raises(OutputError, match=r"other settings.*--overwrite"):
        Journal.open(path, {"stock": "gloss"})
    assert path.read_bytes() == before
    with Journal.open(path, {"stock": "gloss"}, anew=True) as journal:
        assert journal.is_new
        assert journal.done == {}
    with pytest.raises(OutputError, match="other settings"):
        Journal.open(path, {"stock": "canvas"})


@pytest.mark.skipif(os.name == "nt", reason="the lock is that of POSIX")
def test_two_runs_do_not_write_one_journal(tmp_path: Path) -> None:
    """The second is told to wait, or to go elsewhere."""
    with (
        Journal.open(tmp_path / "j.jsonl", {}),
        pytest.raises(OutputError, match="another run is writing"),
    ):
        Journal.open(tmp_path / "j.jsonl", {})


def test_a_file_is_another_when_it_or_the_settings_change(tmp_path: Path) -> None:
    """Its path, size and time of change, and what was set."""
    path, settings = tmp_path / "a.tif", settings_key({"stock": "canvas"})
    path.write_bytes(b"one")
    key = file_key(path, settings)
    assert file_key(path, settings) == key
    assert file_key(path, settings_key({"stock": "gloss"})) != key
    os.utime(path, ns=(1, 1))
    changed = file_key(path, settings)
    path.write_bytes(b"longer")
    os.utime(path, ns=(1, 1))
    assert len({key, changed, file_key(path, settings)}) == 3


# ---- what needs a look -----------------------------------------------------------------------


@pytest.mark.parametrize("concern", list(WEIGHTS))
def test_every_concern_is_classed_by_its_thresholds(concern: Concern) -> None:
    """Fine up to the first, worth a look above it, in need of one from the second on; there it has
    half of its points."""
    weight = WEIGHTS[concern]
    assert grade_of(concern, weight.worth) is Grade.FINE
    assert grade_of(concern, weight.worth * 1.01) is Grade.WORTH
    is_bounded = np.isfinite(weight.needs)
    looked = triage({concern: weight.needs if is_bounded else 5.0 * weight.worth})
    assert looked.points == pytest.approx(weight.weight / 2)
    if is_bounded:
        assert looked.grade is Grade.NEEDS
    else:
        assert triage({concern: 1e9}).grade is Grade.WORTH
    assert "{" not in reason(looked)
    assert looked.gravest is concern


@given(st.dictionaries(st.sampled_from(list(WEIGHTS)), st.floats(0.0, 10.0), max_size=5))
def test_more_of_a_concern_never_comes_later(costs: dict[Concern, float]) -> None:
    """Neither in class nor in points; and nothing reaches what cannot be read."""
    looked = triage(costs)
    for concern in WEIGHTS:
        worse = triage({**costs, concern: costs.get(concern, 0.0) + 0.3})
        assert worse.grade.rank <= looked.grade.rank
        assert worse.points > looked.points
        assert worse.points < UNREADABLE.points


def test_a_reason_of_colours_tells_how_many_and_how_far_off() -> None:
    """Their share and mean dE00, which together are the cost that is weighed: 40 % at 9 count as
    80 % at 4.5. What is known of another concern is not told."""
    colours, space = Missed(0.4, 9.0), Missed(0.2, 2.25)
    assert colours.cost == pytest.approx(0.8)
    assert space.cost == pytest.approx(0.1)
    missed = {Concern.COLOUR: colours, Concern.SPACE: space}
    assert reason(triage({Concern.COLOUR: colours.cost}), missed) == (
        "40 % of the picture prints in very different colours, by 9.0 ΔE00 on average."
    )
    assert reason(triage({Concern.SPACE: space.cost}), missed) == (
        "The order file's space cuts colours off in 20 % of the picture, by 2.2 ΔE00 on average."
    )
    assert "80 %" in reason(triage({Concern.COLOUR: 0.8}))


def test_thresholds_are_told_in_percent_where_they_are_shares() -> None:
    """As the shares of a photograph are told beside them; no threshold below 1 is left bare but
    those of a scale that the table explains."""
    for concern, weight in WEIGHTS.items():
        worth, needs = weight.cost_in_words(weight.worth), weight.cost_in_words(weight.needs)
        assert weight.in_percent == worth.endswith(" %") == needs.endswith(" %")
        if not weight.in_percent:
            assert concern in (Concern.EMPTY, Concern.ROOM, Concern.PROFILE, Concern.STOCK)
    assert WEIGHTS[Concern.COLOUR].cost_in_words(0.25) == "25 %"


def test_columns_name_their_units() -> None:
    """Every share is in percent, every number of points of 100; the ppi has two decimals."""
    assert not any("share" in name for name, _ in (*COLUMNS, *ORDER_COLUMNS, *RANKING_COLUMNS))
    for name, _ in (*COMPARE_COLUMNS, *RANKING_COLUMNS):
        assert "points" not in name or name.endswith("points_of_100")
    order = {"ppi": 304.79999999999995, "share_outside": 0.03, "delta_E_outside": 1.5}
    cells = {name: value({"order": order}) for name, value in ORDER_COLUMNS[1:]}
    assert cells["order_ppi"] == 304.8
    assert cells["outside_space_percent"] == 3.0


def test_the_summary_begins_with_what_cannot_be_read() -> None:
    """Then by class and points; equals by their names as a person counts."""

    def report(file: str, costs: dict[Concern, float], error: str | None = None) -> dict[str, Any]:
        looked = UNREADABLE if error else triage(costs)
        look = {"grade": looked.grade.value, "words": looked.grade.words,
                "points": looked.points, "reason": reason(looked)}  # fmt: skip
        return {"file": file, "error": error, "look": look}

    reports = [
        report("fine 10.tif", {}),
        report("fine 9.tif", {}),
        report("little.tif", {Concern.DETAIL: 0.02}),
        report('=much, "or" more\n.tif', {Concern.DETAIL: 0.2}),
        report("several.tif", {Concern.DETAIL: 0.2, Concern.CLIPPED: 0.05}),
        report("unread\udcff.tif", {}, "cut short"),
    ]
    names = [each["file"] for each in in_order(reports)]
    assert names == [
        "unread\udcff.tif", "several.tif", "=much, \"or\" more\n.tif", "little.tif", "fine 9.tif",
        "fine 10.tif",
    ]  # fmt: skip
    table = summary_csv(reports, "order")
    assert table.count("\r\n") == 7  # RFC 4180: each row ends so, a line end in a cell is its own
    rows = list(csv.DictReader(io.StringIO(table, newline="")))
    assert [row["file"] for row in rows] == [
        readable("unread\udcff.tif"), "several.tif", "./=much, \"or\" more\n.tif", "little.tif",
        "fine 9.tif", "fine 10.tif",
    ]  # fmt: skip
    assert rows[0]["look"] == "needs a look"
    assert rows[0]["error"] == "cut short"
    assert rows[3]["reason"] == "Detail is lost in 2.0 % of the picture."
    assert rows[0]["width_px"] == ""
    assert len(set(rows[0])) == len(rows[0]) >= len(COLUMNS)
    table.encode("utf-8")


def test_remarks_on_a_file_name_what_is_wrong_with_it_and_nothing_else() -> None:
    """No profile, 8 bits, clipped parts, too few pixels; of a good file nothing is said."""
    codes = np.random.default_rng(1).integers(20, 230, (40, 60, 3)).astype(np.uint8)
    codes[:4] = 255
    bad = photograph_from_array(codes).facts
    remarks = " ".join(file_remarks(bad, Fineness((60, 40), (300.0, 200.0), 0.5)))
    for part in ("sRGB is assumed", "10 % of its pixels are clipped", "5 ppi at 30 × 20 cm",
                 "8 bits a channel"):  # fmt: skip
        assert part in remarks
    lifted = file_remarks(bad, Fineness((60, 40), (15.0, 10.0), 0.5), is_lifted=True)
    assert "steps" in lifted[-1]
    good = dataclasses.replace(
        bad, bits=16, note="", profile_status="embedded", share_clipped=0.001
    )
    assert file_remarks(good, Fineness((6000, 4000), (300.0, 200.0), 0.5)) == ()
    assert json.dumps(remarks)
