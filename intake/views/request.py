"""The request, page by page. Every press of a button keeps what was typed, good or bad."""

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.http.request import QueryDict
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake import drafting, submissions
from intake.forms import steps
from intake.forms.fields import StepForm
from intake.forms.steps import Step
from intake.forms.wishes import BatteryForm, PhotosForm
from intake.refusals import Refused
from intake.views import photos
from intake.views.pages import step_page
from intake.views.visit import TOKEN_FIELD, TOP, TRAP_FIELD, Visit, cookie_name, see_other, with_visit
from intake.visits import sender_of

CHECK = steps.STEPS[-1].slug
SENT = (
    "Your request is in. A letter with your link and the form is on its way to {}. "
    "Is that address wrong? Write to us below."
)
TOO_MANY = 429
UNPROCESSABLE = 422


@require_safe
@with_visit
def begin(visit: Visit) -> HttpResponse:
    """Goes on with the request this browser has begun, or shows the first page."""
    if visit.draft is None or visit.sent:
        return see_other(reverse("intake:step", args=[steps.SLUGS[0]]) + TOP)
    return visit.to_step(steps.first_open(visit.draft, visit.head))


@require_http_methods(["GET", "HEAD", "POST"])
@with_visit
def step(visit: Visit, step: str) -> HttpResponse:
    """One page of the request, shown or sent."""
    page = steps.BY_SLUG.get(step)
    if page is None:
        raise Http404
    if visit.request.method == "POST":
        return _send(visit) if step == CHECK else _taken(visit, page)
    return _shown(visit, page)


@require_safe
@with_visit
def do_not_post(visit: Visit) -> HttpResponse:
    """What to do with a battery that must not travel. No slip, no order; the draft stays."""
    form = steps.kept_form(steps.BY_SLUG["battery"], visit.draft, visit.head)
    if not (isinstance(form, BatteryForm) and form.is_valid() and form.cell_signs()):
        return visit.to_step("battery")
    return visit.page("intake/do_not_post.html", {"verdict": form.judge(), "seen": form.short()})


@require_POST
@with_visit
def another(visit: Visit) -> HttpResponse:
    """Begin a new request in this browser; the old draft stays open to its link."""
    response = see_other(reverse("intake:step", args=[steps.SLUGS[0]]) + TOP)
    response.delete_cookie(cookie_name(), path="/", samesite="Lax")
    return response


@require_safe
@with_visit
def resume(visit: Visit, token: str) -> HttpResponse:
    """The way back in from another device: the link is swapped for the cookie."""
    draft = drafting.find(token, at=visit.at)
    if draft is None:
        return visit.page("intake/draft_gone.html", {}, status=404)
    visit.draft, visit.token = draft, token
    if visit.sent:
        return visit.to_window(visit.sent)
    return visit.to_step(steps.first_open(draft, visit.head))


def _shown(visit: Visit, page: Step) -> HttpResponse:
    if visit.sent:
        visit.draft, visit.token = None, ""
    reached = steps.SLUGS.index(steps.first_open(visit.draft, visit.head))
    if steps.SLUGS.index(page.slug) > reached:
        return visit.to_step(steps.SLUGS[reached])
    form = steps.kept_form(page, visit.draft, visit.head)
    return step_page(visit, page, form)


def _taken(visit: Visit, page: Step) -> HttpResponse:
    """A page was sent: keep it first, whatever it holds."""
    if visit.sent and visit.request.POST.get(TOKEN_FIELD) == "":
        # The page was drawn for a new request; the cookie is still that of the one before.
        visit.draft, visit.token = None, ""
    if visit.sent:
        return _sent_before(visit)
    form = _posted_form(visit, page)
    was_lost = visit.draft is None and page.slug != steps.SLUGS[0]
    try:
        draft = visit.start()
    except Refused as refusal:
        form.add_error(None, refusal.sentence)
        return step_page(visit, page, form, status=TOO_MANY)
    visit.draft = drafting.keep(draft=draft, slug=page.slug, typed=_typed(visit, form), at=visit.at)
    if visit.request.headers.get("X-Requested-With") == "benchpost":
        return visit.marked(JsonResponse({"kept": True}))
    return _judged(visit, page, form, was_lost)


