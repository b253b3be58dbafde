"""One walk with its people, kit and stops: what the other rooms plan for."""
