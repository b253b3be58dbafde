"""From a whole trip and its menu: what is bought, dried, weighed, bagged, posted and carried."""