def _judged(visit: Visit, page: Step, form: StepForm, was_lost: bool) -> HttpResponse:
    """What was kept is good or bad: go back, stay, or go on."""
    act = visit.request.POST.get("act", "")
    if act == "back":
        return visit.to_step(steps.slug_before(page.slug))
    if act == "country":
        return visit.to_step(page.slug, mark="#id_country")
    if isinstance(form, PhotosForm) and (answer := photos.taken(visit, form, act)) is not None:
        return answer
    if form.is_valid():
        return _left(visit, page, form, was_lost)
    if visit.draft is not None:
        visit.draft = drafting.keep(draft=visit.draft, slug=page.slug, typed={}, at=visit.at, done=False)
    return step_page(visit, page, form, status=UNPROCESSABLE)


def _left(visit: Visit, page: Step, form: StepForm, was_lost: bool) -> HttpResponse:
    """A page was left with good answers."""
    if visit.draft is None:
        raise TypeError("a page is left with a draft")
    if isinstance(form, BatteryForm) and form.cell_signs():
        drafting.keep(draft=visit.draft, slug=page.slug, typed={}, at=visit.at, done=False)
        return visit.to(reverse("intake:do_not_post") + TOP)
    visit.draft = drafting.keep(draft=visit.draft, slug=page.slug, typed={}, at=visit.at, done=True)
    onward = steps.next_slug(page.slug)
    if visit.request.POST.get("return") or was_lost:
        onward = steps.first_open(visit.draft, visit.head)
    # The check lists every doubt itself.
    for _, sentence in form.warnings() if onward != CHECK else []:
        messages.warning(visit.request, sentence)
    if was_lost:
        messages.info(
            visit.request,
            "The earlier pages could not be found in this browser. What you typed last is kept; please fill in the others again.",
        )
    return visit.to_step(onward)


def _send(visit: Visit) -> HttpResponse:
    """The whole request is sent. The same form twice leads to the same order."""
    if visit.sent:
        return visit.to_window(visit.sent)
    if visit.draft is None:
        messages.info(
            visit.request, "This request could not be found in this browser. Please begin it again."
        )
        return see_other(reverse("intake:step", args=[steps.SLUGS[0]]) + TOP)
    if visit.request.POST.get("act") == "back":
        return visit.to_step(steps.slug_before(CHECK))
    forms = steps.kept_forms(visit.draft, visit.head)
    if steps.first_open(visit.draft, visit.head) != CHECK:
        return visit.to_step(steps.first_open(visit.draft, visit.head))
    page = steps.BY_SLUG[CHECK]
    form = page.form(visit.request.POST, head=visit.head)
    if not form.is_valid():
        return step_page(visit, page, form, status=UNPROCESSABLE)
    try:
        return _sent(visit, forms)
    except Refused as refusal:
        form.add_error(None, refusal.sentence)
        return step_page(visit, page, form, status=TOO_MANY)


def _sent(visit: Visit, forms: dict[str, StepForm]) -> HttpResponse:
    if visit.draft is None:
        raise TypeError("what is sent is a draft")
    drafting.judge_sending(
        draft=visit.draft,
        trap=visit.request.POST.get(TRAP_FIELD, ""),
        sender=sender_of(visit.request),
        at=visit.at,
    )
    answers = steps.answers_of(forms)
    order, _ = submissions.submit(
        answers=answers, form_key=visit.draft.form_key, at=visit.at, draft=visit.draft
    )
    messages.success(visit.request, SENT.format(answers.email))
    return visit.marked(visit.to_window(order))


def _sent_before(visit: Visit) -> HttpResponse:
    if visit.request.headers.get("X-Requested-With") == "benchpost":
        return JsonResponse({"error": "This request was sent already."}, status=409)
    order = visit.sent
    if order is None:
        raise TypeError("only a sent request was sent before")
    messages.info(visit.request, "This request was sent already. This is its page.")
    return visit.to_window(order)


def _posted_form(visit: Visit, page: Step) -> StepForm:
    post, more = visit.request.POST, {}
    if page.form is PhotosForm:
        more["count"] = visit.draft.photos.count() if visit.draft is not None else 0
    return page.form(post, head=visit.head, **more)


def _typed(visit: Visit, form: StepForm) -> dict[str, list[str]]:
    """What of the form a draft keeps. A set of ticks that is not there was emptied; any other field was not on the page."""
    post: QueryDict = visit.request.POST
    return {
        name: [str(value) for value in post.getlist(name)]
        for name in form.names()
        if name in post or name in form.lists
    }
