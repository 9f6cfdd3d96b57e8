"""The command `bucktail`: arguments -> client -> text, JSON or CSV."""
