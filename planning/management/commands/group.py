from accounts.commands import PlainCommand, Refused, read_file
from engine.files import BadFile
from engine.grouping import command


class Command(PlainCommand):
    help = "Find groups for a file of the format grouping/1; needs no database."
    requires_system_checks = ()

    def add_arguments(self, parser):
        parser.add_argument("file", help="a grouping/1 file, or - for standard input")
        parser.add_argument(
            "--effort",
            type=float,
            metavar="N",
            help="stop after N units of the solver's deterministic time; without it: until proven",
        )

    def handle(self, *args, file, effort, **options):
        if effort is not None and not effort > 0:
            raise Refused("--effort: should be above 0")
        try:
            self.stdout.write(command.run(read_file(file), effort=effort))
        except BadFile as error:
            raise Refused(f"{file}: {error}") from None
