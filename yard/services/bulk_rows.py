"""Inserting tens of thousands of rows within seconds, where making a model object of each takes too long."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import connection
from django.db.models import Field, Model
from django.utils import timezone

ROWS_AT_A_TIME = 2000


def rows_insert(model: type[Model], rows: Sequence[Mapping[str, Any]], **for_all: Any) -> None:
    """Insert rows in the caller's transaction, each given by its columns (`species_key`, `log_id`).

    `for_all` holds values that every row has; what neither gives is the field's default, worked out once, so a
    column that has to differ by row (a short code, a client key) must be among the rows' own.
    """
    if not rows:
        return
    fields = [field for field in model._meta.concrete_fields if not field.primary_key]
    own = {name for row in rows for name in row}
    unknown = (own | for_all.keys()) - {field.attname for field in fields}
    if unknown:
        raise TypeError(f"no columns of {model.__name__}: {', '.join(sorted(unknown))}")
    doubled = [field.attname for field in fields if field.unique and field.attname not in own]
    if doubled and len(rows) > 1:
        raise TypeError(f"every row needs its own {', '.join(doubled)}")
    same = {field.attname: _prepared(field, for_all.get(field.attname, _default(field))) for field in fields}
    varied = [(place, field) for place, field in enumerate(fields) if field.attname in own]
    plain = [same[field.attname] for field in fields]
    quote = connection.ops.quote_name
    columns = ", ".join(quote(field.column) for field in fields)
    sql = f"INSERT INTO {quote(model._meta.db_table)} ({columns}) VALUES ({', '.join(['%s'] * len(fields))})"
    with connection.cursor() as cursor:
        for start in range(0, len(rows), ROWS_AT_A_TIME):
            cursor.executemany(sql, [_params(plain, varied, row) for row in rows[start : start + ROWS_AT_A_TIME]])


def _default(field: Field) -> Any:
    is_moment = getattr(field, "auto_now", False) or getattr(field, "auto_now_add", False)
    return timezone.now() if is_moment else field.get_default()


def _params(plain: list[Any], varied: list[tuple[int, Field]], row: Mapping[str, Any]) -> list[Any]:
    params = plain.copy()
    for place, field in varied:
        if field.attname in row:
            params[place] = _prepared(field, row[field.attname])
    return params


def _prepared(field: Field, value: Any) -> Any:
    """The value as the database takes it; plain numbers and text go as they are."""
    if (
        value is None
        or type(value) in (float, str)
        or (type(value) is int and field.get_internal_type() != "JSONField")
    ):
        return value
    return field.get_db_prep_save(value, connection)
