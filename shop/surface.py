"""What stands around every page: the bar, the light, the shop's name. One dict, `frame`, for the shared templates."""

from functools import partial
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from intake.house import house
from shop.bench import work
from shop.bench.minute_maths import IDLE_AFTER, is_idle
from shop.models import WorkSession

# The places of the shop in the order of a device's way through it.
PLACES: tuple[tuple[str, str], ...] = (
    ("Day sheet", "shop:day_sheet"),
    ("Receiving", "shop:receiving"),
    ("Stock", "shop:stock"),
    ("Goods out", "shop:goods_out"),
    ("Books", "shop:books"),
    ("Money", "shop:accounts"),
    ("Settings", "shop:settings"),
)
# A place that would only answer a technician with a refusal is not offered to one.
OWNERS = {"shop:books", "shop:accounts", "shop:settings"}
# Pages with an address of their own that are entered through a place of the bar.
THROUGH = {"shop:house": "shop:settings", "shop:letters": "shop:settings"}
SCAN, LIGHT, SIGN_OUT, HOME = "shop:find", "shop:light", "shop:sign_out", "intake:front"
MY_SIGN_IN = "shop:my_sign_in"
STILL_ON_IT = "shop:still_on_it"
LOST_LINK, TOUR = "shop:lost_link", "shop:demo"
LIGHT_COOKIE = "light"
LIGHTS = ("day", "bench")
YEAR_SECONDS = 365 * 24 * 3600


def page_frame(request: HttpRequest) -> dict[str, Any]:
    """Context processor. Keys of `frame`: language, light, demo, house_name, email, phone, hours, home_url,
    lost_link_url, tour_url (only in the demo), here;
    and for people who are signed in: nav [{label, url, here}], who, scan_url, light_url, light_cookie, sign_out_url, door_url, running (asked
    for only where a page shows it: None, or what `running_words` says of the person's minutes)."""
    shop = house()
    frame: dict[str, Any] = {
        "language": settings.LANGUAGE_CODE,
        "light": light_of(request),
        "demo": settings.DEMO,
        "house_name": shop.name or "Benchpost",
        "email": shop.email,
        "phone": shop.phone,
        "hours": shop.hours,
        "home_url": _address(HOME),
        "lost_link_url": _address(LOST_LINK),
        "tour_url": _address(TOUR) if settings.DEMO else "",
        "here": request.get_full_path(),
    }
    person = getattr(request, "user", None)
    if person is not None and person.is_authenticated:
        frame |= {
            "nav": _places(request.path, owner=getattr(person, "is_owner", False)),
            "who": person.get_short_name() or person.get_username(),
            "scan_url": _address(SCAN),
            "light_url": _address(LIGHT),
            "light_cookie": light_cookie(),
            "sign_out_url": _address(SIGN_OUT),
            "door_url": _address(MY_SIGN_IN),
            "running": partial(_running, person),
        }
    return {"frame": frame}


def _running(person: Any) -> dict[str, Any] | None:
    """What a page says of the minutes that its person has running. One query."""
    return running_words(work.running_of(person))


def running_words(session: WorkSession | None) -> dict[str, Any] | None:
    """Keys: session, url (its sheet), answer_url, seen (the last deed), idle (asked now), ask_at (when it will be)."""
    if session is None:
        return None
    seen = session.seen_at or session.started_at
    return {
        "session": session,
        "url": reverse("shop:sheet", args=[session.order.code]),
        "answer_url": _address(STILL_ON_IT),
        "seen": seen,
        "idle": is_idle(seen, timezone.now()),
        "ask_at": (seen + IDLE_AFTER).isoformat(),
    }


def light_cookie() -> str:
    """Bound to this host where the site is safe: ASVS 5.0, 3.3.3. The script of the pages builds the same name."""
    return f"__Host-{LIGHT_COOKIE}" if settings.SECURE_SITE else LIGHT_COOKIE


def light_of(request: HttpRequest) -> str:
    """'day' or 'bench', as this device chose; anything else in the cookie is day."""
    kept = request.COOKIES.get(light_cookie(), "day")
    return kept if kept in LIGHTS else "day"


@require_POST
def switch_light(request: HttpRequest) -> HttpResponse:
    """The switch of the bench light for browsers without script; the script writes the same cookie."""
    back = request.POST.get("back", "/")
    if not back.startswith("/") or not url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        back = "/"
    answer = HttpResponseRedirect(back)
    new = "day" if light_of(request) == "bench" else "bench"
    answer.set_cookie(light_cookie(), new, max_age=YEAR_SECONDS, samesite="Lax", secure=settings.SECURE_SITE)
    return answer


def _places(path: str, *, owner: bool) -> list[dict[str, Any]]:
    """The bar. The longest address that begins this page's path is where we are; only one place can be."""
    found = [
        (label, url) for label, name in PLACES if (owner or name not in OWNERS) and (url := _address(name))
    ]
    doors = {url: url for _, url in found} | {
        _address(name): _address(door) for name, door in THROUGH.items()
    }
    matching = [url for url in doors if url and (path == url or (url != "/" and path.startswith(url)))]
    here = doors[max(matching, key=len)] if matching else ""
    return [{"label": label, "url": url, "here": url == here} for label, url in found]


def _address(name: str) -> str:
    try:
        return reverse(name)
    except NoReverseMatch:
        return ""
