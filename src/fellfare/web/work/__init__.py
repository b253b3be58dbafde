"""What takes longer than a page may: plans that are kept at hand, menus that are worked out."""
