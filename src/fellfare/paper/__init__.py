"""Sheets, labels, lists and cards as PDF and as one HTML file; it draws, it does not reckon."""
