"""Names by a pattern that every system takes."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from proofing.errors import SettingError
from proofing.ordering.naming import (
    FIELDS,
    START_PATTERN,
    NameFields,
    order_name,
    order_path,
    safe_name,
)

FIELD_VALUES = NameFields(
    "harbour at six", "smooth matte", 600.0, 401.3, 253.7, "Adobe RGB (1998)", "2026-11-26"
)


def test_every_field_is_filled() -> None:
    """Each of the table, and no other."""
    pattern = " ".join(f"{{{name}}}" for name in FIELDS)
    expected = "harbour-at-six smooth-matte 60 40.1 cm 254 Adobe-RGB-(1998) 2026-11-26"
    assert order_name(pattern, FIELD_VALUES) == expected
    assert set(FIELD_VALUES.values()) == set(FIELDS)
    assert order_name(START_PATTERN, FIELD_VALUES) == "harbour-at-six_60x40.1cm_smooth-matte"


def test_lengths_in_inches() -> None:
    """20 in are 508 mm."""
    inches = NameFields("a", "b", 508.0, 338.7, 300.0, "c", "d", unit="in")
    assert order_name("{width}x{height}{unit}", inches) == "20x13.3in"


@pytest.mark.parametrize(
    ("pattern", "words"),
    [("{paper}", "no field {paper}"), ("{name", "no partner"), ("name}", "no partner"),
     ("{}", "no field"), ("...", "no name"), ("", "no name"), ("{{name}}", "no partner")],
)  # fmt: skip
def test_patterns_that_cannot_be_filled(pattern: str, words: str) -> None:
    """The error says what would do."""
    with pytest.raises(SettingError, match=words) as caught:
        order_name(pattern, FIELD_VALUES)
    assert "{name}" in str(caught.value)


@given(st.text(max_size=400))
def test_any_text_is_a_safe_name_or_none(text: str) -> None:
    """No sign that a system forbids, no end in a blank or a dot, and room for a number."""
    name = safe_name(text)
    assert not set(name) & set('<>:"/\\|?*\0\n')
    assert name == name.strip(" .")
    assert len(name.encode()) <= 181
    assert safe_name(name) == name


@given(name=st.text(max_size=50), stock=st.text(max_size=50))
def test_what_fields_hold_is_no_pattern(name: str, stock: str) -> None:
    """Braces and slashes in a file's own name are only letters."""
    fields = NameFields(name, stock, 100.0, 100.0, 300.0, "s", "d")
    made = order_name("x{name}{stock}", fields)
    assert "/" not in made
    assert made.startswith("x")


@pytest.mark.parametrize("name", ["con", "NUL", "com1.tif", "Aux"])
def test_names_of_devices_are_bent(name: str) -> None:
    """One system takes them for something else (common practice)."""
    assert safe_name(name) != name


def test_a_taken_name_gets_a_number(tmp_path: Path) -> None:
    """And nothing is replaced."""
    made = []
    for _ in range(3):
        path = order_path(tmp_path, "{name}", FIELD_VALUES, ".tif")
        path.touch()
        made.append(path.name)
    assert made == ["harbour-at-six.tif", "harbour-at-six 2.tif", "harbour-at-six 3.tif"]
