"""The verbs of own soap: into stock, rebatched, reworked, or poured on from one pot into another mold."""
