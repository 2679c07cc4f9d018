"""All routes of the API; each noun lists its own."""

from api import (
    adoptions,
    attendance,
    classes,
    closures,
    drafts,
    editions,
    events,
    falls,
    invitations,
    lessons,
    me,
    openapi,
    policy,
    rosters,
    staff,
    studios,
    terms,
    tokens,
)

app_name = "api"

urlpatterns = [
    *adoptions.urls,
    *attendance.urls,
    *classes.urls,
    *closures.urls,
    *drafts.urls,
    *editions.urls,
    *events.urls,
    *falls.urls,
    *invitations.urls,
    *lessons.urls,
    *me.urls,
    *openapi.urls,
    *policy.urls,
    *rosters.urls,
    *staff.urls,
    *studios.urls,
    *terms.urls,
    *tokens.urls,
]
