"""Writers at once on a SQLite file of their own: run by test_concurrency in a process of its own.

The argument is the work: "amend" lets every writer amend one revision, "create" lets each record a
load. What came of it is printed as one JSON object.
"""

import json
import sys
import threading

WRITERS = 12


def main(work: str) -> None:
    """Make the database, let the writers begin together, and print the outcome."""
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    from farmrecords.history import verify
    from farmrecords.loads.models import Load
    from tests.history.farms import Farm

    farm = Farm()
    shared = farm.recorded()
    loads = [farm.load(gallons) for gallons in range(1000, 1000 + WRITERS)]
    seq = farm.log.head_seq
    outcomes = _together(lambda n: _amend(shared.pk, n) if work == "amend" else _create(*loads[n]))
    told = {
        "outcomes": outcomes,
        "added": farm.log.head_seq - seq,
        "loads": Load.objects.count(),
        "rev": Load.objects.get(pk=shared.pk).rev,
        "problems": verify.check(farm.log, state=True).problems,
    }
    sys.stdout.write(json.dumps(told) + "\n")


def _together(work):
    from django.db import connection

    outcomes = []
    begin = threading.Barrier(WRITERS)

    def one(number):
        begin.wait(60)
        try:
            outcomes.append(work(number))
        except Exception as error:
            outcomes.append(type(error).__name__)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    return outcomes


def _amend(pk, number):
    from farmrecords.loads.models import Load
    from tests.history.farms import change

    mine = Load.objects.get(pk=pk)
    with change() as under_way:
        values = {"note": f"writer {number}"}
        under_way.amend(mine, base_rev=1, values=values, reason_code="x")
    return "written"


def _create(load, parts):
    from tests.history.farms import change

    with change() as under_way:
        under_way.create(load, parts)
    return "written"


if __name__ == "__main__":
    main(sys.argv[1])
