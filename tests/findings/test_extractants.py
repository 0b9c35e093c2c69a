"""A number of the law belongs to one extractant; the laboratory's words say which it was."""

from __future__ import annotations

import pytest

from farmrecords.findings.load_facts import extractant_named


@pytest.mark.parametrize(
    ("written", "known"),
    [
        ("Bray P1", "bray1"),
        ("Bray-1", "bray1"),
        ("Bray 1 P", "bray1"),
        ("Bray P-2", "other"),
        ("Bray-2", "other"),
        ("Mehlich-3", "mehlich3"),
        ("Mehlich III", "mehlich3"),
        ("Mehlich 3 (ICP)", "mehlich3"),
        ("Bray P", None),
        ("Mehlich-1", "other"),
        ("modified Morgan", "modified_morgan"),
        ("Morgan", None),
        ("Bray", None),
        ("Mehlich", None),
        ("Olsen", "olsen"),
        ("", None),
    ],
)
def test_an_extractant_is_known_by_its_whole_name(written: str, known: str | None) -> None:
    assert extractant_named(written) == known
