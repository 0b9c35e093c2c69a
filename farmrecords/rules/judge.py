"""Facts and rulebook and day in; findings out."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from farmrecords.rules.checks import check_named
from farmrecords.rules.conditions import (
    Answer,
    Bundle,
    Getter,
    all_hold,
    any_bundle,
    unsettled,
    unsettled_bundles,
)
from farmrecords.rules.facts import Facts
from farmrecords.rules.findings import Finding, Outcome, Standing
from farmrecords.rules.model import FORM_BOUND, RuleOnDay, Verdict
from farmrecords.rules.reads import facts_read
from farmrecords.rules.rulebook import Rulebook
from farmrecords.rules.sentences import template_for

# Sentences that state a breach; a verdict that is unsettled after all must not use them.
CLOSED_KEYS = ("nearer", "barred", "beyond", "lacking", "old", "wet", "none_permitted", "needs")
Judged = tuple[Finding | None, Answer, tuple[str, ...]]
READS = "reads"
# How many sets of facts a rule remembers before it forgets them all.
REMEMBERED = 4096
STANDINGS: dict[str, Standing] = {"read": "firm", "secondary": "to_confirm", "memory": "memory"}


def judge(
    rulebook: Rulebook,
    stack: Sequence[str],
    facts: Facts,
    on: date,
    subject: str,
    *,
    confirmed: Collection[str] = (),
) -> list[Finding]:
    """The findings of each rule of the stack that concerns this subject on that day.

    ``confirmed`` holds fingerprints of rules that office or planner held against the official
    text; a secondary source then stands firm. What does not apply makes no finding.

    >>> from farmrecords.rules.rulebook import read_rulebook
    >>> facts = Facts({"load.in_road_ditch": True})
    >>> found = judge(read_rulebook(), ["us-mn"], facts, date(2024, 6, 20), "load")
    >>> [item.outcome for item in found if item.rule_id == "MN-SB-7"]
    ['not_met']
    """
    found: list[Finding] = []
    overridden: dict[str, tuple[bool | None, str, tuple[str, ...]]] = {}
    for standing in rulebook.for_stack(stack, on, subject):
        finding, scope, missing = _judge_once(standing, facts, confirmed)
        for rule_id in standing.rule.overrides:
            if scope is not False:
                overridden[rule_id] = (scope, standing.rule.id, missing)
        if finding is not None:
            found.append(finding)
    return _without_overridden(found, overridden) if overridden else found


def _judge_once(standing: RuleOnDay, facts: Facts, confirmed: Collection[str]) -> Judged:
    """What the rule said of the same facts before, or its judgement of them now."""
    reads = _reads(standing)
    if reads is None:
        return judge_rule(standing, facts, confirmed)
    known = facts.values_by_name.get
    key = (standing.rule.fingerprint in confirmed, *map(known, reads))
    found: Judged | None = standing.remembered.get(key)
    if found is None:
        found = judge_rule(standing, facts, confirmed)
        if len(standing.remembered) >= REMEMBERED:
            standing.remembered.clear()
        standing.remembered[key] = found
    return found


def _reads(standing: RuleOnDay) -> tuple[str, ...] | None:
    """The facts the rule may read, worked out once for each rule on its days."""
    if READS not in standing.remembered:
        standing.remembered[READS] = facts_read(standing.rule)
    reads: tuple[str, ...] | None = standing.remembered[READS]
    return reads


def judge_rule(standing: RuleOnDay, facts: Facts, confirmed: Collection[str] = ()) -> Judged:
    """One rule's finding (None where it does not apply), its scope, and what scope lacks."""
    if FORM_BOUND in standing.cells:
        facts = with_form(standing, facts)
    scope = scope_of(standing, facts.get)
    if scope is False:
        return None, False, ()
    lacking = scope_lacks(standing, facts.get) if scope is None else ()
    verdict = _with_exceptions(standing, facts, facts.get)
    if verdict is None:
        return None, False, ()
    if verdict.answer is False and standing.rule.enforced_if:
        verdict = _as_enforced(standing, facts.get, verdict)
    finding = _finding(standing, verdict, scope, lacking, confirmed)
    return finding, scope, lacking


def with_form(standing: RuleOnDay, facts: Facts) -> Facts:
    """The facts with liquid or solid in the rule's own sense, by its bound on solids.

    Where the share of solids is not known, the form as it was spread stands.
    """
    solids = facts.get("material.solids_pct")
    bound = standing.plain[FORM_BOUND].value
    form = facts.get("material.form")
    if isinstance(solids, Decimal) and isinstance(bound, Decimal):
        form = "solid" if solids >= bound else "liquid"
    return facts.derived("material.form_here", form)


def scope_of(standing: RuleOnDay, get: Getter) -> Answer:
    """Whether the rule applies: each condition, one of its bundles, and no exemption."""
    rule, cells = standing.rule, standing.cells
    scope = all_hold(rule.applies, get, cells) if rule.applies else True
    if scope is False:
        return False
    if rule.applies_any:
        one, _ = any_bundle(rule.applies_any, get, cells)
        if one is False:
            return False
        scope = scope and one
    if rule.exempt:
        exempt, _ = any_bundle(rule.exempt, get, cells)
        if exempt:
            return False
        if exempt is None:
            return None
    return scope


