"""Clocked minutes of one person never overlap. What was written before does not say which were clocked: it keeps its
minutes as minutes of a day, so that nothing that was counted changes."""

from typing import Any

from django.db import migrations

from shop.never_overlap import never_overlap


def keep_as_written(apps: Any, _schema_editor: Any) -> None:
    apps.get_model("shop", "WorkSession").objects.filter(ended_at__isnull=False).update(by_hand=True)


class Migration(migrations.Migration):
    dependencies = [("shop", "0003_bench_only_added")]
    operations = [
        migrations.RunPython(keep_as_written, migrations.RunPython.noop),
        never_overlap(),
    ]
