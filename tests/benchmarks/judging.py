"""How long judging takes with facts kept: ``python -m tests.benchmarks.judging``.

Aim: 5,000 loads in one second on two cores, that is two seconds of processor time, and time
that grows with the number of loads alone. The facts are those of a farm that records all it can.
"""

import datetime as dt
import sys
import time

from farmrecords.rules.facts import Facts, Feature
from farmrecords.rules.judge import judge
from farmrecords.rules.rulebook import read_rulebook

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


def main() -> None:
    """Print processor seconds by stack, for 1,000, 5,000 and 20,000 loads."""
    rulebook = read_rulebook()
    for stack in STACKS:
        for count in (1_000, 5_000, 20_000):
            loads = facts_of(count)
            begun = time.process_time()
            findings = sum(len(judge(rulebook, stack, facts, day, "load")) for day, facts in loads)
            spent = time.process_time() - begun
            sys.stdout.write(
                f"{' '.join(stack)}: {count} loads, {findings} findings, {spent:.2f} s\n"
            )


if __name__ == "__main__":
    main()
