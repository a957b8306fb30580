"""The one kind of error an action raises on purpose: a sentence for the person, and the field it belongs to."""


class Refused(Exception):
    """`sentence` is shown as it stands; `field` names the form field it stands beside ("" for the whole form)."""

    def __init__(self, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field
