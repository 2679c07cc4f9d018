"""Calls at the same moment, each with a connection of its own. Only PostgreSQL has two writers."""

from threading import Barrier, Thread

from django.db import connection


def at_once(*calls):
    """What each call, made in its own thread at the same moment, returned or raised."""
    start, found = Barrier(len(calls)), [None] * len(calls)

    def run(place, call):
        start.wait()
        try:
            found[place] = call()
        except Exception as error:
            found[place] = error
        finally:
            connection.close()

    threads = [Thread(target=run, args=pair) for pair in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found
