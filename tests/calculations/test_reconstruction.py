"""Loads out of a weight log, judged on simulated days whose truth is known.

The thresholds were looked at with seeds 1 to 160; the seeds here were used for judging alone. What
is demanded: reference on data formats, section 6, and the project's own aims (98 % found, none
invented in pure haul, mass within 2 %, start and end within 15 s in the median).
"""

from __future__ import annotations

import os
from functools import cache

import numpy as np
import pytest

from farmrecords.calculations.reconstruction import Reconstruction, reconstruct, shares_by_place
from farmrecords.calculations.weigh_cells import summed
from farmrecords.calculations.weight_log import WeightLogError, log_of, sittings
from fixtures.simulated.weigh_logs import CAPACITY_LB, Conditions, Simulated, simulate

ASSUMED_PCT = 3.0  # of the mass while driving: working assumption, from memory
JUDGED = range(201, 261) if os.environ.get("FARMRECORDS_FULL") else range(201, 206)


@cache
def simulated(seed: int, days: int = 3, conditions: Conditions | None = None) -> Simulated:
    return simulate(seed, days, conditions)


def rebuilt(log: Simulated, capacity: float | None = CAPACITY_LB) -> Reconstruction:
    return reconstruct(log_of(*log.columns), capacity)


class Judgement:
    """Proposals held against the truth."""

    def __init__(self, conditions: Conditions) -> None:
        self.true = self.missed = self.invented = 0
        self.starts: list[float] = []
        self.ends: list[float] = []
        self.masses: list[float] = []
        for seed in JUDGED:
            self._judge(simulated(seed, 3, conditions))

    def _judge(self, log: Simulated) -> None:
        left = list(rebuilt(log).proposals)
        for load in log.loads:
            self.true += 1
            kind = "standing" if load.standing else "load"
            hits = [
                p
                for p in left
                if p.kind == kind and p.start_s < load.end_s and p.end_s > load.start_s
            ]
            if not hits:
                self.missed += 1
                continue
            best = max(hits, key=lambda p: min(p.end_s, load.end_s) - max(p.start_s, load.start_s))
            left.remove(best)
            self.starts.append(abs(best.start_s - load.start_s))
            self.ends.append(abs(best.end_s - load.end_s))
            self.masses.append(abs(best.mass / load.mass - 1) * 100)
        self.invented += len(left)

    def __str__(self) -> str:
        def told(values: list[float]) -> str:
            return " / ".join(f"{v:.2f}" for v in np.percentile(values, [50, 95, 100]))

        return (
            f"{self.true} loads, {self.missed} missed, {self.invented} invented; median / 95 % / "
            f"most: start {told(self.starts)} s, end {told(self.ends)} s, "
            f"mass {told(self.masses)} %"
        )


@pytest.mark.parametrize("noise_pct", [1.0, 3.0, 5.0])
def test_loads_are_found_where_they_were(
    noise_pct: float, capsys: pytest.CaptureFixture[str]
) -> None:
    found = Judgement(Conditions(noise_pct=noise_pct))
    with capsys.disabled():
        print(f"\nseeds {JUDGED}, noise {noise_pct:g} %: {found}")  # noqa: T201
    assert found.missed <= 0.02 * found.true
    assert found.invented <= (0.02 if noise_pct <= ASSUMED_PCT else 0.03) * found.true
    assert np.median(found.masses) <= 2
    assert np.median(found.starts) <= 15
    assert np.median(found.ends) <= 15


def invented_in_haul(noise_pct: float) -> int:
    conditions = Conditions(noise_pct=noise_pct, hauls_only=True)
    return sum(
        p.kind == "load"
        for seed in JUDGED
        for p in rebuilt(simulated(seed, 3, conditions)).proposals
    )


@pytest.mark.parametrize("noise_pct", [1.0, ASSUMED_PCT])
def test_pure_haul_gives_no_load(noise_pct: float) -> None:
    assert invented_in_haul(noise_pct) == 0


def test_pure_haul_on_ground_rougher_than_assumed_gives_hardly_a_load() -> None:
    # 18 trips a seed; what is invented is a proposal, which a person drops
    assert invented_in_haul(5.0) <= 0.005 * 18 * len(JUDGED)


