"""The bench's part of the tour: seven steps from the first reading to the code in the customer's window."""

from urllib.parse import urlencode

from django.urls import reverse

from shop.demo import bench_now, good_shelf
from shop.demo.tour import TourStep, newest_codes, sheet_of, window_of

PROVEN, WITH_CODE = "Mara Ellwick", "Dov Pellam"


def steps() -> list[TourStep]:
    """Two queries. Steps whose order is gone say so."""
    codes = newest_codes(
        [PROVEN, WITH_CODE, bench_now.BEGUN, bench_now.LOOKED_AT, bench_now.SOAKING, bench_now.HARMED]
    )
    begun = sheet_of(codes.get(bench_now.BEGUN))
    return [
        _reading(begun),
        _good_boards(),
        _seen(sheet_of(codes.get(bench_now.LOOKED_AT))),
        _marks(codes.get(PROVEN)),
        _soak(sheet_of(codes.get(bench_now.SOAKING))),
        _day_sheet(sheet_of(codes.get(bench_now.HARMED))),
        _code(window_of(codes.get(WITH_CODE)), begun),
    ]


def _reading(sheet: str) -> TourStep:
    return TourStep(
        "One line is one reading",
        "A laptop is on the bench and its minutes run. Type Charger in r 8.2: the line is said back as it was understood, judged "
        "by our own good boards, and written once you agree with Enter. One reading there was taken again, one was overruled with "
        "a reason.",
        "Open the sheet on the bench",
        _at(sheet, "reading"),
    )


def _good_boards() -> TourStep:
    return TourStep(
        "What a good board shows",
        "Every limit comes from boards that are known to be good: those on the shelf and those that went home mended. Look how "
        "many stand behind each point. Two spellings of one point are waiting to be merged.",
        "Open the good boards",
        f"{reverse('shop:good_boards')}?{urlencode({'board': good_shelf.BOARD})}",
        more=(
            ("Merge two spellings", reverse("shop:word_list", args=["point"])),
            ("The lots, one of them stopped", reverse("shop:lots")),
        ),
    )


def _seen(sheet: str) -> TourStep:
    return TourStep(
        "Seen before",
        "Beside the finding stand the finished orders most like this one, what they point to, and how often that was right. "
        "It is a guess with its number; nothing is filled in.",
        "Open the sheet it stands on",
        _at(sheet, "seen"),
        more=(("How often it was right", reverse("shop:seen_before")),),
    )


def _marks(code: str | None) -> TourStep:
    return TourStep(
        "Marks, and the phone at the bench",
        "Mara's torn pad before and after, at one scale. The number on the photo names the reading taken there. Put a mark of "
        "your own, or let a phone in to send photos for half an hour; the photo itself never changes.",
        "Open the photos",
        reverse("shop:pictures", args=[code]) if code else "",
        more=(("The report she got, on her sheet", sheet_of(code)),),
    )


def _soak(sheet: str) -> TourStep:
    return TourStep(
        "Nobody signs over a blank row",
        "A tablet is left on and its time runs. What was bad was measured again, what needs a code is not tested and the "
        "customer is told why, and the symptom comes last. Try to sign it.",
        "Open the test",
        _at(sheet, "test-sheet"),
    )


def _day_sheet(harmed: str) -> TourStep:
    return TourStep(
        "The day sheet, and the bags at close",
        "What comes first and why, whose clock was forgotten since yesterday, a copy whose day has come. Then count the bags as "
        "the packer did: scan or type each one.",
        "Open the day sheet",
        reverse("shop:day_sheet"),
        more=(("Count the bags", reverse("shop:bags")), ("A device we damaged ourselves", harmed)),
    )


def _code(window: str, begun: str) -> TourStep:
    return TourStep(
        "Who looked at the code",
        "Dov gave his code for one copy. His window says who looked at it, when and why, and that it is erased; and which files "
        "were copied. Another code lies sealed with the laptop on the bench.",
        "Open Dov's window",
        window,
        sign_in=False,
        more=(("The sheet with a sealed code", begun),),
    )


def _at(sheet: str, place: str) -> str:
    return f"{sheet}#{place}" if sheet else ""
