"""All routes of the API; each noun lists its own."""

from api import adoptions, attendance, drafts, editions, lessons, openapi

app_name = "api"

urlpatterns = [
    *adoptions.urls,
    *attendance.urls,
    *drafts.urls,
    *editions.urls,
    *lessons.urls,
    *openapi.urls,
]
