"""Practices, users and memberships for tests."""

import factory

from coachdesk.practice.models import Membership, Practice, User


class PracticeFactory(factory.django.DjangoModelFactory):
    """A practice in kg."""

    class Meta:
        model = Practice

    name = factory.Sequence(lambda n: f"Practice {n}")


class UserFactory(factory.django.DjangoModelFactory):
    """Somebody who signs in by link; give `password` to set one."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    name = factory.Sequence(lambda n: f"Coach {n}")
    email = factory.Sequence(lambda n: f"coach{n}@example.org")

    @factory.post_generation
    def password(self, create, extracted, **kwargs):  # type: ignore[no-untyped-def]
        if extracted:
            self.set_password(extracted)
        else:
            self.set_unusable_password()
        self.save()


class MembershipFactory(factory.django.DjangoModelFactory):
    """A coach; `owner=True` or `assistant=True` for the other roles."""

    class Meta:
        model = Membership

    class Params:
        owner = factory.Trait(role=Membership.Role.OWNER)
        assistant = factory.Trait(role=Membership.Role.ASSISTANT)

    practice = factory.SubFactory(PracticeFactory)
    user = factory.SubFactory(UserFactory)
    role = Membership.Role.COACH
