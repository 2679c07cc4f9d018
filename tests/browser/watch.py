"""What a page must never do, whatever else a test is about."""

VIOLATIONS = """addEventListener('securitypolicyviolation', (event) =>
  console.error(`may not: ${event.violatedDirective} ${event.blockedURI}`))"""
# A server that is away or refuses is what these tests are about.
EXPECTED = "Failed to load resource"
# The frame warns of what it may get wrong, such as a page that is read after it has gone.
OF_THE_FRAME = "https://svelte.dev/e/"


class Watch:
    """Of a context, from when it is made: complaints on the console, and requests elsewhere."""

    def __init__(self, context, server) -> None:
        self._complaints: list[str] = []
        self._outside: list[str] = []
        self._home = (server.url, "data:", f"blob:{server.url}", "about:")
        context.add_init_script(VIOLATIONS)
        context.on("weberror", lambda one: self._complaints.append(str(one.error)))
        context.on("console", self._heard)
        context.on("request", self._asked)

    def check(self) -> None:
        assert not self._complaints, self._complaints
        assert not self._outside, self._outside

    def _heard(self, said) -> None:
        wrong = said.type == "error" and not said.text.startswith(EXPECTED)
        if wrong or OF_THE_FRAME in said.text:
            self._complaints.append(said.text)

    def _asked(self, request) -> None:
        if not request.url.startswith(self._home):
            self._outside.append(request.url)
