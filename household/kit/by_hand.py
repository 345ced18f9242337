"""Statements written by hand, for the little that is asked at every touch.

Django's query compiler takes five to ten times as long as the database needs for a row. Hardly
any page minds; but who is asking, what stands on Today and what a tick changes is paid for with
every answer. Values still go through the fields' own conversions, in and out, so that both
databases give what they give elsewhere.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Mapping
from typing import Any, TypeAlias

from django.db import DEFAULT_DB_ALIAS, connection
from django.db.models import Model
from django.db.models.fields import Field

AnyField: TypeAlias = "Field[Any, Any]"


class Select:
    """Reads some columns. `rest` is the statement from FROM on, with the aliases of `columns`.

    A condition of a partial index stands in it word for word: SQLite does not use such an index
    for a value that is passed. With `shared`, equal values of a column become one object, which
    must not be changed then.
    """

    def __init__(
        self, columns: Iterable[tuple[str, AnyField]], rest: str, *, shared: bool = False
    ) -> None:
        self._columns, self._rest, self._shared = tuple(columns), rest, shared
        self._local = threading.local()  # conversions belong to a connection, and so to a thread

    def rows(self, *params: Any) -> list[list[Any]]:
        if not hasattr(self._local, "sql"):
            self._prepare()
        with connection.cursor() as cursor:
            cursor.execute(self._local.sql, params)
            rows = [list(row) for row in cursor.fetchall()]
        for place, column, steps in self._local.conversions:
            known: dict[Any, Any] = {}
            for row in rows:
                raw = row[place]
                if raw in known:
                    row[place] = known[raw]
                    continue
                value = raw
                for step in steps:
                    value = step(value, column, connection)
                row[place] = value
                if self._shared:
                    known[raw] = value
        return rows

    def _prepare(self) -> None:
        names = ", ".join(f'{alias}."{field.column}"' for alias, field in self._columns)
        conversions = []
        for place, (alias, field) in enumerate(self._columns):
            column = field.get_col(alias, field)
            steps = connection.ops.get_db_converters(column) + column.get_db_converters(connection)
            if steps:
                conversions.append((place, column, steps))
        self._local.conversions = conversions
        self._local.sql = f"SELECT {names} {self._rest}"


class SelectValues:
    """Reads columns as a dict each, only to look at. `columns` maps names to alias and field."""

    def __init__(self, columns: Mapping[str, tuple[str, AnyField]], rest: str) -> None:
        self._names = tuple(columns)
        self._select = Select(columns.values(), rest, shared=True)

    def read(self, *params: Any) -> list[dict[str, Any]]:
        return [dict(zip(self._names, row, strict=True)) for row in self._select.rows(*params)]


class SelectModels:
    """Reads whole rows of some tables; None where an outer join found nothing.

    `tables` maps an alias to a model.
    """

    def __init__(self, rest: str, **tables: type[Model]) -> None:
        self._parts: list[tuple[type[Model], list[str], slice]] = []
        columns: list[tuple[str, AnyField]] = []
        for alias, model in tables.items():
            fields = model._meta.concrete_fields
            span = slice(len(columns), len(columns) + len(fields))
            self._parts.append((model, [field.attname for field in fields], span))
            columns += [(alias, field) for field in fields]
        self._select = Select(columns, rest)

    def read(self, *params: Any) -> list[tuple[Any, ...]]:
        return [
            tuple(
                None
                if row[span.start] is None
                else model.from_db(DEFAULT_DB_ALIAS, names, row[span])
                for model, names, span in self._parts
            )
            for row in self._select.rows(*params)
        ]


def insert(row: Model) -> None:
    """Write a new row as it stands: nothing that saving would fill in by itself is filled in."""
    fields = [field for field in row._meta.concrete_fields if not field.primary_key]
    names = ", ".join(f'"{field.column}"' for field in fields)
    places = ", ".join(["%s"] * len(fields))
    values = [field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields]
    with connection.cursor() as cursor:
        cursor.execute(
            f'INSERT INTO "{row._meta.db_table}" ({names}) VALUES ({places}) RETURNING id', values
        )
        row.pk = cursor.fetchone()[0]
    row._state.adding = False
    row._state.db = DEFAULT_DB_ALIAS


def update(model: type[Model], values: Mapping[str, Any], where: str, *params: Any) -> int:
    """Set these columns (by attribute name) where `where` holds; returns how many rows."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    sets = ", ".join(f'"{fields[name].column}" = %s' for name in values)
    given = [fields[name].get_db_prep_save(value, connection) for name, value in values.items()]
    return run(f'UPDATE "{model._meta.db_table}" SET {sets} WHERE {where}', *given, *params)


def run(sql: str, *params: Any) -> int:
    """Run one statement; returns how many rows it changed."""
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        return int(cursor.rowcount)
