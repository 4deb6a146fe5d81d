"""Where anchors and things inside are set, and what to see to before foam buries them."""
