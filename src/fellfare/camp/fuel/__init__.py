"""Which fuel, how much of it, and does it still work in the cold?"""
