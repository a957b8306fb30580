"""The owner's pages for bank statements and card reports, and the customer's way to pay by card."""
