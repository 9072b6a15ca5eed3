"""The root of all addresses. Apps are named by string: this floor imports none of them."""

from django.conf import settings
from django.contrib import admin
from django.contrib.auth import views as auth_views
from django.urls import URLPattern, URLResolver, include, path

from soapshop import views
from soapshop.people_forms import SignInForm
from soapshop.specimen import specimen

urlpatterns: list[URLPattern | URLResolver] = [
    path("up", views.up, name="up"),
    path(
        "sign-in/",
        auth_views.LoginView.as_view(authentication_form=SignInForm, redirect_authenticated_user=True),
        name="login",
    ),
    path("sign-out/", auth_views.LogoutView.as_view(), name="logout"),
    path("first-owner/", views.first_owner, name="first-owner"),
    path("settings/", views.workshop_settings, name="workshop-settings"),
    path("settings/people/", views.people, name="people"),
    path("settings/people/new/", views.person_new, name="person-new"),
    path("settings/people/<int:pk>/", views.person_edit, name="person-edit"),
    path("settings/people/<int:pk>/password/", views.person_password, name="person-password"),
    path("settings/people/<int:pk>/close/", views.person_close, name="person-close"),
    path("settings/password/", views.own_password, name="own-password"),
    path("admin/", admin.site.urls),
    path("search/", include("production.search.urls")),
    path("", include("formulas.urls")),
    path("", include("orders.urls")),
    path("", include("production.urls")),
]

if settings.DEBUG or settings.TESTING:
    # Every part of a page side by side, for those who draw them.
    urlpatterns.append(path("specimen/", specimen, name="specimen"))
