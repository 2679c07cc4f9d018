from classes import agreements
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load what guardians have agreed to or withdrawn."
    load = staticmethod(agreements.load)
