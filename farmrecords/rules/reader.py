"""The strict reader of rule folders: every mistake is an error with path, key and remedy."""

import hashlib
import tomllib
from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from pathlib import Path
from string import Formatter
from typing import Any

from farmrecords.rules.checks import check_named, check_names
from farmrecords.rules.coverage import Coverage, CoverageRow
from farmrecords.rules.errors import RuleFileError
from farmrecords.rules.model import FORCES, LAYERS, SEVERITIES, STATUS_ORDER, Force, Rule, Section
from farmrecords.rules.reading import read_bundles, read_conditions, read_key, read_value
from farmrecords.rules.references import check_references
from farmrecords.rules.sentences import PLACES
from farmrecords.rules.sheets import worksheet_behind
from farmrecords.rules.tables import Table
from farmrecords.rules.vocabulary import SUBJECTS

# The law's own first day, or the first day on which the text read is known to have stood.
FROM_IS = ("start", "seen")
Read = tuple[list[Rule], list[Section], dict[str, Coverage]]


def load_toml(path: Path, shown_path: str) -> dict[str, Any]:
    """The file's content with exact decimals, or a RuleFileError with the parser's words."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise RuleFileError(
            shown_path, "the whole file", f"it is no TOML ({error})", "mend the place named"
        ) from error


def read_folder(root: Path) -> Read:
    """Rules, sections and coverage of a folder ``<jurisdiction>/<section>.toml``."""
    if not root.is_dir():
        raise RuleFileError(str(root), "the folder", "there is none", "name a folder of rules")
    rules: list[Rule] = []
    sections: list[Section] = []
    coverage: dict[str, Coverage] = {}
    for path in sorted(root.glob("*/*.toml")):
        shown_path = path.relative_to(root).as_posix()
        data = load_toml(path, shown_path)
        if path.name == "index.toml":
            coverage[path.parent.name] = read_index(shown_path, data)
            continue
        text = path.read_text(encoding="utf-8")
        section, found = read_section(shown_path, data, text)
        sections.append(section)
        rules.extend(found)
    _refuse_twins(rules)
    _check_across(rules, sections, coverage)
    return rules, sections, coverage


def read_text(path: str, text: str) -> tuple[Section, list[Rule]]:
    """A rule file given as text, such as the conditions of one permit."""
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        wrong = f"it is no TOML ({error})"
        raise RuleFileError(path, "the whole text", wrong, "mend the place named") from error
    return read_section(path, data, text)


def read_section(path: str, data: Mapping[str, Any], text: str) -> tuple[Section, list[Rule]]:
    """One rule file: its section and its rules."""
    whole = Table(path, "", data)
    head = whole.table("section", True)
    section = Section(
        path=path.removesuffix(".toml"),
        jurisdiction=path.split("/")[0],
        layer=head.text("layer", choices=LAYERS),
        title=head.text("title"),
        citation=head.text("citation"),
        status=head.text("status", choices=STATUS_ORDER),
        source=head.text("source"),
        compared_on=head.day("compared_on", False),
        from_on=head.day("from", False),
        from_is=head.text("from_is", False, FROM_IS),
        fingerprint=hashlib.sha256(text.encode()).hexdigest(),
        text=text,
    )
    head.finish()
    rows = whole.rows("rule", True)
    whole.finish()
    return section, [
        read_rule(path, f"rule {number}", row, section) for number, row in enumerate(rows, 1)
    ]


def read_rule(path: str, where: str, data: Any, section: Section) -> Rule:
    """One rule table of a section."""
    table = Table(path, where, data)
    rule_id = table.text("id")
    table.where = rule_id
    check = check_named(table.text("check", choices=check_names()))
    status = table.text("status", False, STATUS_ORDER) or section.status
    first, until, start_known = _read_days(table, section)
    values = tuple(
        read_value(path, f"{rule_id}, value {number}", row, status)
        for number, row in enumerate(table.rows("value"), 1)
    )
    keys = {name: read_key(table, name, key) for name, key in check.keys.items()}
    rule = Rule(
        id=rule_id,
        title=table.text("title"),
        subject=table.text("subject", choices=SUBJECTS),
        check=check.name,
        severity=table.text("severity", choices=SEVERITIES),
        citation=table.text("citation", False) or section.citation,
        status=status,
        source=table.text("source", False) or section.source,
        section=section,
        from_on=first,
        until_on=until,
        start_known=start_known,
        applies=read_conditions(path, f"{rule_id}, applies", table.rows("applies")),
        applies_any=read_bundles(path, f"{rule_id}, applies_any", table.rows("applies_any")),
        exempt=read_bundles(path, f"{rule_id}, exempt", table.rows("exempt")),
        exceptions=read_bundles(path, f"{rule_id}, exception", table.rows("exception")),
        values=values,
        keys=keys,
        words=_read_words(table),
        force=tuple(_read_force(table)),
        enforced_if=read_bundles(path, f"{rule_id}, enforced_if", table.rows("enforced_if")),
        overrides=table.texts("overrides"),
        worksheet=worksheet_behind(table.text("worksheet", False), keys),
        note=table.text("note", False),
        fingerprint=fingerprint_of(data, section),
    )
    table.finish()
    check_references(table, rule)
    for complaint in check.complaints(rule):
        raise table.fail(check.name, complaint, "mend the rule")
    return rule


def _read_days(table: Table, section: Section) -> tuple[date, date | None, bool]:
    """First and last day of a rule, and whether the first is the law's own start."""
    own = table.has("from") or section.from_on is None
    first = table.day("from", required=own) if own else section.from_on
    from_is = table.text("from_is", own, FROM_IS) or section.from_is
    if not from_is:
        raise table.fail("from_is", "nothing is given", f"write one of {', '.join(FROM_IS)}")
    until = table.day("until", False)
    assert first is not None
    if until is not None and until < first:
        raise table.fail("until", f"{until} lies before {first}", "write a later day")
    return first, until, from_is == "start"


