"""Faults on purpose: what is acknowledged stays, whatever breaks. One file for each F number.

Each check is a function that returns figures. It must hold on the real thing and must not hold
on its twin with a fault built in (``sabotage.py``): a check that cannot fail shows nothing. Short
forms run with every test, full counts with ``--long``, whose figures are kept in ``FIGURES.md``.

``pytest -m fault_f19`` runs one fault and its twin, ``-m fault`` all. What there is:

=============  ==================================================  ================================
marker         fault                                               twin, which must be found out
=============  ==================================================  ================================
``fault_f01``  SIGKILL while four clients write                    answers before the commit
``fault_f02``  the power goes                                      does not wait for the disk
``fault_f03``  PostgreSQL stops under load and while idle          lends connections without asking
``fault_f04``  two editors of one draft                            looks first, writes later
``fault_f05``  bodies and files by chance                          without its handlers
``fault_f06``  500 damaged route files                             swallows what it could not read
``fault_f07``  the disk is full, then grows                        acknowledges what had no room
``fault_f09``  senders that dawdle                                 waits as long as they like
``fault_f10``  bodies of 64 MB                                     without a cap
``fault_f12``  SIGTERM with requests at work                       ends at once
``fault_f14``  backups while four clients write                    copies the file, or many moments
``fault_f15``  every released schema, killed on its way            tables made outside a transaction
``fault_f16``  a database that must not be opened                  opens it
``fault_f18``  the clock steps                                     orders its record by the clock
``fault_f19``  parcels damaged, lost, repeated, late; kills        trusts, holds nothing, halves
``fault_f20``  alterations behind the service's back               trusts what is stored
``fault_f21``  other hash seeds, processors, orders, processes     hangs on an order
=============  ==================================================  ================================

F8, F11, F13 and F17 are about load and the jobs of fleets.
"""
