"""What to buy, dry, weigh, bag, box and carry: sums over dishes planned for days and eaters.

Everything starts from a sequence of :class:`~fellfare.provision.planned.Planned`
dishes; one recipe for n people is a sequence of one.  Nothing here draws or
writes a file.
"""
