"""What a browser may do with what is sent, beside what Django and django-csp say of it."""

ASKED_FOR_ALWAYS = ("/sw.js", "/index.html")
# A screen that stays awake during a lesson is all that the client asks of a phone.
UNUSED = (
    "accelerometer",
    "camera",
    "display-capture",
    "geolocation",
    "gyroscope",
    "hid",
    "magnetometer",
    "microphone",
    "midi",
    "payment",
    "serial",
    "usb",
)
POLICY = ", ".join(["screen-wake-lock=(self)", *(f"{name}=()" for name in UNUSED)])


class Headers:
    """Says so with every answer."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        response["Permissions-Policy"] = POLICY
        response["Cross-Origin-Resource-Policy"] = "same-origin"
        return response


def always_asked_for(headers, path, url):
    """What a new build replaces under the same name is asked for each time."""
    if url in ASKED_FOR_ALWAYS:
        headers["Cache-Control"] = "no-cache"
