"""What the traveller shows at each station; one module a station, named like its templates."""

from shop.traveller.bodies import (
    diagnosis,
    go_ahead,
    goods_in,
    goods_out,
    home,
    quote,
    repair,
    test,
    way_home,
)

__all__ = ["diagnosis", "go_ahead", "goods_in", "goods_out", "home", "quote", "repair", "test", "way_home"]
