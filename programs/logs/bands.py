"""The weekly band of sets for a client's muscle, asked of the engine in one place."""

from coachdesk import engine


def band_of(traits: engine.ClientTraits, muscle: str, rules: engine.Rules) -> tuple[float, float] | None:
    """(low, high) fractional sets a week for this muscle of such a client; None: the coach decides."""
    found = engine.band_for(traits, muscle, rules)
    return found[0] if found else None
