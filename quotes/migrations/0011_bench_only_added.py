"""The moves' table may have been made anew on SQLite and have lost its triggers (see 0002); offsets are only added."""

from django.db import migrations

from intake.append_only import only_added


class Migration(migrations.Migration):
    dependencies = [("quotes", "0010_expected_said_apart")]
    operations = [only_added("quotes_move", "quotes_meteroffset")]
