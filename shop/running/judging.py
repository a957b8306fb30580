"""Is everything well? Findings from plain facts, the worst first, each in words an owner can act on. Pure."""

import datetime as dt
from dataclasses import dataclass, field

RED, AMBER, GREEN = "red", "amber", "green"
ORDER = {RED: 0, AMBER: 1, GREEN: 2}
LETTER_LATE = dt.timedelta(minutes=10)
CLOCK_LATE = dt.timedelta(minutes=5)
LONG_GRACE = dt.timedelta(hours=1)
GIGABYTE = 1_000_000_000
LEAST_SHARE = 0.05
# What each kind of clock work does, said to an owner; a kind that is not here is called by its name.
WORKS = {
    "reminders": "reminding of quotes",
    "lapsed": "letting old quotes lapse",
    "drafts": "clearing requests that were never sent",
    "codes": "erasing unlock codes",
    "reports": "posting the month's report",
    "history": "checking that the history is whole",
    "house_day": "writing the letter of the day",
    "backup": "making the backup",
    "drill": "proving that a backup can be restored",
    "backup_warning": "telling of a late backup",
    "keeping": "letting go what was kept long enough",
    "sign_in_tries": "clearing old tries to sign in",
    "many_tries": "telling of many tries to sign in",
}


@dataclass(frozen=True)
class Work:
    """One kind of clock work. `every`: how often it should be done. Times are aware, None where never."""

    name: str
    every: dt.timedelta
    long: bool = False
    done_at: dt.datetime | None = None
    fault_at: dt.datetime | None = None
    fault: str = ""

    @property
    def words(self) -> str:
        return WORKS.get(self.name, self.name.replace("_", " "))

    @property
    def failing(self) -> bool:
        return self.fault_at is not None and (self.done_at is None or self.fault_at > self.done_at)

    def late(self, at: dt.datetime) -> bool:
        """Whether it was done once and is overdue. What was never done is not late: the house may just have opened."""
        most = self.every + LONG_GRACE if self.long else CLOCK_LATE
        return self.done_at is not None and at - self.done_at > most


@dataclass(frozen=True)
class Room:
    """A disk: what lies on it in words, free and whole room in bytes."""

    words: str
    free: int
    whole: int

    @property
    def free_words(self) -> str:
        return gigabytes(self.free)

    @property
    def whole_words(self) -> str:
        return gigabytes(self.whole)

    @property
    def tight(self) -> bool:
        return self.free < GIGABYTE or self.free < LEAST_SHARE * self.whole


@dataclass(frozen=True)
class Facts:
    """What is known at a moment. Counts are numbers of rows; times are aware."""

    at: dt.datetime
    stuck: int = 0
    waiting: int = 0
    waiting_since: dt.datetime | None = None
    not_ready: int = 0
    mail_away_since: dt.datetime | None = None
    works: tuple[Work, ...] = ()
    rooms: tuple[Room, ...] = ()
    backup: tuple[str, tuple[str, ...]] = (GREEN, ())
    late_promises: int = 0
    card_reports: int = 0
    files_kept: bool = True


@dataclass(frozen=True)
class Finding:
    """`part` is late, stuck, failing, room or backup; `place` the name of the page where it is put right, or empty."""

    colour: str
    part: str
    words: str
    place: str = ""
    about: str = field(default="", compare=False)


def judge(facts: Facts) -> list[Finding]:
    """All that is amber or red, the worst first."""
    found = [*_letters(facts), *_clock(facts), *_rooms(facts), *_backup(facts), *_work(facts)]
    return sorted(found, key=lambda one: ORDER[one.colour])


def verdict(findings: list[Finding]) -> str:
    """Is everything well? One sentence."""
    red = sum(one.colour == RED for one in findings)
    amber = sum(one.colour == AMBER for one in findings)
    if red:
        return f"No: {_things(red)} you now" + (
            f", and {_things(amber, 'wants', 'want')} a look." if amber else "."
        )
    if amber:
        return f"Nearly: {_things(amber, 'wants', 'want')} a look."
    return "Yes. Everything runs, every letter has gone, and there is room."


