"""What somebody was just sending when their sign-in had ended: kept in the session, offered after the sign-in."""

from dataclasses import dataclass

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session
from django.http import HttpRequest

from shop.doors import browsers

KEY = "kept_post"
MOST_CHARACTERS = 200_000
AT_ONCE = 200
NEVER = {"csrfmiddlewaretoken", "password", "old_password", "next", "unlock_code"}


@dataclass(frozen=True)
class KeptPost:
    """`fields` are (name, value) as they were sent; `files` is the number of files that could not be kept."""

    path: str
    fields: list[tuple[str, str]]
    files: int


def keep_post(request: HttpRequest) -> None:
    """Put the post aside. What is too large to keep is not kept at all, rather than cut.

    Of who is not signed in it is kept only where staff came in with this browser before: else anybody could fill the disk.
    """
    if SESSION_KEY not in request.session and not browsers.is_known(request):
        return
    fields = [(name, value) for name, values in request.POST.lists() if name not in NEVER for value in values]
    files = sum(len(request.FILES.getlist(name)) for name in request.FILES)
    if sum(len(name) + len(value) for name, value in fields) > MOST_CHARACTERS:
        return
    request.session[KEY] = {"path": request.path, "fields": fields, "files": files}


def kept_post(request: HttpRequest) -> KeptPost | None:
    kept = request.session.get(KEY)
    if not kept:
        return None
    return KeptPost(kept["path"], [(name, value) for name, value in kept["fields"]], kept["files"])


def drop_post(request: HttpRequest) -> None:
    request.session.pop(KEY, None)


def drop_all() -> int:
    """Take every kept post out of the sessions; returns how many. Whom one is about nobody can tell from its fields.

    Who is signed in stays so: the session keeps all else."""
    done, every = 0, list(Session.objects.values_list("pk", flat=True))
    for start in range(0, len(every), AT_ONCE):
        for row in Session.objects.filter(pk__in=every[start : start + AT_ONCE]):
            held = row.get_decoded()
            if held.pop(KEY, None) is not None:
                done += Session.objects.filter(pk=row.pk).update(session_data=Session.objects.encode(held))
    return done
