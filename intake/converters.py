"""How an order code stands in an address."""

from django.urls import register_converter

from intake import codes


class OrderCode:
    """Takes any spelling that can be an order code and gives 'XXXX-XXXX'; others are no address of ours."""

    regex = "[A-Za-z0-9]{4}-?[A-Za-z0-9]{4}"

    def to_python(self, value: str) -> str:
        code = codes.normalise(value)
        if code is None:
            raise ValueError("not an order code")
        return code

    def to_url(self, value: str) -> str:
        return str(value)


register_converter(OrderCode, "code")
