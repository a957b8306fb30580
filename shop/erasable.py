"""Words about a person in the bench's rows that are only ever added to: what each column holds once they are erased."""

from collections.abc import Mapping

from intake.append_only import Blank, Erased

ANYONE = "erased"

TABLES: Mapping[str, Mapping[str, Blank]] = {
    "shop_codeshowing": {"reason": Erased(ANYONE)},
    "shop_comebackcause": {"words": Erased(ANYONE)},
    "shop_owndamage": {"words": Erased(ANYONE), "offered": Erased()},
    "shop_slipend": {"words": Erased(ANYONE)},
}
