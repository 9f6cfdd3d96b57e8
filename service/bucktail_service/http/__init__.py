"""The edge: everything that knows HTTP."""
