"""Lengths as people write them."""

from __future__ import annotations

import pytest

from shadewright.lamp.units import bare_number, in_millimetres, tidy


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("12 mm", 12),
        ("12mm", 12),
        ("12", 12),
        ("0,4", 0.4),
        ("1.2 cm", 12),
        ("0.5 m", 500),
        ("200 µm", 0.2),
        # The inch is 25.4 mm exactly: international yard and pound agreement, 1959.
        ("1/2 in", 12.7),
        ("1.5 in", 38.1),
        ('1 1/2"', 38.1),
        ("1-1/2 inch", 38.1),
        ("2 ft", 609.6),
        ("-3 mm", -3),
    ],
)
def test_lengths_are_read_with_their_unit(text: str, millimetres: float) -> None:
    assert in_millimetres(text) == pytest.approx(millimetres)


@pytest.mark.parametrize("text", ["", "mm", "about 12", "12 parsec", "1/0 in", "12 mm x 3", "1e9999", "½ in"])
def test_what_is_no_length_is_none(text: str) -> None:
    assert in_millimetres(text) is None


def test_other_numbers_lose_their_unit_and_percent_becomes_a_fraction() -> None:
    assert bare_number("7 W") == 7
    assert bare_number("22 °C") == 22
    assert bare_number("15%") == pytest.approx(0.15)
    assert bare_number("warm") is None


def test_numbers_are_written_as_a_person_would() -> None:
    assert [tidy(value) for value in (12.7, 12.0, 0.1 + 0.2, 1500.0)] == ["12.7", "12", "0.3", "1500"]
