"""Run written situations, print their findings, and compare them with what they expect."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from farmrecords.findings.drafts import changed_findings
from farmrecords.people.models import Operation
from farmrecords.rules.ahead import changed_by
from farmrecords.rules.cases import Case, case_files, differences, read_cases
from farmrecords.rules.coverage import count
from farmrecords.rules.errors import RuleFileError
from farmrecords.rules.findings import OUTCOMES, Finding
from farmrecords.rules.rulebook import DATA, Rulebook, read_rulebook
from farmrecords.rules.vocabulary import TERMS

SIGNS = {"met": "met", "not_met": "NOT MET", "cannot_tell": "cannot tell", "notice": "notice"}


class Command(BaseCommand):
    """``manage.py judge CASE.toml`` or a folder; ``--coverage``; ``--rules DRAFT_FOLDER``,
    alone, with ``--compare``, or with ``--operation NAME --year YEAR``."""

    help = "Judge written situations by the rulebook and compare with what they expect."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("cases", nargs="*", type=Path, help="case files or folders of them")
        parser.add_argument("--rules", type=Path, default=DATA, help="another folder of rules")
        parser.add_argument("--coverage", action="store_true", help="what is encoded, by status")
        parser.add_argument("--json", action="store_true", help="findings as JSON")
        parser.add_argument("--compare", action="store_true", help="against the packaged rules")
        parser.add_argument("--operation", help="short name: its year under the --rules folder")
        parser.add_argument("--year", type=int, help="crop year of the operation")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            rulebook = read_rulebook(options["rules"])
            cases = [
                case
                for place in options["cases"]
                for path in case_files(place)
                for case in read_cases(path)
            ]
        except (RuleFileError, OSError) as error:
            raise CommandError(str(error)) from error
        if options["coverage"]:
            self._coverage(rulebook)
        if options["operation"]:
            self._year(options["operation"], options["year"], rulebook)
            return
        if not cases:
            if not options["coverage"]:
                raise CommandError("Name a case file or a folder of them, or ask for --coverage.")
            return
        if options["compare"]:
            self._compare(read_rulebook(), rulebook, cases)
            return
        self._run(rulebook, cases, options["json"])

    def _run(self, rulebook: Rulebook, cases: list[Case], as_json: bool) -> None:
        """Print each case's findings; end with an error if one is not as expected."""
        wrong = 0
        shown = []
        for case in cases:
            found = case.found(rulebook)
            unlike = differences(case, found)
            wrong += len(unlike)
            if as_json:
                shown.append(_as_dict(case, found, unlike))
                continue
            self.stdout.write(f"\n{case.title}\n  {case.path}, {case.on}, {', '.join(case.stack)}")
            for finding in sorted(found, key=lambda item: OUTCOMES.index(item.outcome)):
                self._show(finding)
            for line in unlike:
                self.stdout.write(f"  !! {line}")
        if as_json:
            self.stdout.write(json.dumps(shown, indent=2))
        if wrong:
            raise CommandError(f"{wrong} finding(s) are not as expected.")

    def _show(self, finding: Finding) -> None:
        standing = "" if finding.standing == "firm" else f" ({finding.standing.replace('_', ' ')})"
        self.stdout.write(f"  {SIGNS[finding.outcome]}{standing}  {finding.sentence}")
        self.stdout.write(f"      {finding.rule_id}, {finding.citation}")
        for row in finding.compared:
            self.stdout.write(f"      {row.text()}")
        if finding.missing:
            words = "; ".join(TERMS[name].meaning for name in finding.missing)
            self.stdout.write(f"      not known: {words}")

    def _compare(self, now: Rulebook, draft: Rulebook, cases: list[Case]) -> None:
        """Print each finding that the draft would change."""
        changed = 0
        for case in cases:
            rows = changed_by(now, draft, case.stack, case.facts, case.on, case.subject)
            for rule, was, becomes in rows:
                changed += 1
                self.stdout.write(f"{case.title}: {rule}: {was} -> {becomes}")
        self.stdout.write(f"{changed} finding(s) would change.")

    def _year(self, slug: str, year: int | None, draft: Rulebook) -> None:
        """Print every finding of an operation's crop year that the draft would change."""
        operation = Operation.objects.filter(slug=slug).first()
        if operation is None:
            known = ", ".join(Operation.objects.order_by("slug").values_list("slug", flat=True))
            raise CommandError(f"There is no operation {slug!r}; there are: {known or 'none'}.")
        if year is None:
            raise CommandError("Name the crop year with --year.")
        changed = list(changed_findings(operation, year, draft))
        for row in changed:
            self.stdout.write(f"{row.record}: {row.rule_id}: {row.now} -> {row.then}")
        self.stdout.write(f"{len(changed)} finding(s) would change.")

    def _coverage(self, rulebook: Rulebook) -> None:
        """Print rules by status and declared rows by state, per jurisdiction."""
        for name, coverage in sorted(rulebook.coverage.items()):
            rules = [rule for rule in rulebook.rules if rule.jurisdiction == name]
            by_status = _in_words(count(rule.weakest_status for rule in rules))
            self.stdout.write(f"{name}: {coverage.title}, as of {coverage.as_of}")
            self.stdout.write(f"  {len(rules)} rules ({by_status})")
            self.stdout.write(f"  {len(coverage.rows)} rows ({_in_words(coverage.counts())})")
            for row in coverage.rows:
                if row.why:
                    self.stdout.write(f"    {row.state.replace('_', ' ')}: {row.row}: {row.why}")
        whole = _in_words(count(rule.weakest_status for rule in rulebook.rules))
        self.stdout.write(f"All: {len(rulebook.rules)} rules ({whole}).")
        self.stdout.write(f"Fingerprint {rulebook.fingerprint}")


def _in_words(counts: dict[str, int]) -> str:
    return ", ".join(f"{number} {name.replace('_', ' ')}" for name, number in counts.items())


def _as_dict(case: Case, found: list[Finding], unlike: list[str]) -> dict[str, Any]:
    return {
        "title": case.title,
        "path": case.path,
        "on": case.on.isoformat(),
        "findings": [finding.as_dict() for finding in found],
        "differences": unlike,
    }
