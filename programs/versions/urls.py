"""Paths for versions of templates."""

from django.urls import path

from programs.versions import views

urlpatterns = [
    path("programs/<int:pk>/versions/", views.template_versions, name="template_versions"),
    path("programs/<int:pk>/versions/compare/", views.version_compare, name="version_compare"),
    path("programs/<int:pk>/versions/<int:number>/restore/", views.version_restore, name="version_restore"),
    path("programs/<int:pk>/versions/apply/", views.version_apply, name="version_apply"),
]
