"""Work for the tests of long work."""

from __future__ import annotations

import os
import time

from ropewright.errors import InputError


def add(report, one, two):
    report("adding", 0.5)
    return one + two, os.getpid()


def refuse(report):
    raise InputError("line[0].length", "3", "give a length with its unit")


def fail(report):
    raise RuntimeError("secret detail")


def hang(report):
    report("hanging", 0.25)
    time.sleep(600)


def die(report):
    os._exit(1)
