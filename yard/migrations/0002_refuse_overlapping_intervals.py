"""The database refuses a slab in two stacks, or a stack in two bays, at any moment of the past too.

The open interval is already unique (0001). This refuses overlaps of closed intervals: on PostgreSQL by exclusion
constraints, which hold under a race; on SQLite, which has one writer at a time, by triggers.
"""

from django.db import migrations

TABLES = (
    ("yard_membership", "slab_id", "slab_in_one_stack_ever", "This slab was in another stack at that time."),
    ("yard_stay", "stack_id", "stack_in_one_bay_ever", "This stack stood in another bay at that time."),
)

SQLITE_TRIGGER = """
CREATE TRIGGER {name}_{when} BEFORE {event} ON {table}
WHEN EXISTS (
    SELECT 1 FROM {table} other
    WHERE other.{key} = NEW.{key} AND other.id IS NOT NEW.id
      AND other.since IS NOT other.until AND NEW.since IS NOT NEW.until
      AND other.since < COALESCE(NEW.until, '9999-12-31')
      AND NEW.since < COALESCE(other.until, '9999-12-31')
)
BEGIN SELECT RAISE(ABORT, 'CHECK constraint failed: {name}: {message}'); END
"""


def add(apps, schema_editor):
    for table, key, name, message in TABLES:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute("CREATE EXTENSION IF NOT EXISTS btree_gist")
            schema_editor.execute(
                f"ALTER TABLE {table} ADD CONSTRAINT {name} EXCLUDE USING gist "
                f"({key} WITH =, tstzrange(since, until, '[)') WITH &&)"
            )
        else:
            for when, event in (("insert", "INSERT"), ("update", f"UPDATE OF {key}, since, until")):
                schema_editor.execute(
                    SQLITE_TRIGGER.format(
                        table=table, key=key, name=name, message=message, when=when, event=event
                    )
                )


def drop(apps, schema_editor):
    for table, _key, name, _message in TABLES:
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f"ALTER TABLE {table} DROP CONSTRAINT {name}")
        else:
            for when in ("insert", "update"):
                schema_editor.execute(f"DROP TRIGGER {name}_{when}")


class Migration(migrations.Migration):
    dependencies = [("yard", "0001_the_yards_tables")]
    operations = [migrations.RunPython(add, drop)]
