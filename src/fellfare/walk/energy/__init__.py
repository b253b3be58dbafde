"""How much power does walking take?  One file per published model.

``lcda_backpacking`` is the house's choice; the others are there for the
spread.  Each file has the bare formula in the paper's letters and a door,
``walking_power_w``, that all share: ``body_kg``, ``load_kg``, ``speed_m_s``,
``grade`` (fraction), ``eta``, ``rest_w``.
"""
