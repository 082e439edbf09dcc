"""Places, equipment, clients and what stands about them, for tests."""

from datetime import UTC, date, datetime

import factory

from clients.models import (
    Client,
    ClientLink,
    Equipment,
    HealthConsent,
    HouseRule,
    MarkedMuscle,
    Place,
    Precaution,
    Screening,
)
from clients.questions import QUESTIONS
from clients.services.places import columns
from coachdesk.engine import Barbell, BodyWeight, Dumbbells, Ordinal, Stack
from coachdesk.practice.digest import digest_of, new_token
from coachdesk.practice.text import fold
from tests.factories.practice import MembershipFactory, PracticeFactory

KG_BAR = Barbell("Bar and plates", "kg", 20_000, ((25_000, 4), (20_000, 4), (10_000, 4), (5_000, 4), (2_500, 4)))
KG_DUMBBELLS = Dumbbells("Dumbbells", "kg", tuple(range(2_000, 32_001, 2_000)))
KG_STACK = Stack("Stack", "kg", tuple(range(5_000, 100_001, 5_000)), (2_500,))
BODY = BodyWeight("Body weight", "kg", (0, 5_000, 10_000))
BANDS = Ordinal("Bands", ("light", "medium", "strong"))
ALL_NO = {"v": 1, **{question.key: "no" for question in QUESTIONS}, "effort": "hard"}


class PlaceFactory(factory.django.DjangoModelFactory):
    """A place without equipment."""

    class Meta:
        model = Place

    practice = factory.SubFactory(PracticeFactory)
    name = factory.Sequence(lambda n: f"Gym {n}")


class EquipmentFactory(factory.django.DjangoModelFactory):
    """A kg bar with plates; traits for the other kinds, or `value=` for any engine equipment."""

    class Meta:
        model = Equipment
        exclude = ("value",)

    class Params:
        value = KG_BAR
        dumbbells = factory.Trait(value=KG_DUMBBELLS)
        stack = factory.Trait(value=KG_STACK)
        body_weight = factory.Trait(value=BODY)
        bands = factory.Trait(value=BANDS)

    place = factory.SubFactory(PlaceFactory)
    kind = factory.LazyAttribute(lambda made: columns(made.value)["kind"])
    name = factory.LazyAttribute(lambda made: columns(made.value)["name"])
    unit = factory.LazyAttribute(lambda made: columns(made.value)["unit"])
    spec = factory.LazyAttribute(lambda made: columns(made.value)["spec"])


class ClientFactory(factory.django.DjangoModelFactory):
    """A client of a coach, screened nowhere; `archived=True` takes them off the lists."""

    class Meta:
        model = Client
        skip_postgeneration_save = True

    class Params:
        archived = factory.Trait(archived_on=date(2026, 1, 5))

    coach = factory.SubFactory(MembershipFactory)
    practice = factory.SelfAttribute("coach.practice")
    name = factory.Sequence(lambda n: f"Client {n}")
    folded = factory.LazyAttribute(lambda made: fold(made.name))
    goal = Client.Goal.SIZE
    level = Client.Level.INTERMEDIATE

    @factory.post_generation
    def consent(self, create, extracted, **kwargs):  # type: ignore[no-untyped-def]
        """Health notes may be kept; `consent=False` for one whom nobody asked."""
        if extracted is not False:
            HealthConsent.objects.create(client=self, asked_on=date(2026, 1, 5), given=True, words="Asked.")


class ClientLinkFactory(factory.django.DjangoModelFactory):
    """A phone link made on 24 Nov 2026 for 180 days; `token=` for one you know, `calendar=True`, `revoked=True`."""

    class Meta:
        model = ClientLink
        exclude = ("token",)

    class Params:
        calendar = factory.Trait(kind=ClientLink.Kind.CALENDAR)
        revoked = factory.Trait(revoked_at=datetime(2026, 11, 24, 12, 0, tzinfo=UTC), token_hash=None)

    token = factory.LazyFunction(new_token)
    client = factory.SubFactory(ClientFactory)
    label = "Own phone"
    token_hash = factory.LazyAttribute(lambda made: digest_of(made.token))
    made_on = date(2026, 11, 24)
    expires_on = date(2027, 5, 23)


class ScreeningFactory(factory.django.DjangoModelFactory):
    """Every question answered no on 1 Sep 2026; `refer=True` for one that needs a clinician."""

    class Meta:
        model = Screening

    class Params:
        refer = factory.Trait(outcome=Screening.Outcome.REFER, answers={**ALL_NO, "disease": "yes"})

    client = factory.SubFactory(ClientFactory)
    asked_on = date(2026, 9, 1)
    expires_on = date(2027, 9, 1)
    outcome = Screening.Outcome.CLEAR
    answers = ALL_NO


class PrecautionFactory(factory.django.DjangoModelFactory):
    """A precaution that always was."""

    class Meta:
        model = Precaution

    client = factory.SubFactory(ClientFactory)
    words = "No overhead work on the right"


class MarkedMuscleFactory(factory.django.DjangoModelFactory):
    """Chest, to grow."""

    class Meta:
        model = MarkedMuscle

    client = factory.SubFactory(ClientFactory)
    muscle = "chest"
    aim = MarkedMuscle.Aim.GROW


class HouseRuleFactory(factory.django.DjangoModelFactory):
    """Sixty hours between two hard sessions of a muscle, for everyone."""

    class Meta:
        model = HouseRule

    practice = factory.SubFactory(PracticeFactory)
    client = None
    name = "hours_apart"
    value = 60