def _read_words(table: Table) -> dict[str, str]:
    inner = table.table("words")
    words = inner.pairs()
    for key, text in words.items():
        if not isinstance(text, str) or not text.strip():
            raise inner.fail(key, f"{text!r} is no text", "write a sentence")
        for _, place, _, _ in Formatter().parse(text):
            if place is not None and place not in PLACES:
                known = ", ".join(sorted(PLACES))
                raise inner.fail(key, f"the sentence names {place!r}", f"use one of {known}")
    return words


def _read_force(table: Table) -> Iterator[Force]:
    for number, row in enumerate(table.rows("force"), 1):
        inner = Table(table.path, f"{table.where}, force {number}", row)
        first = inner.day("from")
        assert first is not None
        yield Force(
            inner.text("state", choices=FORCES),
            first,
            inner.day("until", False),
            inner.text("citation"),
        )
        inner.finish()


def fingerprint_of(data: Any, section: Section) -> str:
    """SHA-256 over a rule's table and its section's head, whatever the order of keys."""
    head = (
        *(section.citation, section.status, section.source, section.jurisdiction, section.layer),
        *(str(section.from_on), section.from_is),
    )
    return hashlib.sha256(f"{_canonical(data)}\n{head!r}".encode()).hexdigest()


def _canonical(data: Any) -> str:
    if isinstance(data, dict):
        return "{" + ",".join(f"{key}={_canonical(data[key])}" for key in sorted(data)) + "}"
    if isinstance(data, list):
        return "[" + ",".join(_canonical(item) for item in data) + "]"
    if isinstance(data, date):
        return data.isoformat()
    return repr(data)


def read_index(path: str, data: Mapping[str, Any]) -> Coverage:
    """A jurisdiction's declared coverage."""
    whole = Table(path, "", data)
    head = whole.table("jurisdiction", True)
    rows = []
    for number, row in enumerate(whole.rows("row", True), 1):
        table = Table(path, f"row {number}", row)
        name = table.text("row")
        state = table.text("state", choices=("encoded", "partly", "not_encoded", "elsewhere"))
        rules, why = table.texts("rules"), table.text("why", state != "encoded")
        if state in ("encoded", "partly") and not rules:
            raise table.fail("rules", "no rule is named", "name the rules that encode the row")
        table.finish()
        rows.append(CoverageRow(name, state, rules, why))
    coverage = Coverage(
        path.split("/")[0],
        head.text("title"),
        head.text("layer", choices=LAYERS),
        head.text("parent", False),
        head.text("as_of"),
        tuple(rows),
    )
    head.finish()
    whole.finish()
    return coverage


def _refuse_twins(rules: list[Rule]) -> None:
    seen: dict[str, str] = {}
    for rule in rules:
        if rule.id in seen:
            raise RuleFileError(
                f"{rule.section.path}.toml",
                rule.id,
                f"this id stands in {seen[rule.id]}.toml as well",
                "give each rule an id of its own",
            )
        seen[rule.id] = rule.section.path


def _check_across(
    rules: list[Rule], sections: list[Section], coverage: Mapping[str, Coverage]
) -> None:
    """Each jurisdiction declares its coverage, and each name in it and in overrides exists."""
    ids = {rule.id for rule in rules}
    for section in sections:
        if section.jurisdiction not in coverage:
            raise RuleFileError(
                f"{section.jurisdiction}/index.toml",
                "the file",
                "there is none",
                "declare coverage",
            )
    for rule in rules:
        for name in rule.overrides:
            if name not in ids:
                path = f"{rule.section.path}.toml"
                raise RuleFileError(
                    path, f"{rule.id}, overrides", f"there is no rule {name}", "mend the name"
                )
    for item in coverage.values():
        for row in item.rows:
            for name in row.rules:
                if name not in ids:
                    path = f"{item.jurisdiction}/index.toml"
                    raise RuleFileError(path, row.row, f"there is no rule {name}", "mend the name")
