"""The one error type of the house."""

from __future__ import annotations


class Mistake(ValueError):  # noqa: N818 - our word for it, see docs/words.md
    """Something we were given cannot be used as it stands.

    Parameters
    ----------
    code
        Short name that never changes (``unknown-food``): documents, tests and
        translations lean on it, so the wording may improve at any time.
    what
        What is wrong, in one line.
    mend
        What to write or do instead.
    where
        Which file, line, day or field; grows on the way out, see :meth:`at`.
    """

    # Four plain arguments, so that the exception survives pickling on its way
    # home from a worker process.
    def __init__(self, code: str, what: str, mend: str, where: str = "") -> None:
        super().__init__(code, what, mend, where)
        self.code, self.what, self.mend, self.where = code, what, mend, where

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        return f"{place}{self.what}\n  mend: {self.mend}  [{self.code}]"

    def at(self, where: str) -> Mistake:
        """The same mistake seen from one step further out: ``day 3 > supper``."""
        path = f"{where} > {self.where}" if self.where else where
        return Mistake(self.code, self.what, self.mend, path)


class Mistakes(Mistake):
    """Several mistakes of one document, reported together.

    It is a :class:`Mistake` itself (so one ``except`` serves) and carries the
    single ones, in the order of the document, in ``each``.
    """

    def __init__(self, each: tuple[Mistake, ...]) -> None:
        if not each:
            raise TypeError("Mistakes needs at least one mistake")
        first = each[0]
        super().__init__(first.code, first.what, first.mend, first.where)
        self.args = (each,)  # so that it pickles
        self.each = each

    def __str__(self) -> str:
        return "\n".join(str(mistake) for mistake in self.each)

    def at(self, where: str) -> Mistakes:
        """All of them, seen from one step further out."""
        return Mistakes(tuple(mistake.at(where) for mistake in self.each))
