"""Food for multi-day lightweight walks: recipe, walk, menu, bags and papers.

The rooms and the one way in which they may use each other are described in
``docs/why/0001-rooms-and-floors.md``.
"""

__version__ = "0.1.0"
