"""Does the plan stand when something goes wrong?

``eaten`` is who eats what when, ``blows`` what can go wrong and what is left then, ``helping``
which 150 g would help most, ``swings`` which assumptions move the answer most.
"""
