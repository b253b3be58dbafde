"""How the documentation becomes a site: ``sphinx-build -W docs OUT`` (a test does it)."""

project = "Fellfare"
author = "The Fellfare authors"
project_copyright = author
extensions = ["myst_parser"]
html_theme = "furo"
html_title = "Fellfare"
html_show_sourcelink = False
myst_heading_anchors = 4
exclude_patterns = ["conf.py"]
suppress_warnings = ["myst.xref_missing"]  # links that leave docs/: README, CHANGELOG