def test_a_stack_is_never_a_spreading_load() -> None:
    found = Judgement(Conditions(stacks=True))
    assert found.missed <= 0.02 * found.true
    assert found.invented <= 0.02 * found.true
    standing = [
        p
        for seed in JUDGED
        for p in rebuilt(simulated(seed, 3, Conditions(stacks=True))).proposals
        if p.kind == "standing"
    ]
    assert standing


def test_a_constant_tare_changes_nothing() -> None:
    log = simulated(101)
    heavier = log_of(log.at_s, log.columns[1] + 21_500, log.lon, log.lat)
    plain, moved = rebuilt(log, None), reconstruct(heavier)
    assert [(p.start_s, p.end_s, round(p.mass)) for p in plain.proposals] == [
        (p.start_s, p.end_s, round(p.mass)) for p in moved.proposals
    ]


def test_a_shift_of_time_shifts_the_loads() -> None:
    log = simulated(102)
    later = log_of(log.columns[0] + 5000, log.weight, log.lon, log.lat)
    assert [p.start_s + 5000 for p in rebuilt(log).proposals] == [
        p.start_s for p in reconstruct(later, CAPACITY_LB).proposals
    ]


def test_half_the_readings_give_the_same_mass_within_a_percent() -> None:
    log = simulated(103)
    half = log_of(*(column[::2] for column in log.columns))
    whole = sum(p.mass for p in rebuilt(log).proposals)
    assert sum(p.mass for p in reconstruct(half, CAPACITY_LB).proposals) == pytest.approx(
        whole, rel=0.01
    )


def test_the_same_log_gives_the_same_proposals() -> None:
    log = simulated(104)
    assert rebuilt(log) == rebuilt(log)


def test_readings_in_any_order_give_the_same() -> None:
    log = simulated(105)
    order = np.random.default_rng(5).permutation(len(log.at_s))
    mixed = log_of(*(column[order] for column in log.columns))
    assert reconstruct(mixed, CAPACITY_LB) == rebuilt(log)


@pytest.mark.parametrize("minutes", [2, 10])
def test_a_gap_in_the_middle_of_a_discharge_gives_one_flagged_load(minutes: int) -> None:
    at = np.arange(2400.0)
    weight = np.interp(at, [0, 600, 600 + 900, 2400], [30_000, 30_000, 1_000, 1_000])
    lat = 43 + at * 2e-5
    middle = 600 + 450
    kept = np.abs(at - middle) > minutes * 30
    log = log_of(at[kept], weight[kept], np.full(kept.sum(), -89.5), lat[kept])
    (load,) = reconstruct(log, 30_000).proposals
    assert "silence" in load.doubts
    assert load.confidence <= 0.5
    assert load.mass == pytest.approx(29_000, rel=0.01)
    assert load.start_s == pytest.approx(600, abs=15)
    assert load.end_s == pytest.approx(1500, abs=15)


def test_a_log_without_a_discharge_gives_no_load() -> None:
    at = np.arange(3600.0)
    flat = log_of(at, np.full(3600, 20_000.0), np.full(3600, -89.5), 43 + at * 2e-5)
    assert reconstruct(flat, 30_000).proposals == ()
    assert reconstruct(flat).proposals == ()


def test_a_load_of_less_than_eight_percent_is_noise_and_one_of_more_is_a_load() -> None:
    at = np.arange(1200.0)
    lat = 43 + at * 2e-5

    def drops(share: float) -> int:
        weight = np.interp(at, [0, 500, 560, 1200], [30_000, 30_000, *(2 * [30_000 * (1 - share)])])
        return len(reconstruct(log_of(at, weight, np.full(1200, -89.5), lat), 30_000).proposals)

    assert drops(0.075) == 0
    assert drops(0.085) == 1


def test_a_dip_that_comes_back_by_itself_is_no_load() -> None:
    at = np.arange(1800.0)
    weight = np.interp(
        at, [0, 600, 660, 720, 780, 1800], [25_000, 25_000, 20_000, 20_000, 25_000, 25_000]
    )
    log = log_of(at, weight, np.full(1800, -89.5), 43 + at * 2e-5)
    assert reconstruct(log, 30_000).proposals == ()


