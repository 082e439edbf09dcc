"""The evidence cards every practice starts with: facts in our own words, each with its source and how it was seen."""

from programs.library.evidence.care import CARE
from programs.library.evidence.entry import Card
from programs.library.evidence.fatigue import FATIGUE
from programs.library.evidence.rests_and_reps import RESTS_AND_REPS
from programs.library.evidence.techniques import TECHNIQUES
from programs.library.evidence.volume import VOLUME

CARDS: tuple[Card, ...] = TECHNIQUES + VOLUME + FATIGUE + RESTS_AND_REPS + CARE
