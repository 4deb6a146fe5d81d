"""2,000 job files, each a good one broken by its numbered seed: a job or one sentence, within seconds."""

import random
import time
from pathlib import Path

import pytest
import trimesh

from pourwright.errors import PourwrightError
from pourwright.intake import read_job

DEMOS = sorted((Path(__file__).parents[2] / "demo_shells").glob("*/job.toml"))
WORDS = [
    '"9**9**9 m"', '"-5 mm"', '"nan mm"', "1e400", "[[[[[[", '"""', "inf", '"../../../etc/passwd"', '"/etc/passwd"',
    '"5 mm\\u0000"', "{a={a={a=1}}}", "0x7fffffffffffffffffff", '"5 furlong"', "true", "1979-05-27T07:32:00Z",
    '"' + "m" * 3000 + '"', "[piece]", "= = =", "\x00", "\ud7ff", '"5 degC"', "-0.0", "[]", '"1/0 in"',
]  # fmt: skip


def broken(seed):
    pick = random.Random(seed)
    text = pick.choice(DEMOS).read_text(encoding="utf-8")
    lines = text.splitlines()
    for _ in range(pick.randint(1, 4)):
        k = pick.randrange(len(lines))
        way = pick.randrange(6)
        if way == 0:
            del lines[k]
        elif way == 1:
            lines.insert(k, pick.choice(lines))
        elif way == 2 and "=" in lines[k]:
            lines[k] = lines[k].split("=")[0] + "= " + pick.choice(WORDS)
        elif way == 3:
            at = pick.randrange(len(lines[k]) + 1)
            lines[k] = lines[k][:at] + chr(pick.randrange(1, 0x2FF)) + lines[k][at:]
        elif way == 4:
            lines[k] = lines[k][: pick.randrange(len(lines[k]) + 1)]
        else:
            lines[k] = pick.choice(WORDS)
        if not lines:
            lines = [""]
    return "\n".join(lines)


def try_seeds(folder, seeds):
    for name in ("heron.stl", "tender.ply", "ram.ply"):
        trimesh.creation.icosphere(subdivisions=1, radius=0.5).export(folder / name)
    read = refused = 0
    for seed in seeds:
        path = folder / "job.toml"
        path.write_text(broken(seed), encoding="utf-8", errors="surrogatepass")
        began = time.perf_counter()
        try:
            read_job(path)
            read += 1
        except PourwrightError as error:
            words = str(error)
            refused += 1
            one_line = "\n" not in words and len(words) < 2000
            if not one_line:
                pytest.fail(f"seed {seed}: {words[:300]}")
        assert time.perf_counter() - began < 10, seed
    return read, refused


def test_some_broken_jobs(tmp_path):
    read, refused = try_seeds(tmp_path, range(60))
    assert read
    assert refused > 20


@pytest.mark.slow
def test_two_thousand_broken_jobs(tmp_path):
    read, refused = try_seeds(tmp_path, range(2000))
    assert read + refused == 2000
