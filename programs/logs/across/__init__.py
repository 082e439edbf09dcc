"""Several clients beside each other: muscles over the practice, one programme's clients, and what RIR answers say."""
