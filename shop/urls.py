"""Every address of the house; each floor and room brings its own list."""

from django.urls import URLPattern, URLResolver, include, path

import intake.converters  # noqa: F401 -- registers the path converter that all lists below use
from shop.accounts.urls import urlpatterns as accounts
from shop.backup.urls import urlpatterns as backup
from shop.banking.urls import urlpatterns as banking
from shop.bench_card.urls import urlpatterns as bench_card
from shop.books.urls import urlpatterns as books
from shop.branches.urls import urlpatterns as branches
from shop.daysheet.urls import urlpatterns as daysheet
from shop.demo.urls import urlpatterns as demo
from shop.doors.urls import urlpatterns as doors
from shop.keeping.urls import urlpatterns as keeping
from shop.knowledge.urls import urlpatterns as knowledge
from shop.office.urls import urlpatterns as office
from shop.pictures.urls import urlpatterns as pictures
from shop.returns.urls import urlpatterns as returns
from shop.running.urls import urlpatterns as running
from shop.seen.urls import urlpatterns as seen
from shop.stockroom.urls import urlpatterns as stockroom
from shop.traveller.urls import urlpatterns as traveller
from shop.vault.urls import urlpatterns as vault
from shop.window.urls import urlpatterns as window

rooms: list[URLPattern | URLResolver] = [
    *window,
    *vault,
    *daysheet,
    *traveller,
    *pictures,
    *knowledge,
    *bench_card,
    *stockroom,
    *returns,
    *books,
    *seen,
    *branches,
    *accounts,
    *banking,
    *office,
    *doors,
    *running,
    *backup,
    *keeping,
    *demo,
]

handler500 = "shop.running.away.broken"

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include(("intake.urls", "intake"))),
    path("", include((rooms, "shop"))),
]
