"""Write entries into a log one by one and say the number of each once it is acknowledged.

Run as a process of its own by the tests: python writer.py LOG COUNT AUTHOR
"""

import sys

from slingwright.logbook import Decision, Logbook, LogbookError


def main() -> int:
    path, count, author = sys.argv[1], int(sys.argv[2]), sys.argv[3]
    with Logbook.open(path) as log:
        for turn in range(count):
            text = f"{author} {turn} " + "oak and rope " * (turn % 40)
            try:
                entry = log.append(Decision(what=text, reason="to see it kept"), author=author)
            except LogbookError as error:
                print(f"refused {error}", flush=True)
                return 3
            print(entry.number, flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
