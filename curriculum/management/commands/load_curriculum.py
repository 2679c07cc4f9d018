from accounts.commands import Refused, SchoolCommand, day, read_file
from accounts.faults import BadDocument
from curriculum import editions


class Command(SchoolCommand):
    help = "Check a curriculum file and publish it as the next edition."
    refusals = (BadDocument,)

    def add_arguments(self, parser):
        super().add_arguments(parser)
        parser.add_argument(
            "file", help="a file of the format curriculum/1, or - for standard input"
        )
        parser.add_argument("--dry-run", action="store_true", help="check only")
        parser.add_argument(
            "--use-from",
            type=day,
            metavar="DATE",
            help="take the newest edition into use from this local date",
        )
        parser.add_argument("--studio", metavar="NAME", help="with --use-from: only at this studio")

    def run(self, scope, *, now, file, dry_run, use_from, studio, **options):
        if studio and not use_from:
            raise Refused("--studio: goes with --use-from")
        known = editions.studios(scope)
        if studio and studio not in known:
            raise Refused(f"--studio: no studio is called “{studio}”")
        curriculum = editions.read_curriculum(read_file(file))
        for warning in curriculum.warnings:
            self.stdout.write(f"to look at: {warning.message}")
        self.stdout.write(f"{len(curriculum.cards)} skills, no fault")
        if dry_run:
            self.stdout.write("dry run: nothing was loaded")
            return
        published = editions.publish(scope, curriculum=curriculum, at=now)
        if published.is_new:
            self.stdout.write(
                f"published as edition {published.number}: {len(published.added)} new,"
                f" {len(published.changed)} changed, {len(published.gone)} gone"
            )
        else:
            self.stdout.write(f"this is edition {published.number} already: nothing changed")
        for name in editions.adopt_first(scope, at=now):
            self.stdout.write(f"in use at {name} from the start")
        if use_from:
            for name in [studio] if studio else known:
                is_new = editions.adopt(
                    scope,
                    studio_id=known[name],
                    number=published.number,
                    from_date=use_from,
                    at=now,
                )
                self.stdout.write(
                    f"{'in use' if is_new else 'already in use'} at {name} from {use_from}"
                )
