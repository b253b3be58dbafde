"""One file for each step; never changed once it has been shipped."""
