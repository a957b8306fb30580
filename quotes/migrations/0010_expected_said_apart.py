"""What a good board shows where it shows no number stood in front of the source; it has a column of its own now."""

from django.db import migrations

SPECIALS = ("OL", "beep")


def apart(apps, schema_editor):
    readings = apps.get_model("quotes", "Reading")
    for special in SPECIALS:
        words = f"{special} expected"
        for row in readings.objects.filter(expected_from__startswith=words).iterator():
            row.expected_special = special
            row.expected_from = row.expected_from.removeprefix(words).removeprefix(", ")
            row.save(update_fields=["expected_special", "expected_from"])


def together(apps, schema_editor):
    readings = apps.get_model("quotes", "Reading")
    for row in readings.objects.exclude(expected_special="").iterator():
        words = [f"{row.expected_special} expected", row.expected_from]
        row.expected_from = ", ".join(word for word in words if word)[:80]
        row.save(update_fields=["expected_from"])


class Migration(migrations.Migration):
    dependencies = [("quotes", "0009_what_the_bench_learns")]
    operations = [migrations.RunPython(apart, together)]
