"""The rows of every wish, one file per kind of wish."""
