"""Which bags are filled at home, what is in each, and in which bag does it lie?"""
