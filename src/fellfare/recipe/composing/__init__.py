"""The composer: every combination of starch, sauce, fat, add-ins and finish, scored.

``question`` says what is asked, ``laying`` turns it into arrays, ``sweeping`` goes through
all combinations, ``front`` keeps those that none beats, ``differing`` picks a few that are
unlike one another, ``taste`` tells what a dish lacks, ``written`` makes recipes of them.
"""
