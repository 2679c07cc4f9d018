from classes import history
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load the tries of a class."
    load = staticmethod(history.load)
    class_help = "the class"
    class_required = True
