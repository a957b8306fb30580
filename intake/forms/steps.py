"""The pages of a request in their order, and the whole of it as plain values."""

from dataclasses import dataclass
from typing import Any

from django.utils.datastructures import MultiValueDict

from intake import drafting
from intake.forms.check import CheckForm
from intake.forms.fields import StepForm
from intake.forms.story import BeforeForm, DeviceForm, IdeaForm, SymptomsForm
from intake.forms.wishes import BatteryForm, BoxForm, DataForm, LimitForm, PhotosForm
from intake.forms.you import YouForm
from intake.models import Draft, Letterhead
from intake.request_answers import RequestAnswers


@dataclass(frozen=True)
class Step:
    """One page. `name` stands on the sheet, `question` is the heading while the page is open."""

    slug: str
    name: str
    question: str
    form: type[StepForm]

    @property
    def number(self) -> int:
        return SLUGS.index(self.slug) + 1


STEPS: tuple[Step, ...] = (
    Step("device", "Device", "What do you want to send us?", DeviceForm),
    Step("symptoms", "What you see", "What does it do wrong?", SymptomsForm),
    Step("idea", "Your idea", "What do you think it is?", IdeaForm),
    Step("before", "What happened before", "What happened before?", BeforeForm),
    Step("data", "Data and lock", "What about the data on it?", DataForm),
    Step("battery", "Battery", "Is the battery safe to post?", BatteryForm),
    Step("box", "In the box", "What will be in the box?", BoxForm),
    Step("limit", "Before work starts", "May we start without asking, up to a sum?", LimitForm),
    Step("photos", "Photos", "Have you photos of it?", PhotosForm),
    Step("you", "You", "Who are you, and where does it go back to?", YouForm),
    Step("check", "Check and send", "Is everything right?", CheckForm),
)
SLUGS: tuple[str, ...] = tuple(step.slug for step in STEPS)
QUESTIONS: tuple[Step, ...] = STEPS[:-1]
BY_SLUG: dict[str, Step] = {step.slug: step for step in STEPS}


def next_slug(slug: str) -> str:
    return SLUGS[min(SLUGS.index(slug) + 1, len(SLUGS) - 1)]


def slug_before(slug: str) -> str:
    return SLUGS[max(SLUGS.index(slug) - 1, 0)]


def kept_form(step: Step, draft: Draft | None, head: Letterhead) -> StepForm:
    """The form of a page with what the draft holds; not bound where nothing was typed yet."""
    raw = drafting.raw_of(draft, step.slug)
    more: dict[str, Any] = {}
    if step.form is PhotosForm and draft is not None:
        more["count"] = draft.photos.count()
    left = step.slug in drafting.done_steps(draft)
    return step.form(MultiValueDict(raw) if raw or left else None, head=head, **more)


def first_open(draft: Draft | None, head: Letterhead) -> str:
    """The first page that was not left with good answers; the check page when none is."""
    done = drafting.done_steps(draft)
    for step in QUESTIONS:
        if step.slug not in done or not kept_form(step, draft, head).is_valid():
            return step.slug
    return STEPS[-1].slug


def kept_forms(draft: Draft | None, head: Letterhead) -> dict[str, StepForm]:
    """The form of every page that was left with good answers, by its name."""
    done = drafting.done_steps(draft)
    forms = {step.slug: kept_form(step, draft, head) for step in QUESTIONS if step.slug in done}
    return {slug: form for slug, form in forms.items() if form.is_valid()}


def answers_of(forms: dict[str, StepForm]) -> RequestAnswers:
    """One request out of all the good forms."""
    device, symptoms = forms["device"].cleaned_data, forms["symptoms"].cleaned_data
    data, you = forms["data"].cleaned_data, forms["you"].cleaned_data
    before, battery, box, yours = forms["before"], forms["battery"], forms["box"], forms["you"]
    if not (
        isinstance(before, BeforeForm)
        and isinstance(battery, BatteryForm)
        and isinstance(box, BoxForm)
        and isinstance(yours, YouForm)
    ):
        raise TypeError("a page has the form of another page")
    return RequestAnswers(
        kind=device["kind"],
        make=device["make"],
        model=device["model"],
        colour=device["colour"],
        serial=device["serial"],
        imei=device["imei"],
        symptoms=symptoms.get("symptoms", []),
        words=symptoms["words"],
        idea=forms["idea"].cleaned_data["idea"],
        before=before.cleaned_data["before"],
        before_words=before.in_words(),
        data_wish=data["data_wish"],
        backed_up=data["backed_up"],
        lock_wish=data["lock_wish"],
        cell_signs=battery.cell_signs(),
        in_the_box=box.contents(),
        declared_value=box.cleaned_data["declared_value"],
        standing_limit=forms["limit"].cleaned_data["standing_limit"],
        name=you["name"],
        email=you["email"],
        phone=you["phone"],
        address=yours.address(),
    )
