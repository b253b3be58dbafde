"""What came home, and how it corrects the next plan.

``log`` is what was written down; ``appetite``, ``energy``, ``pace``, ``kitchen`` and
``liking`` each learn one thing from it, all by Bayes with a stated prior; ``lessons`` joins
them and says them in words; ``applied`` puts them into the next trip.
"""
