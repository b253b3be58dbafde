"""Amounts: what a cook writes, read strictly, and printed back."""