def age(span: dt.timedelta) -> str:
    """How long in the largest fitting unit: '4 minutes', '3 hours', '2 days'."""
    minutes = max(int(span.total_seconds() // 60), 0)
    if not minutes:
        return "less than a minute"
    for size, name in ((1440, "day"), (60, "hour")):
        if minutes >= 2 * size:
            return f"{minutes // size} {name}s"
    return f"{minutes} minute{'' if minutes == 1 else 's'}"


def gigabytes(size: int) -> str:
    """'3.4 GB', by thousands, as disks are sold."""
    return f"{size / GIGABYTE:.1f} GB"


def _things(number: int, one: str = "needs", more: str = "need") -> str:
    return f"{number} {'thing' if number == 1 else 'things'} {one if number == 1 else more}"


def _letters(facts: Facts) -> list[Finding]:
    found = []
    if facts.stuck:
        said = (
            "1 letter is stuck: its reader was not told."
            if facts.stuck == 1
            else f"{facts.stuck} letters are stuck: their readers were not told."
        )
        found.append(Finding(RED, "stuck", said, "shop:letters", "letters"))
    since = facts.waiting_since
    if since is not None and facts.at - since > LETTER_LATE:
        said = f"Letters wait: {facts.waiting} in all, the oldest for {age(facts.at - since)}."
        found.append(Finding(RED, "late", said, "shop:letters"))
    if facts.not_ready:
        said = (
            "1 letter cannot be put together, for a paper of it or its words."
            if facts.not_ready == 1
            else f"{facts.not_ready} letters cannot be put together, for a paper of theirs or their words."
        )
        found.append(Finding(RED, "failing", f"{said} This is tried again by itself.", "shop:letters"))
    if facts.mail_away_since is not None:
        said = f"The mail server has not taken a letter for {age(facts.at - facts.mail_away_since)}. Letters are kept and tried again."
        found.append(Finding(RED, "failing", said, "shop:letters"))
    return found


def _clock(facts: Facts) -> list[Finding]:
    """One sentence where the clock stands as a whole, else one for each kind that fails or is late."""
    found = [
        Finding(
            RED,
            "failing",
            f"{_begun(work.words)} fails, last {age(facts.at - work.fault_at)} ago. It is tried again by itself. "
            f"If this line stays, show it to whoever looks after the machine: {work.fault}",
        )
        for work in facts.works
        if work.failing and work.fault_at is not None
    ]
    short = [work for work in facts.works if not work.long]
    late = [work for work in facts.works if work.late(facts.at) and not work.failing]
    done = [work.done_at for work in short if work.done_at is not None]
    if short and not done:
        return [
            *found,
            Finding(AMBER, "late", "The clock has not gone round yet since the house was set up."),
        ]
    if len(done) > 1 and all(work.late(facts.at) for work in short if work.done_at is not None):
        said = f"The clock stands: nothing of its work was done for {age(facts.at - max(done))}. Start the house again."
        return [*found, Finding(RED, "late", said)]
    return [
        *found,
        *(
            Finding(
                RED,
                "late",
                f"{_begun(work.words)} is late: last done {age(facts.at - work.done_at)} ago.",
            )
            for work in late
            if work.done_at is not None
        ),
    ]


def _begun(words: str) -> str:
    return words[:1].upper() + words[1:]


def _rooms(facts: Facts) -> list[Finding]:
    found = [
        Finding(
            RED,
            "room",
            f"Little room is left for {room.words}: {gigabytes(room.free)} of {gigabytes(room.whole)}.",
        )
        for room in facts.rooms
        if room.tight
    ]
    if not facts.files_kept:
        found.append(
            Finding(RED, "room", "Photos and papers cannot be kept: the place where they lie takes no file.")
        )
    return found


def _backup(facts: Facts) -> list[Finding]:
    colour, sentences = facts.backup
    if colour == GREEN or not sentences:
        return []
    return [Finding(colour, "backup", sentences[0], "shop:backups")]


def _work(facts: Facts) -> list[Finding]:
    found = []
    if facts.late_promises:
        said = (
            "1 promise is overdue."
            if facts.late_promises == 1
            else f"{facts.late_promises} promises are overdue."
        )
        found.append(Finding(AMBER, "late", said, "shop:day_sheet"))
    if facts.card_reports:
        number = facts.card_reports
        said = (
            "1 report of a card payment waits" if number == 1 else f"{number} reports of card payments wait"
        )
        found.append(Finding(AMBER, "stuck", f"{said} for somebody to look at.", "shop:bank"))
    return found
