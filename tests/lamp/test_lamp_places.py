"""Keys are found on the line a reader would point at."""

from __future__ import annotations

from shadewright.lamp.places import line_of, lines_of_keys

TEXT = """# head
a = 1
[x."y z".w]
b.c = { d = 1, "e" = [1,
  2, { f = 3 }] }

[x]
'q' = '''
[not.a.table]
'''
[[rows]]
r = 2
[[rows]]
s = 2
"""


def test_every_way_of_writing_a_key_has_its_line() -> None:
    lines = lines_of_keys(TEXT)

    assert lines["a",] == 2
    assert lines["x",] == lines["x", "y z"] == lines["x", "y z", "w"] == 3
    assert lines["x", "y z", "w", "b"] == lines["x", "y z", "w", "b", "c", "d"] == 4
    assert lines["x", "y z", "w", "b", "c", "e", 0] == 4
    assert lines["x", "y z", "w", "b", "c", "e", 1] == 5
    assert lines["x", "y z", "w", "b", "c", "e", 2, "f"] == 5
    assert lines["x", "q"] == 8
    assert ("not",) not in lines
    assert (lines["rows",], lines["rows", "r"], lines["rows", "s"]) == (11, 12, 14)


def test_what_has_no_line_stands_where_its_table_does() -> None:
    lines = lines_of_keys("[part.shade]\nmodel = 1\n")

    assert line_of(("part", "shade", "copies"), lines) == 1
    assert line_of(("joint",), lines) is None


def test_characters_wider_than_a_byte_do_not_shift_lines() -> None:
    assert lines_of_keys('a = "äöü→"\r\n\r\nb = 1\r\n')["b",] == 3
