from importlib import import_module

from accounts.commands import PlainCommand, Refused, read_file
from engine.files import BadFile

# question -> module and function that answer it; only the one asked for is imported
ANSWERS = {
    "trace": ("engine.readiness.trace", "run_trace"),
    "combine": ("engine.readiness.prerequisites", "run_combine"),
}


class Command(PlainCommand):
    help = (
        "Answer a single question from a file: what the tries of one chain come to (trace), or"
        " what a tree of needs hangs on (combine). Needs no database."
    )
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument("question", choices=tuple(ANSWERS))
        parser.add_argument("file", help="a JSON file, or - for standard input")

    def handle(self, *args, question, file, **options):
        module, function = ANSWERS[question]
        answer = getattr(import_module(module), function)
        try:
            self.stdout.write(answer(read_file(file)))
        except BadFile as error:
            raise Refused(f"{file}: {error}") from None
