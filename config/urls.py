"""Where a request goes."""

from django.urls import include, path

from api import health
from api.urls import urlpatterns as v1

handler404 = "api.errors.not_found"
handler500 = "api.errors.broken"

urlpatterns = [
    path("", include(([*health.urls, path("api/v1/", include(v1))], "api"))),
]
