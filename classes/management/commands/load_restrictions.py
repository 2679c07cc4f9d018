from classes import restrictions
from classes.management.fact_command import FactCommand


class Command(FactCommand):
    help = "Load what is not for now, from a day until a day."
    load = staticmethod(restrictions.load)
