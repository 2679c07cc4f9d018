from classes import yeses
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load a teacher's yeses: to begin, to go without a spot, to show."
    load = staticmethod(yeses.load)
    class_help = "the class of whose evening the column “tonight” speaks"
