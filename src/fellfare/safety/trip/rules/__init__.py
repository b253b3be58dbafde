"""One file per question; one function per rule."""
