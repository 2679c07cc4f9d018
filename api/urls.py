"""All routes of the API; each noun lists its own."""

from api import lessons, openapi

app_name = "api"

urlpatterns = [
    *lessons.urls,
    *openapi.urls,
]
