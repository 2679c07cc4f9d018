#!/usr/bin/env python
import os
import signal
import sys

from django.core.management import execute_from_command_line

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    if hasattr(signal, "SIGPIPE"):
        # Whoever looks at the first lines alone closes the pipe: that is no error of ours.
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    execute_from_command_line(sys.argv)
