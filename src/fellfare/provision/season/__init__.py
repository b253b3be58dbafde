"""An outfitter's season: many parties over shared recipes, one store room.

``buying`` makes one purchase of all lists, ``lots`` says which bag holds which delivery and
follows a recall to the parties that are out, ``returned`` counts what came back.
"""
