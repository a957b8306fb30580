"""The payments' table was made anew on SQLite and has lost its triggers; see 0004."""

from django.db import migrations

from intake.append_only import only_added


class Migration(migrations.Migration):
    dependencies = [("quotes", "0007_what_coins_left")]
    operations = [only_added("quotes_payment")]
