"""All routes of the API; each noun lists its own."""

app_name = "api"

urlpatterns = []
