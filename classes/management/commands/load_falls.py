from classes import falls
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load falls and near misses, and that a teacher has looked."
    load = staticmethod(falls.load)
