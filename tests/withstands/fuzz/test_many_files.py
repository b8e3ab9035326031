"""A hundred thousand drawings changed by a seeded dice, by two processes: opened or refused in words, none but that.

All are read, and what opens is written and read again; one in fifty of these is judged by every rule, one in a hundred
drawn. `FUZZ_SEED` repeats a run; a file that fails is made smaller and stands where the test says.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

import pytest
from mutations import bytes_changed, drawing_changed
from targets import drawing, drawings, judged, pictured

FILES, WORKERS = 100_000, 2
SAMPLES, SAMPLE = 5, 40  # last of the drawings; one in so many is of these: they are as long as twenty others
JUDGED, DRAWN = 50, 100  # one in so many of those that opened
MOST_FAILING = 5  # of one worker, then it ends
LONGEST_S = 10.0  # for one file: no figure of speed, but an end


def _one(data: bytes, n: int) -> str:
    """What became of it; raises where the program fails."""
    begun = time.process_time()
    installation = drawing(data)
    if installation is not None:
        if n % JUDGED == 0:
            judged(installation)
        if n % DRAWN == 0:
            pictured(installation)
    assert time.process_time() - begun < LONGEST_S, "it took too long"
    return "refused" if installation is None else "opened"


def _became(data: bytes, n: int) -> tuple[str, str]:
    """What became of it, and where the program fails on it: "" where it does not."""
    try:
        return _one(data, n), ""
    except Exception as fault:  # whatever it is, that is what is looked for
        last = traceback.extract_tb(fault.__traceback__)[-1]
        where = f"{type(fault).__name__} at {Path(last.filename).name}:{last.lineno}"
        return "failed", f"{where}: {str(fault)[:200]}"


def _smaller(data: bytes, n: int) -> bytes:
    """The same fault with whole records taken away, as far as that goes."""
    fault = _became(data, n)[1].partition(": ")[0]
    try:
        members = json.loads(data)
    except ValueError:
        return data
    for table in [v for v in members.values() if isinstance(v, dict)]:
        for key in list(table):
            kept = dict(table)
            del table[key]
            if _became(json.dumps(members).encode(), n)[1].partition(": ")[0] != fault:
                table.clear()
                table.update(kept)
    return json.dumps(members).encode()


def _work(seed: str, count: int, out: Path) -> None:
    dice = random.Random(seed)
    corpus, samples = drawings()[:-SAMPLES], drawings()[-SAMPLES:]
    told: Counter[str] = Counter()
    failing: dict[str, str] = {}
    for n in range(count):
        some = samples if n % SAMPLE == 0 else corpus
        source = some[dice.randrange(len(some))]
        way = dice.random()
        data = drawing_changed(source, corpus, dice.randrange) if way < 0.7 else bytes_changed(source, dice.randrange)
        number = told["opened"] + 1
        became, fault = _became(data, number)
        told[became] += 1
        where = fault.partition(": ")[0]
        if where and where not in failing:
            kept = out.with_name(f"{out.stem}-{n}.linewright")
            kept.write_bytes(_smaller(data, number))
            failing[where] = f"{kept}: {fault}"
            if len(failing) >= MOST_FAILING:
                break
    out.write_text(json.dumps({"told": told, "failing": failing}))


@pytest.mark.long
@pytest.mark.posix
def test_a_hundred_thousand_changed_drawings() -> None:
    seed = os.environ.get("FUZZ_SEED") or str(random.SystemRandom().randrange(10**9))
    folder = Path(tempfile.mkdtemp(prefix="changed-drawings-"))  # stays where a file fails
    drawings()
    print(f"FUZZ_SEED={seed}")
    children = []
    for worker in range(WORKERS):
        child = os.fork()
        if child == 0:
            try:
                _work(f"{seed}-{worker}", FILES // WORKERS, folder / f"{worker}.json")
                os._exit(0)
            except BaseException:
                traceback.print_exc()
            finally:
                os._exit(1)
        children.append(child)
    ended = [os.waitpid(child, 0)[1] for child in children]
    assert ended == [0] * WORKERS, (seed, folder)
    results = [json.loads((folder / f"{worker}.json").read_text()) for worker in range(WORKERS)]
    failing = [why for result in results for why in result["failing"].values()]
    assert failing == [], f"FUZZ_SEED={seed}"
    told = sum((Counter(result["told"]) for result in results), Counter())
    print(dict(told))
    assert told.total() == FILES
    assert min(told["opened"], told["refused"]) > FILES // 20  # a search that sees only one of them looks at nothing
    shutil.rmtree(folder)
