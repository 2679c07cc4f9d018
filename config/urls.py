"""Where a request goes."""

from django.urls import include, path

handler404 = "api.errors.not_found"
handler500 = "api.errors.broken"

urlpatterns = [
    path("api/v1/", include("api.urls")),
]
