"""History is only ever added to."""

from django.db import migrations

from intake.append_only import only_added


class Migration(migrations.Migration):
    dependencies = [("intake", "0001_ground_floor")]
    operations = [only_added("intake_historyentry")]
