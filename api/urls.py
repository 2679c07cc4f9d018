"""All routes of the API; each noun lists its own."""

from api import adoptions, drafts, editions, lessons, openapi

app_name = "api"

urlpatterns = [
    *adoptions.urls,
    *drafts.urls,
    *editions.urls,
    *lessons.urls,
    *openapi.urls,
]
