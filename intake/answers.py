"""An answer to press that says in a second line what it leads to."""


class Answer(str):
    """The label of a choice with a line under it: `("go", Answer("Mend it", "Back with you about Wed 2 December."))`.

    A str, so that a form, a test and a log read the label alone; the template frame/answers.html shows `under` as well.
    """

    __slots__ = ("under",)
    under: str

    def __new__(cls, label: str, under: str = "") -> "Answer":
        answer = super().__new__(cls, label)
        answer.under = under
        return answer
