from classes import wishes
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load who is kept apart or together."
    load = staticmethod(wishes.load)
