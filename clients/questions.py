"""The screening questions, in the desk's own words, and what the answers lead to.

What is asked follows the structure of Riebe D et al 2015 (Med Sci Sports Exerc 47:2473-2479): present
activity, known disease of heart, metabolism or kidneys, signs and symptoms, and the effort intended. The questions on
medicines, pregnancy, joints and advice, and the validity of 12 months, are common practice without a source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

SOURCE = "Riebe D et al 2015 Med Sci Sports Exerc 47:2473-2479 for what is asked; the wording is the desk's own"
VALID_DAYS = 365
LONGEST_VALID_DAYS = 2 * 365


@dataclass(frozen=True)
class Question:
    """One question. `refers`: a yes means that a clinician should see this person first."""

    key: str
    words: str
    hint: str
    refers: bool


QUESTIONS: tuple[Question, ...] = (
    Question(
        "active",
        "Over the last three months, have they trained or moved briskly for half an hour or more on three days "
        "of most weeks?",
        "Not a reason to wait by itself; somebody inactive begins lighter.",
        False,
    ),
    Question(
        "disease",
        "Do they have, or have they had, a disease of the heart or blood vessels, of metabolism such as diabetes, "
        "or of the kidneys?",
        "Also high blood pressure that is being treated or watched.",
        True,
    ),
    Question(
        "symptoms",
        "At rest or with light effort, do they get chest pain or tightness, unusual breathlessness, faintness, "
        "a racing or uneven pulse, swollen ankles, or calf pain that stops them walking?",
        "Any one of them counts as yes, even if it passed.",
        True,
    ),
    Question(
        "medicines",
        "Do they take prescribed medicine that bears on exercise: for blood pressure, heart rhythm, clotting, "
        "blood sugar, breathing or pain?",
        "Name it in the note.",
        True,
    ),
    Question(
        "pregnancy", "Are they pregnant, or did they give birth within the last six months?", "", True
    ),
    Question(
        "joints",
        "Is there an injury, operation, joint, bone or nerve complaint that lifting could make worse?",
        "What stays after clearance belongs in the precautions.",
        True,
    ),
    Question(
        "advice",
        "Are they under medical advice that limits what they may do, or who must be present?",
        "",
        True,
    ),
)  # fmt: skip
EFFORTS = [
    ("light", "light: talking is easy throughout"),
    ("moderate", "moderate: several reps always in reserve"),
    ("hard", "hard: sets near failure, or maximum lifts"),
]
ANSWERS = [("yes", "yes"), ("no", "no")]
CAUTION = (
    "This supports a qualified coach. It replaces neither medical advice nor licensed practice nor local "
    "rules; what a clinician decides comes first."
)


def referring(answers: Mapping[str, str]) -> list[Question]:
    """The questions answered yes for which a clinician comes first."""
    return [question for question in QUESTIONS if question.refers and answers.get(question.key) == "yes"]


def default_expiry(asked_on: date) -> date:
    """Twelve months after asking (common practice)."""
    return asked_on + timedelta(days=VALID_DAYS)
