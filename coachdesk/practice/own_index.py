"""A migration's step that takes a column's own index away without writing the table anew."""

from typing import Any

from django.db.migrations import AlterField


class WithoutOwnIndex(AlterField):
    """As `AlterField` to a field that differs in `db_index=False` alone.

    SQLite would copy the whole table for it, minutes for millions of rows; dropping an index is done at once.
    """

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        model, column = self._column(app_label, from_state)
        with schema_editor.connection.cursor() as cursor:
            found = schema_editor.connection.introspection.get_constraints(cursor, model._meta.db_table)
        for name, one in found.items():
            if one["columns"] == [column] and one["index"] and not one["unique"]:
                schema_editor.execute(schema_editor.sql_delete_index % {"name": schema_editor.quote_name(name)})

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        model = to_state.apps.get_model(app_label, self.model_name)
        schema_editor.execute(schema_editor._create_index_sql(model, fields=[model._meta.get_field(self.name)]))

    def _column(self, app_label: str, state: Any) -> tuple[Any, str]:
        model = state.apps.get_model(app_label, self.model_name)
        return model, model._meta.get_field(self.name).column
