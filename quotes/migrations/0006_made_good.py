"""What the shop makes good is a purpose of its own. Words only: the table stays as it is, and keeps its triggers."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("quotes", "0005_book_what_was")]
    operations = [
        migrations.AlterField(
            model_name="payment",
            name="purpose",
            field=models.CharField(
                choices=[("bill", "For the bill"), ("deposit", "Deposit"), ("loss", "Made good by us")],
                default="bill",
                max_length=8,
            ),
        )
    ]
