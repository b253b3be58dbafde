"""Who may do what with a club's book?  Off on one's own machine, where nobody signs in."""

from fellfare.book.accounts.accounts import Accounts
from fellfare.book.accounts.member import Club, Member, SignedIn
from fellfare.book.accounts.roles import ROLES, Role, may

__all__ = ["ROLES", "Accounts", "Club", "Member", "Role", "SignedIn", "may"]
