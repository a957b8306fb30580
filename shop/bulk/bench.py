"""One bench on which a made order is walked: who does it, when each day begins, and the steps with their usual values."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from intake import submissions
from intake.models import Order, Person
from intake.request_answers import AddressAnswer, RequestAnswers
from quotes import billing
from quotes.models import Part, Quote, Remedy
from shop.bulk.jobs import Job
from shop.demo import steps
from shop.demo.stage import fee_of

DATA_REMEDY = "Recover data from original board"
ADDRESS = AddressAnswer(
    "Mara Ellwick", "1 Nowhere Lane", city="Anytown", country="US", area="ZZ", postcode="00000"
)
BOX = {"phone": "Phone", "tablet": "Tablet", "laptop": "Laptop"}


@dataclass
class Bench:
    """`start`: midnight UTC of the day on which the request is sent; a walk counts its days from there."""

    owner: Person
    technician: Person
    hands: Person
    start: dt.datetime
    job: Job

    def at(self, day: float, hour: float = 15) -> dt.datetime:
        """A moment of a day of the walk, in the shop's opening hours."""
        return self.start + dt.timedelta(days=day, hours=hour)

    def request(self) -> Order:
        """The form is sent on day 0 and the parcel posted on day 1."""
        job = self.job
        answers = RequestAnswers(
            kind=job.kind, make=job.make, model=job.model, serial="ZZ-0001", symptoms=[job.symptom], idea=job.idea,
            words="Since last week.", in_the_box=[BOX[job.kind]], name=ADDRESS.name, email="mara.ellwick@example.com",
            phone="555-0101", address=ADDRESS, declared_value=Decimal(job.declared), data_wish="nice", backed_up="no",
            lock_wish="test without",
        )  # fmt: skip
        order, _ = submissions.submit(answers=answers, form_key=f"bulk-{self.start:%Y%m%d}", at=self.at(0))
        submissions.note_posted(order=order, tracking="", at=self.at(1, 16))
        order.refresh_from_db()
        return order

    def arrived(self, **changes: Any) -> Order:
        """Taken in on day 2."""
        return steps.receive(self.request(), by=self.technician, at=self.at(2, 14.5), **changes)

    def looked(self, order: Order | None = None, **changes: Any) -> Order:
        """The fault found on day 3."""
        order = order or self.arrived()
        job = self.job
        given = {
            "fault_class": job.fault,
            "words": job.words,
            "minutes": job.look,
            "idea_answer": job.idea_answer,
        }
        return steps.find(order, by=self.hands, at=self.at(3, 15), **{**given, **changes})  # fmt: skip

    def quoted(self, order: Order | None = None, **more: Any) -> Order:
        """The quote sent on day 3."""
        order = order or self.looked()
        self.quote(order, at=self.at(3, 16), **more)
        return order

    def quote(self, order: Order, *, at: dt.datetime, **more: Any) -> Quote:
        given = {} if "lines" in more else {"remedy": self.job.remedy, "parts": self.job.parts}
        return steps.quote(order, by=self.hands, at=at, **given, **more)

    def agreed(self, order: Order | None = None) -> Order:
        """A yes on day 4."""
        order = order or self.quoted()
        steps.answer(order, at=self.at(4, 14.25))
        return order

    def repaired(self, order: Order | None = None, *, day: float = 5) -> Order:
        return steps.mend(
            order or self.agreed(), by=self.hands, at=self.at(day, 15.5), minutes=self.job.repair
        )

    def tested(self, order: Order | None = None, *, day: float = 5, **more: Any) -> Order:
        order = order or self.repaired()
        return steps.test_and_pass(order, by=self.hands, at=self.at(day, 17.5), minutes=self.job.test, **more)

    def paid(self, order: Order | None = None, *, day: float = 6, kind: str = "card") -> Order:
        order = order or self.tested()
        fee = fee_of(billing.balance(order)) if kind == "card" else Decimal(0)
        return steps.pay(order, by=self.owner, at=self.at(day, 14.75), kind=kind, fee=fee)

    def sent(self, order: Order | None = None, *, day: float = 6) -> Order:
        cost = "14.20" if self.job.kind == "laptop" else "9.40"
        return steps.send(order or self.paid(), by=self.technician, at=self.at(day, 18), cost=cost)

    def home(self, order: Order | None = None, *, day: float = 8) -> Order:
        return steps.deliver(order or self.sent(), by=self.technician, at=self.at(day, 17))

    def lines(self, *more: dict[str, Any]) -> list[dict[str, Any]]:
        return steps.lines_of([self.job.remedy], self.job.parts, more=more)

    def data_lines(self) -> list[dict[str, Any]]:
        """Mending, and copying the data alone as another choice."""
        remedy, stick = Remedy.objects.get(name=DATA_REMEDY), Part.objects.get(number="STICK-32")
        return self.lines(
            {"kind": "labour", "remedy": remedy.pk, "quantity": "1", "choice": "data"},
            {"kind": "part", "part": stick.pk, "quantity": "1", "choice": "data"},
        )