def scope_lacks(standing: RuleOnDay, get: Getter) -> tuple[str, ...]:
    """The facts that would settle whether the rule applies."""
    rule, cells = standing.rule, standing.cells
    names = list(unsettled(rule.applies, get, cells))
    if any_bundle(rule.applies_any, get, cells)[0] is None:
        names.extend(unsettled_bundles(rule.applies_any, get, cells))
    names.extend(unsettled_bundles(rule.exempt, get, cells))
    return tuple(dict.fromkeys(names))


def _as_enforced(standing: RuleOnDay, get: Getter, verdict: Verdict) -> Verdict:
    """A breach counts as one only where the rule is enforceable; else it is a notice."""
    bundles = standing.rule.enforced_if
    enforced, _ = any_bundle(bundles, get, standing.cells)
    if enforced:
        return verdict
    if enforced is False:
        return replace(verdict, soft=True)
    return replace(verdict, answer=None, missing=unsettled_bundles(bundles, get, standing.cells))


def _with_exceptions(standing: RuleOnDay, facts: Facts, get: Getter) -> Verdict | None:
    """The check's verdict, turned by an exception whose whole bundle holds."""
    rule = standing.rule
    excepted: Answer = False
    bundle: Bundle | None = None
    if rule.exceptions:
        excepted, bundle = any_bundle(rule.exceptions, get, standing.cells)
        if excepted and bundle is not None:
            return Verdict(True, "excepted", {"exception": bundle.name}, decided_by=bundle.name)
    verdict = check_named(rule.check).decide(standing, facts)
    if verdict is None or excepted is False or verdict.answer is True:
        return verdict
    missing = verdict.missing + unsettled_bundles(rule.exceptions, get, standing.cells)
    return Verdict(None, verdict.key, verdict.params, verdict.compared, missing)


def _finding(
    standing: RuleOnDay,
    verdict: Verdict,
    scope: Answer,
    lacking: tuple[str, ...],
    confirmed: Collection[str],
) -> Finding:
    rule = standing.rule
    status = standing.status
    outcome, missing = _outcome(standing, verdict, scope, lacking, status)
    level = STANDINGS[status]
    if level == "to_confirm" and rule.fingerprint in confirmed:
        level = "firm"
    key, template = template_for(rule, _message_key(verdict, outcome, status), outcome)
    params = {"title": rule.title, **verdict.params}
    if standing.force is not None:
        params["force"] = standing.force.state
    return Finding(
        rule_id=rule.id,
        title=rule.title,
        outcome=outcome,
        standing=level,
        message_key=key,
        template=template,
        params=params,
        compared=verdict.compared,
        missing=missing,
        citation=rule.citation,
        section=rule.section.path,
        status=status,
        decided_by=verdict.decided_by,
        jurisdiction=rule.jurisdiction,
        severity=rule.severity,
        source=rule.source,
        rule_fingerprint=rule.fingerprint,
        worksheet_name=rule.worksheet,
    )


def _message_key(verdict: Verdict, outcome: Outcome, status: str) -> str:
    """The sentence follows the outcome where scope, force or source weighs more than the check."""
    if status == "memory":
        return "memory"
    if outcome == "cannot_tell" and (verdict.answer is not None or verdict.key in CLOSED_KEYS):
        return "unsettled"
    return verdict.key


def _outcome(
    standing: RuleOnDay,
    verdict: Verdict,
    scope: Answer,
    lacking: tuple[str, ...],
    status: str,
) -> tuple[Outcome, tuple[str, ...]]:
    """The outcome and the facts that are missing for a better one."""
    if status == "memory":
        return "cannot_tell", tuple(dict.fromkeys((*lacking, *verdict.missing, "rule.source")))
    if verdict.answer is True:
        return "met", ()
    if verdict.answer is None or scope is None:
        return "cannot_tell", tuple(dict.fromkeys((*lacking, *verdict.missing)))
    force = standing.force.state if standing.force else "in_force"
    if force == "unclear":
        return "cannot_tell", ("rule.wording",)
    if force == "stayed" or verdict.soft or standing.rule.severity == "advise":
        return "notice", ()
    return "not_met", ()


def _without_overridden(
    found: list[Finding], overridden: dict[str, tuple[bool | None, str, tuple[str, ...]]]
) -> list[Finding]:
    """Findings of overridden rules left out, or cannot tell where the override is unsettled."""
    kept: list[Finding] = []
    for finding in found:
        by = overridden.get(finding.rule_id)
        if by is None or finding.outcome == "met":
            kept.append(finding)
        elif by[0] is None:
            missing = tuple(dict.fromkeys((*finding.missing, *by[2])))
            kept.append(replace(finding, outcome="cannot_tell", missing=missing, decided_by=by[1]))
    return kept
