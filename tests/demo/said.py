"""Every kind of finding of the loaded demonstration in words: ``python -m tests.demo.said``.

Prints JSON: a list of [operation, outcome, rule, sentence, Spanish sentence], one for each way a
rule spoke.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import sys
from typing import Any

import django


def said() -> list[list[str]]:
    """One sentence for each operation, rule, outcome and way of saying it."""
    from django.utils import translation

    from farmrecords.findings.judging import Judge
    from farmrecords.findings.words import said as in_words
    from farmrecords.loads.models import Load
    from farmrecords.loads.year import operation_years, years_of
    from farmrecords.people.models import Operation

    found: dict[tuple[str, ...], Any] = {}
    for operation in Operation.objects.order_by("slug"):
        judge = Judge(operation)
        loads = (
            Load.objects.filter(operation=operation)
            .counted()
            .select_related("operation", "spreader", "rate_test", "content_test", "facts")
            .prefetch_related("parts__field__operation", "draws__storage")
        )
        for findings in map(judge.load, loads):
            for one in findings:
                found.setdefault((operation.slug, one.outcome, one.rule_id, one.template), one)
        for crop_year in operation_years(operation):
            for year in years_of(operation, crop_year).values():
                for one in judge.field_year(year):
                    found.setdefault((operation.slug, one.outcome, one.rule_id, one.template), one)
        for one in of_the_farm(operation, judge):
            found.setdefault((operation.slug, one.outcome, one.rule_id, one.template), one)
    rows = []
    for (slug, outcome, rule_id, _template), one in sorted(found.items()):
        with translation.override("es"):
            spanish = in_words(one)
        rows.append([slug, outcome, rule_id, one.sentence, spanish])
    return rows


def of_the_farm(operation: Any, judge: Any) -> list[Any]:
    """What is said of storages, transfers, the operation and the report of its last full year."""
    from farmrecords.findings.farm_judging import FarmJudge, year_of
    from farmrecords.history import clock
    from farmrecords.report import content
    from farmrecords.report.report_facts import report_facts
    from farmrecords.report.rows import read

    today = clock.today(operation.time_zone)
    first = year_of(operation, today)[0]
    last_full = year_of(operation, first - dt.timedelta(days=1))
    found = []
    for period in (year_of(operation, today), last_full):
        found += [told.finding for told in FarmJudge(judge, *period).told()]
    report, rows = content.build(operation, *last_full), read(operation, *last_full)
    facts = report_facts(rows, report, today)
    return found + FarmJudge(judge, *last_full).of_facts([facts], "report")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "farmrecords.settings")
    django.setup()
    sys.stdout.write(json.dumps(said(), ensure_ascii=False))
