from classes import pair_checks
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load a teacher's yeses that a base may take a flyer."
    load = staticmethod(pair_checks.load)
    class_help = "the class of whose evening the column “tonight” speaks"
