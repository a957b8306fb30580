"""The papers of the price: quote, receipt of the decision, invoice, credit note."""
