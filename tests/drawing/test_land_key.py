"""The key of a map of land: what each shade stands for, in figures that differ."""

import pytest

from farmrecords.drawing.inputs import Words
from farmrecords.drawing.land_frame import Density, key_entries


@pytest.mark.parametrize(
    ("amounts", "printed"),
    [
        ([2.64, 2.70, 2.76], ["2.64–2.68 ton/ac", "2.68–2.72", "2.72–2.76"]),
        ([2.0, 3.0, 5.0], ["2–3 ton/ac", "3–4", "4–5"]),
        ([2.5, 2.5], ["2.5 ton/ac"]),
        ([8000.0, 9000.0], ["8,000–8,500 ton/ac", "8,500–9,000"]),
    ],
)
def test_no_two_edges_of_the_shades_are_printed_alike(
    amounts: list[float], printed: list[str]
) -> None:
    """Equal steps between the least and the most amount, worked by hand."""
    entries = key_entries(Density.over(amounts), "ton/ac", False, False, Words())
    assert [entry.words for entry in entries] == printed
