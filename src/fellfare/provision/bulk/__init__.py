"""Bulk rationing: a party's food without a menu.

``asked`` is what it is asked, ``ration`` goes from factors to bags, ``said`` what there is to say
of it.
"""
