"""Everything a person keeps: documents with revisions, accounts, import and export.

Importing this room takes about half a second (SQLAlchemy): do it where a book is opened, not
at the top of a command.
"""

from fellfare.book.accounts import ROLES, Accounts, Club, Member, Role, SignedIn, may
from fellfare.book.book import Book, open_book
from fellfare.book.difference import DiffLine, compare_texts
from fellfare.book.document import Act, Document, Entry
from fellfare.book.folder import TakenIn
from fellfare.book.jobs import Job, Jobs, work
from fellfare.book.meanwhile import ChangedMeanwhile, Meanwhile
from fellfare.book.merging import Agreed, Choice, Conflict, Merged, merge
from fellfare.book.names import KINDS, Check, Kind
from fellfare.book.place import usual_place
from fellfare.book.shelf import Shelf, open_shelf

__all__ = [
    "KINDS",
    "ROLES",
    "Accounts",
    "Act",
    "Agreed",
    "Book",
    "ChangedMeanwhile",
    "Check",
    "Choice",
    "Club",
    "Conflict",
    "DiffLine",
    "Document",
    "Entry",
    "Job",
    "Jobs",
    "Kind",
    "Meanwhile",
    "Member",
    "Merged",
    "Role",
    "Shelf",
    "SignedIn",
    "TakenIn",
    "compare_texts",
    "may",
    "merge",
    "open_book",
    "open_shelf",
    "usual_place",
    "work",
]
