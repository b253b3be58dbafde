"""What may a reader, a cook, a keeper do?"""

from __future__ import annotations

from typing import Final, Literal, get_args

from fellfare.mistake import Mistake

#: From the least to the most.
Role = Literal["reader", "cook", "keeper"]
ROLES: Final[tuple[str, ...]] = get_args(Role)

#: What can be done with a club's book.
Deed = Literal["read", "write", "keep"]

#: Deed → who may.  Reading takes export and comparison in, writing ticks, undo and import,
#: keeping invitations, roles, removal of members and backup.
_WHO: Final[dict[Deed, tuple[str, ...]]] = {
    "read": ROLES,
    "write": ("cook", "keeper"),
    "keep": ("keeper",),
}


def may(role: str, deed: Deed) -> bool:
    """Whether somebody of this role may do it."""
    return role in _WHO[deed]


def must(role: str, deed: Deed) -> None:
    """Refuse what the role does not allow.

    Raises
    ------
    Mistake
        ``role-may-not``.
    """
    if not may(role, deed):
        raise Mistake(
            "role-may-not",
            f"a {role} of the club may not do that",
            f"ask a keeper of the club; {' or '.join(_WHO[deed])} is needed",
        )


def read_role(role: str) -> Role:
    """The role, if it is one.

    Raises
    ------
    Mistake
        ``unknown-role``.
    """
    for known in get_args(Role):
        if role == known:
            found: Role = known
            return found
    raise Mistake("unknown-role", f"{role[:40]!r} is no role", f"say one of {', '.join(ROLES)}")
