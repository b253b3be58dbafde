"""The composer: every combination of starch, sauce, fat, add-ins and finish, scored.

``question`` says what is asked, ``laying`` turns it into fillings of each part, ``sweeping``
answers.  In between: ``holding`` is what must be kept, ``tables`` the figures as columns,
``tiles`` lays like dishes together, ``scoring`` counts steps and bounds them, ``rounds`` goes
through all combinations, ``front`` keeps those that none beats (``beating`` asks many at once).
``hindering`` says which limit is in the way where nothing is left.  ``differing`` picks a few
that are unlike one another, ``taste`` tells what a dish lacks, ``written`` makes recipes of them.
"""
