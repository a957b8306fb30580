"""The addresses of the accounts."""

from django.urls import URLPattern, URLResolver, path

from shop.accounts import books_views, file_views, trade_views, views

urlpatterns: list[URLPattern | URLResolver] = [
    path("accounts/", views.overview, name="accounts"),
    path("accounts/invoices/", views.invoices, name="account_invoices"),
    path("accounts/journal/", books_views.journal, name="journal"),
    path("accounts/journal.csv", file_views.journal_csv, name="journal_csv"),
    path("accounts/journal.xlsx", file_views.journal_xlsx, name="journal_xlsx"),
    path("accounts/closing/", books_views.closing, name="closing"),
    path("accounts/proof/", books_views.proof, name="proof"),
    path("accounts/trade/", trade_views.customers, name="trade_customers"),
    path("accounts/trade/<int:pk>/", trade_views.customer, name="trade_customer"),
    path("accounts/trade/<int:pk>/end/", trade_views.end, name="trade_end"),
    path("accounts/trade/<int:pk>/statement/", trade_views.statement, name="trade_statement"),
    path("accounts/statements/", trade_views.statements, name="statements"),
]
