"""The rules, one function each; :mod:`fellfare.safety.registry` lists them all."""