def test_a_slow_discharge_is_found_and_said_to_be_slow() -> None:
    at = np.arange(5400.0)
    weight = np.interp(at, [0, 600, 3600, 5400], [25_000, 25_000, 5_000, 5_000])
    log = log_of(at, weight, np.full(5400, -89.5), 43 + at * 2e-5)
    (load,) = reconstruct(log, 30_000).proposals
    assert "slow" in load.doubts
    assert load.mass == pytest.approx(20_000, rel=0.02)


def test_without_positions_the_speed_is_unknown_and_said_so() -> None:
    log = simulated(101)
    nowhere = np.full(len(log.at_s), np.nan)
    found = reconstruct(log_of(log.at_s, log.weight, nowhere, nowhere), CAPACITY_LB)
    assert len(found.proposals) >= len(log.loads) - 1
    assert all("speed_unknown" in p.doubts for p in found.proposals)


def test_a_log_that_begins_inside_a_load_says_so() -> None:
    at = np.arange(600.0)
    weight = np.interp(at, [0, 200, 600], [20_000, 1_000, 1_000])
    found = reconstruct(log_of(at, weight, np.full(600, -89.5), 43 + at * 2e-5), 30_000)
    assert ["cut_at_start" in p.doubts for p in found.proposals] == [True]


def test_the_empty_weight_after_each_load_is_shown() -> None:
    log = simulated(105)
    found = rebuilt(log)
    assert len(found.tares) == len(found.proposals)
    assert abs(found.unexplained) < 0.15 * CAPACITY_LB


def test_a_stuck_cell_is_noticed_and_its_loads_are_doubtful() -> None:
    log = simulated(102, 1)
    at, weight, lon, lat = log.columns
    cells = [0.3 * weight, 0.3 * weight, 0.4 * weight]
    third = len(at) // 3
    cells[1][third : 2 * third] = cells[1][third]
    total = summed(at, cells)
    assert {(t.cell, t.kind) for t in total.troubles} == {(1, "stuck")}
    found = reconstruct(log_of(at, total.weight, lon, lat), CAPACITY_LB, total.doubtful)
    inside = [p for p in found.proposals if at[third] < p.start_s < at[2 * third]]
    assert inside
    assert all("cell" in p.doubts for p in inside)


def test_a_cell_that_drops_out_makes_a_silence_and_no_load() -> None:
    at = np.arange(1800.0)
    half = np.full(1800, 10_000.0) + np.random.default_rng(3).normal(0, 30, 1800)
    cells = [half.copy(), half[::-1].copy()]
    cells[0][:300] = cells[1][:300] = 0.0
    cells[0][900:1000] = 0.0
    total = summed(at, cells)
    assert [(t.cell, t.kind) for t in total.troubles] == [(0, "out")]
    assert np.isnan(total.weight[900:1000]).all()
    log = log_of(at, total.weight, np.full(1800, -89.5), 43 + at * 2e-5)
    assert reconstruct(log, 30_000).proposals == ()


def test_cells_that_work_make_no_trouble() -> None:
    log = simulated(103, 1)
    cells = [share * log.columns[1] for share in (0.25, 0.25, 0.5)]
    assert summed(log.columns[0], cells).troubles == ()


def test_the_mass_is_split_at_the_border_by_weight() -> None:
    # 300 lb fell before the border and 100 after it; a scale that swings up gives nothing back.
    weight = np.array([400.0, 300.0, 320.0, 100.0, 100.0, 0.0])
    assert shares_by_place(weight, ["a", "a", "a", "a", "b", "b"], 800.0) == [
        ("a", 600.0),
        ("b", 200.0),
    ]


@pytest.mark.parametrize("capacity", [0.0, -5.0, float("nan"), float("inf")])
def test_a_capacity_that_cannot_be_is_refused(capacity: float) -> None:
    with pytest.raises(WeightLogError, match="cannot be"):
        reconstruct(log_of([0, 1], [1, 2], [0, 0], [0, 0]), capacity)


def test_a_reading_without_a_moment_is_refused() -> None:
    with pytest.raises(WeightLogError, match="no moment"):
        log_of([0, float("nan")], [1, 2], [0, 0], [0, 0])


def test_an_empty_log_gives_nothing() -> None:
    empty = log_of([], [], [], [])
    assert sittings(empty) == []
    assert reconstruct(empty).proposals == ()
