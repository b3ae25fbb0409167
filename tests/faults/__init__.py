"""Faults on purpose: what is acknowledged stays, whatever breaks. One file for each F number.

Each check is a function that returns figures. It must hold on the real thing and must not hold
on its twin with a fault built in (``sabotage.py``): a check that cannot fail shows nothing. Short
forms run with every test, full counts with ``--long``, whose figures are kept in ``FIGURES.md``.
"""
