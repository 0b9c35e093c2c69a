"""What is checked for this operation, and one rule with its text and numbers."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from farmrecords.findings.rulebooks import confirmed_rules, rulebook
from farmrecords.people.access import Seat, seated


@seated("see")
def coverage(request: HttpRequest, seat: Seat) -> HttpResponse:
    """Every rule in force today for the operation, by section, with its status."""
    stack = seat.operation.stack_on(seat.today)
    sections: dict[str, list] = {}
    for standing in rulebook().for_stack(stack, seat.today):
        sections.setdefault(standing.rule.section.path, []).append(standing.rule)
    context = {
        "stack": stack,
        "sections": [(rules[0].section, rules) for rules in sections.values()],
        "fingerprint": rulebook().fingerprint,
        "confirmed": confirmed_rules(seat.operation),
    }
    return render(request, "book/coverage.html", context)


@seated("see")
def rule(request: HttpRequest, seat: Seat, rule_id: str) -> HttpResponse:
    """One rule: citation, status of its source, dated values, and its file's text."""
    try:
        found = rulebook().rule(rule_id)
    except KeyError as error:
        raise Http404 from error
    context = {
        "rule": found,
        "values": found.values,
        "confirmed": found.fingerprint in confirmed_rules(seat.operation),
    }
    return render(request, "book/rule.html", context)
