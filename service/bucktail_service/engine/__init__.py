"""The computations of the trade: pure functions over an edition, standard library only."""
