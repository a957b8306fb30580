"""What somebody was just sending when their sign-in had ended: kept in the session, offered after the sign-in."""

from dataclasses import dataclass

from django.http import HttpRequest

KEY = "kept_post"
MOST_CHARACTERS = 200_000
NEVER = {"csrfmiddlewaretoken", "password", "old_password", "next", "unlock_code"}


@dataclass(frozen=True)
class KeptPost:
    """`fields` are (name, value) as they were sent; `files` is the number of files that could not be kept."""

    path: str
    fields: list[tuple[str, str]]
    files: int


def keep_post(request: HttpRequest) -> None:
    """Put the post aside. What is too large to keep is not kept at all, rather than cut."""
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
