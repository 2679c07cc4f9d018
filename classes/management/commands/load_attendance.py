from classes import attendance
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load who came to the lessons of a class."
    load = staticmethod(attendance.load)
    class_help = "the class"
    class_required = True
