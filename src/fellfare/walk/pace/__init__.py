"""How fast does one walk?  One file per published rule; Campbell 2022 is the house's choice."""
