"""Plant-available nitrogen by system, against each source's tables and examples."""

import pytest

from farmrecords.calculations.available_nitrogen import (
    AvailabilityError,
    EarlierEvent,
    available_share,
    factor,
    first_year,
    later_share,
    residual_credit_lb_per_ac,
    system_named,
    systems,
)
from farmrecords.calculations.manure_test import ManureContent

SLURRY = ManureContent("liquid", 25.0, 12.0, 13.0, 10.0, 20.0)
COW = "cow, below 18 % dry matter"


def test_montana_worked_example():
    # CV-2.1, Montana State, CNMP step 5: total 21, ammonium 8, organic 13; 3.25 + 5.28 = 8.53
    # lb/ton; 18.8 ton/ac
    manure = ManureContent("solid", 21.0, 8.0, 13.0, 18.0, None)
    found = first_year(manure, system_named("MT"), "solid with bedding", "surface")
    assert found.from_organic == pytest.approx(3.25)
    assert found.available_n == pytest.approx(8.53, abs=0.005)
    assert 160 / found.available_n == pytest.approx(18.8, abs=0.05)
    assert found.evidence == "read"


def test_cornell_decay_series():
    # CV-2.2: 10 ton/ac at 5 lb organic N: 17.5 this year, 6.0 and 2.5 from the two before
    manure = ManureContent("solid", 5.0, 0.0, 5.0, None, None)
    ny = system_named("NY")
    now = first_year(manure, ny, COW, "injected")
    assert now.from_organic * 10 == 17.5
    events = [EarlierEvent(year, 10, manure, COW) for year in (2023, 2024, 2025, 2026)]
    assert residual_credit_lb_per_ac(2026, events[2:], ny) == pytest.approx(6.0)
    assert residual_credit_lb_per_ac(2026, events, ny) == pytest.approx(8.5)
    assert now.from_organic * 10 + residual_credit_lb_per_ac(2026, events, ny) == pytest.approx(26)


def test_alberta_takes_another_row_for_a_liquid_left_on_bare_soil():
    """Agdex 400/28-3 (read): such a liquid counts as worked in within a day, 0.75 and not 0.34."""
    ab = system_named("AB")
    liquid = ManureContent("liquid", None, 10.0, 0.0, None, None)
    solid = ManureContent("solid", None, 10.0, 0.0, None, None)
    row = "liquid on bare soil, not incorporated"
    assert first_year(liquid, ab, "fresh", row, "average").available_n == pytest.approx(7.5)
    assert [factor(ab, "ammonium", row, one) for one in ("cool-wet", "warm-dry")] == [0.90, 0.50]
    assert first_year(solid, ab, "fresh", "not incorporated", "average").available_n == (
        pytest.approx(3.4)
    )
    with pytest.raises(AvailabilityError, match=r"not for a liquid\. Use: liquid on bare soil"):
        first_year(liquid, ab, "fresh", "not incorporated", "average")


def test_alberta_cover_crop_row_has_its_average_only():
    ab = system_named("AB")
    assert factor(ab, "ammonium", "on a cover crop or residue", "average") == 0.65
    with pytest.raises(AvailabilityError, match="no figure"):
        factor(ab, "ammonium", "on a cover crop or residue", "warm-wet")


@pytest.mark.parametrize(
    ("column", "share"),
    [
        ("broadcast, more than 96 h or never", 0.25),
        ("broadcast, 12-96 h", 0.45),
        ("broadcast, within 12 h", 0.60),
        ("sweep injected", 0.60),
        ("knife injected", 0.50),
    ],
)
def test_minnesota_beef_row(column, share):
    # Minnesota extension, beef rows read
    found = first_year(SLURRY, system_named("MN"), "beef", column)
    assert (found.available_n, found.evidence) == (25.0 * share, "read")


def test_a_row_from_memory_says_so():
    found = first_year(SLURRY, system_named("MN"), "dairy", "sweep injected")
    assert found.evidence == "memory"
    assert first_year(SLURRY, system_named("NY"), COW, "injected").evidence == "memory"


def test_iowa_gives_both_ends_of_its_range():
    ends = [
        first_year(SLURRY, system_named("IA"), "beef or dairy", "injected", end).available_n
        for end in ("lower", "upper")
    ]
    assert ends == pytest.approx([25 * 0.30 * 0.98, 25 * 0.50 * 1.00])


def test_nebraska_sprinkler_and_release():
    # High Plains Journal of 2022-04-11: 80 % above 0.4 in, 40 % at or below; Nebraska extension
    # G1335: 40, 20, 10 %
    ne = system_named("NE")
    most = ne.rows("organic")[0]
    assert factor(ne, "ammonium", "sprinkler, more than 0.4 in") == 0.8
    assert factor(ne, "ammonium", "sprinkler, 0.4 in or less") == 0.4
    assert [factor(ne, "organic", most), later_share(ne, most, 1), later_share(ne, most, 2)] == [
        0.4,
        0.2,
        0.1,
    ]


@pytest.mark.parametrize(
    ("name", "material", "application", "words"),
    [
        ("NE", "most manures (no layer manure, no composted feedlot)", "broadcast", "no figure"),
        ("MI", "dairy", "injected", "holds no organic table"),
        ("NY", "llama", "injected", "no figure for 'llama'"),
        ("MN", "poultry", "knife injected", "no figure"),
        ("MN", "beef", "by drone", "no column"),
    ],
)
def test_a_figure_the_system_does_not_hold_is_refused(name, material, application, words):
    with pytest.raises(AvailabilityError, match=words):
        first_year(SLURRY, system_named(name), material, application)


def test_a_year_without_a_figure_is_not_taken_as_nothing():
    for name, material in (("MT", "solid with bedding"), ("PA", "swine")):
        with pytest.raises(AvailabilityError, match="states no figure"):
            later_share(system_named(name), material, 1)
    with pytest.raises(AvailabilityError, match="year after"):
        later_share(system_named("NY"), COW, 0)


def test_an_untested_part_is_refused():
    with pytest.raises(AvailabilityError, match="ammonium_n"):
        first_year(
            ManureContent("liquid", 25.0, None, None, None, None), system_named("NY"), COW,
            "injected",
        )  # fmt: skip
    with pytest.raises(AvailabilityError, match="No system"):
        system_named("XX")


def test_crop_year_counts_not_the_calendar():
    same_crop = [EarlierEvent(2026, 10, SLURRY, COW), EarlierEvent(2027, 10, SLURRY, COW)]
    assert residual_credit_lb_per_ac(2026, same_crop, system_named("NY")) == 0.0


def test_phosphate_and_potash_availability():
    # Agdex 400/28-3 page 174: P 70 / 20 / 6 %, K 90 %
    ab = system_named("AB")
    assert [available_share(ab, "p2o5", year) for year in (1, 2, 3)] == [0.7, 0.2, 0.06]
    assert available_share(ab, "k2o") == 0.9
    with pytest.raises(AvailabilityError, match="states no"):
        available_share(ab, "k2o", 2)
    with pytest.raises(AvailabilityError, match="states no"):
        available_share(system_named("NY"), "p2o5")


@pytest.mark.parametrize("system", systems().values(), ids=lambda system: system.id)
def test_every_factor_is_a_share_and_every_table_says_how_well_it_is_known(system):
    for name in ("ammonium", "organic", "total", "volatilisation"):
        table = system.tables.get(name)
        if table is None:
            continue
        assert table["evidence"] in ("read", "memory")
        for row, shares in table["rows"].items():
            assert all(0 <= share <= 1 for share in shares), row
