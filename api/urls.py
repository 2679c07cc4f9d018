"""All routes of the API; each noun lists its own."""

from api import openapi

app_name = "api"

urlpatterns = [
    *openapi.urls,
]
