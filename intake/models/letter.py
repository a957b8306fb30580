"""A letter is a row before it is an e-mail; a paper is a row before it is a file."""

from django.db import models
from django.db.models import Q


class Paper(models.Model):
    """A document the shop hands out. `key` makes it once; the file is made at first need and never again.

    `maker` names the function that draws it (`intake.papers.register`), `ref` the row it is drawn from;
    both that row and the letterhead version are immutable, so that a late drawing says the same.
    """

    key = models.CharField(max_length=120, unique=True)
    order = models.ForeignKey("intake.Order", null=True, on_delete=models.PROTECT, related_name="papers")
    maker = models.CharField(max_length=40)
    ref = models.PositiveBigIntegerField()
    title = models.CharField(max_length=120)
    file_name = models.CharField(max_length=120)
    letterhead = models.ForeignKey("intake.Letterhead", on_delete=models.PROTECT, related_name="+")
    for_customer = models.BooleanField(default=True)
    created_at = models.DateTimeField()
    made_at = models.DateTimeField(null=True)
    sha256 = models.CharField(max_length=64, blank=True)
    bytes_long = models.PositiveIntegerField(null=True)
    gone_at = models.DateTimeField(null=True, help_text="Its file was removed with the words it held.")

    class Meta:
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return self.title


class Letter(models.Model):
    """The outbox: one row for each letter that must go, written with the change that causes it.

    The customer's link stands in the texts as `[[link]]` and is put in when the letter goes.
    """

    class State(models.TextChoices):
        PENDING = "pending", "Waiting to go"
        CLAIMED = "claimed", "Going"
        SENT = "sent", "Sent"
        HELD = "held", "Held for a person"
        DEAD = "dead", "Could not be sent"
        CLOSED = "closed", "Closed by a person"

    key = models.CharField(max_length=120, unique=True)
    order = models.ForeignKey("intake.Order", null=True, on_delete=models.PROTECT, related_name="letters")
    kind = models.CharField(max_length=40)
    to = models.EmailField(max_length=254)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField(blank=True)
    papers = models.ManyToManyField(Paper, related_name="letters")
    photos = models.ManyToManyField("intake.Photo", related_name="letters")
    link = models.ForeignKey(
        "intake.CustomerLink", null=True, on_delete=models.PROTECT, related_name="letters"
    )
    message_id = models.CharField(max_length=200, unique=True)
    from_address = models.CharField(max_length=254)
    unsure = models.CharField(max_length=6, default="resend")
    state = models.CharField(max_length=8, choices=State.choices, default=State.PENDING)
    claim = models.CharField(max_length=32, blank=True)
    lease_until = models.DateTimeField(null=True)
    next_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()
    tried_since = models.DateTimeField(null=True, help_text="When the tries began that still go on.")
    sent_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["created_at", "id"]
        indexes = [
            models.Index(
                fields=["next_at", "id"],
                name="letters_to_send",
                condition=Q(state__in=["pending", "claimed"]),
            ),
            models.Index(fields=["state", "-id"], name="letters_by_state"),
        ]
        constraints = [
            models.CheckConstraint(
                name="letter_sent_has_time",
                condition=Q(state="sent", sent_at__isnull=False)
                | (~Q(state="sent") & Q(sent_at__isnull=True)),
            ),
        ]

    def __str__(self) -> str:
        return self.subject


class LetterTry(models.Model):
    """One attempt at the mail server, committed before a word is said to it."""

    class Result(models.TextChoices):
        OPEN = "open", "Under way"
        ACCEPTED = "accepted", "Accepted"
        LATER = "later", "Try later"
        REFUSED = "refused", "Refused"
        UNSURE = "unsure", "Unsure"

    letter = models.ForeignKey(Letter, on_delete=models.PROTECT, related_name="attempts")
    number = models.PositiveSmallIntegerField()
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    result = models.CharField(max_length=8, choices=Result.choices, default=Result.OPEN)
    answer = models.CharField(max_length=300, blank=True)
    why_again = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "letter tries"
        constraints = [models.UniqueConstraint(name="letter_try_once", fields=["letter", "number"])]

    def __str__(self) -> str:
        return f"{self.letter_id} try {self.number}"
