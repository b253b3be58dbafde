"""What does the body take at rest?  One file per published formula."""
