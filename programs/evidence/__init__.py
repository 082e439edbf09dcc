"""Evidence cards: finding them, holding one against a client, and the coach's own."""
