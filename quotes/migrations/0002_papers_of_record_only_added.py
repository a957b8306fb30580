"""What was sent, decided, billed, paid and moved is only ever added to."""

from django.db import migrations

from intake.append_only import only_added


class Migration(migrations.Migration):
    dependencies = [("quotes", "0001_first_floor")]
    operations = [
        only_added(
            "quotes_quote",
            "quotes_quoteline",
            "quotes_quoteend",
            "quotes_decision",
            "quotes_decisionstop",
            "quotes_invoice",
            "quotes_invoiceline",
            "quotes_payment",
            "quotes_move",
        )
    ]
