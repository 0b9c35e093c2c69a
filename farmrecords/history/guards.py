"""Triggers of the database that refuse any change of the log, whoever asks.

An entry is never updated or deleted; a body is never deleted, and may only lose its salt and text
(redaction); a log is never deleted. Migration 0002_log_guards puts them in place.

SQLite deletes the old row of an INSERT OR REPLACE without calling the triggers for deleting, so
there a row whose key is taken is refused before it is inserted.
"""

from typing import Any

ENTRY, BODY, LOG = "farmrecords_entry", "farmrecords_body", "farmrecords_log"
REFUSAL = "the log is append-only"

_SQLITE = {
    "log_entry_no_update": f"BEFORE UPDATE ON {ENTRY}",
    "log_entry_no_delete": f"BEFORE DELETE ON {ENTRY}",
    "log_body_no_delete": f"BEFORE DELETE ON {BODY}",
    "log_body_only_redacted": (
        f"BEFORE UPDATE ON {BODY} WHEN NOT "
        "(NEW.salt IS NULL AND NEW.text IS NULL AND NEW.entry_id = OLD.entry_id)"
    ),
    "log_no_delete": f"BEFORE DELETE ON {LOG}",
    "log_keeps_its_id": f"BEFORE UPDATE ON {LOG} WHEN NEW.id <> OLD.id",
    "log_entry_no_replace": (
        f"BEFORE INSERT ON {ENTRY} WHEN EXISTS (SELECT 1 FROM {ENTRY} WHERE id = NEW.id "
        "OR (log_id = NEW.log_id AND seq = NEW.seq) "
        "OR (log_id = NEW.log_id AND client_op = NEW.client_op))"
    ),
    "log_body_no_replace": (
        f"BEFORE INSERT ON {BODY} WHEN EXISTS (SELECT 1 FROM {BODY} WHERE entry_id = NEW.entry_id)"
    ),
    "log_no_replace": (
        f"BEFORE INSERT ON {LOG} WHEN EXISTS (SELECT 1 FROM {LOG} WHERE id = NEW.id)"
    ),
}

_POSTGRESQL = {
    "log_entry_no_change": f"BEFORE UPDATE OR DELETE ON {ENTRY} FOR EACH ROW",
    "log_entry_no_truncate": f"BEFORE TRUNCATE ON {ENTRY} FOR EACH STATEMENT",
    "log_body_no_delete": f"BEFORE DELETE ON {BODY} FOR EACH ROW",
    "log_body_no_truncate": f"BEFORE TRUNCATE ON {BODY} FOR EACH STATEMENT",
    "log_body_only_redacted": (
        f"BEFORE UPDATE ON {BODY} FOR EACH ROW WHEN (NOT "
        "(NEW.salt IS NULL AND NEW.text IS NULL AND NEW.entry_id = OLD.entry_id))"
    ),
    "log_no_delete": f"BEFORE DELETE ON {LOG} FOR EACH ROW",
    "log_no_truncate": f"BEFORE TRUNCATE ON {LOG} FOR EACH STATEMENT",
    "log_keeps_its_id": f"BEFORE UPDATE ON {LOG} FOR EACH ROW WHEN (NEW.id <> OLD.id)",
}

_FUNCTION = (
    "CREATE OR REPLACE FUNCTION farmrecords_log_refuses() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{REFUSAL}' USING ERRCODE = 'integrity_constraint_violation'; "
    "END $$"
)


def install(schema_editor: Any) -> None:
    """Put the triggers in place."""
    for statement in installing(schema_editor.connection.vendor):
        schema_editor.execute(statement)


def remove(schema_editor: Any) -> None:
    """Take the triggers away: for reversing the migration, and for emptying a test database."""
    for statement in removing(schema_editor.connection.vendor):
        schema_editor.execute(statement)


def installing(vendor: str) -> list[str]:
    """The statements that put the triggers in place on "sqlite" or "postgresql"."""
    if vendor == "sqlite":
        act = f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
        return [f"CREATE TRIGGER {name} {on} {act}" for name, on in _SQLITE.items()]
    _known(vendor)
    act = "EXECUTE FUNCTION farmrecords_log_refuses()"
    return [_FUNCTION, *(f"CREATE TRIGGER {name} {on} {act}" for name, on in _POSTGRESQL.items())]


def removing(vendor: str) -> list[str]:
    """The statements that take the triggers away."""
    if vendor == "sqlite":
        return [f"DROP TRIGGER IF EXISTS {name}" for name in _SQLITE]
    _known(vendor)
    return [
        f"DROP TRIGGER IF EXISTS {name} ON {on.split(' ON ')[1].split()[0]}"
        for name, on in _POSTGRESQL.items()
    ]


def _known(vendor: str) -> None:
    if vendor != "postgresql":
        raise NotImplementedError(f"The log is guarded on SQLite and PostgreSQL, not on {vendor}.")
