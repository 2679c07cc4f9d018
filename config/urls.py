"""Where a request goes."""

from django.urls import include, path

from api import health, sign_in

handler400 = "api.errors.bad_request"
handler404 = "api.errors.not_found"
handler500 = "api.errors.broken"

urlpatterns = [
    *health.urls,
    path("api/v1/", include("api.urls")),
    path("_allauth/browser/v1/", include(sign_in.urls)),
]
