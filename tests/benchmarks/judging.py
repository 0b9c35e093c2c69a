"""How long judging takes with facts kept: ``python -m tests.benchmarks.judging [--short]``.

Aim: 5,000 loads in one second on two cores, that is two seconds of processor time, and time
that grows with the number of loads alone. The facts are those of a farm that records all it can.
"""

import datetime as dt
import sys
import time

from farmrecords.rules.facts import Facts, Feature
from farmrecords.rules.judge import judge
from farmrecords.rules.rulebook import Rulebook, read_rulebook

AIM_LOADS, AIM_S = 5_000, 2.0  # two cores for one second
EVEN = 2.0  # a load among many to one among few; a quadratic way would take five times or more

KNOWN = {
    "operation.size_class": "large",
    "operation.subpart": "C",
    "operation.approach": "linear",
    "operation.programme": "nmp",
    "operation.permitted": True,
    "operation.npdes": True,
    "operation.animal_units": 1200,
    "operation.confinement": True,
    "material.class": "manure",
    "material.form": "liquid",
    "material.stored_in": "formed",
    "features.mapped": True,
    "manure_test.sampled_on": dt.date(2024, 11, 1),
    "soil_test.sampled_on": dt.date(2023, 11, 1),
    "load.method": "surface",
    "load.incorporated_same_date": False,
    "ground.frozen": False,
    "ground.snow_in": 0,
    "ground.saturated": False,
    "weather.before_24h": "recorded",
    "weather.during": "recorded",
    "weather.after_24h": "recorded",
    "field.in_watershed": [],
}
STACKS = [("us", f"us-{state}") for state in ("vt", "ia", "md", "wi", "mn", "oh", "pa")]


def facts_of(count: int) -> list[tuple[dt.date, Facts]]:
    """So many loads over one year, each near a stream and a house."""
    found = []
    for number in range(count):
        day = dt.date(2025, 1, 1) + dt.timedelta(days=number % 365)
        features = [
            Feature("stream_perennial", distance_ft=80 + number % 100, down_gradient=True),
            Feature("dwelling", distance_ft=900, owned_by_titleholder=False),
        ]
        values = {**KNOWN, "load.day": day, "load.rate_gal_per_ac": 5000 + number % 9000}
        found.append((day, Facts(values, features)))
    return found


def seconds(stack: tuple[str, ...], loads: list[tuple[dt.date, Facts]], book: Rulebook) -> float:
    """Processor seconds for judging loads whose facts are gathered."""
    begun = time.process_time()
    for day, facts in loads:
        judge(book, stack, facts, day, "load")
    return time.process_time() - begun


def per_load_ratio(stack: tuple[str, ...], few: int, many: int, book: Rulebook) -> float:
    """Seconds a load among many, as a multiple of those among few: 1 when time grows evenly."""
    seconds(stack, facts_of(few), book)  # rules are bound to their days once
    least = min(seconds(stack, facts_of(few), book) for _ in range(3)) / few
    return seconds(stack, facts_of(many), book) / many / least


def main() -> int:
    """Print processor seconds by stack; 1 when the aim is missed or time grows unevenly."""
    short = "--short" in sys.argv[1:]
    counts = (1_000, 5_000) if short else (1_000, 5_000, 20_000)
    book = read_rulebook()
    missed = False
    for stack in STACKS[:1] if short else STACKS:
        for count in counts:
            spent = seconds(stack, facts_of(count), book)
            missed |= count == AIM_LOADS and spent > AIM_S
            sys.stdout.write(f"{' '.join(stack)}: {count} loads, {spent:.2f} s\n")
        ratio = per_load_ratio(stack, counts[0], counts[-1], book)
        missed |= ratio > EVEN
        sys.stdout.write(f"    a load among {counts[-1]} to one among {counts[0]}: {ratio:.2f}\n")
    return int(missed)


if __name__ == "__main__":
    raise SystemExit(main())
