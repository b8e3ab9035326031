"""A network as ngspice sees it: what is written, what comes back. Nothing of our own solver is used.

Direct current is an operating point. Sources with a limit or taking nothing back, diodes and loads are behavioural
currents with the same meaning in ngspice's own words (min, max, ?:). Alternating current is one frequency; ngspice is
linear there, so loads that depend on their volts are currents worked out from the volts of the run before, until two
runs agree.

Options for ten figures and more: Newton's tolerances far below what is compared, gmin far below every conductance.
"""

from __future__ import annotations

import math
import subprocess
import tempfile
from pathlib import Path
from typing import NamedTuple

import numpy as np

from engine.circuit.solve.network import CURRENT, POWER, RESISTANCE, Array, Network

__all__ = ["Outside", "run", "time_of", "write"]

NOTHING_OHM = 1e15  # through which nothing flows that counts
FREQUENCY_HZ = 50.0
OPTIONS = ".options reltol=1e-10 abstol=1e-14 vntol=1e-12 gmin=1e-16 itl1=1000"
MOST_RUNS = 30


class Outside(NamedTuple):
    """What ngspice found; volts against its own zero, currents as in `Solution`."""

    volts: Array
    load_v: Array
    load_a: Array
    source_a: Array


def _islands(network: Network) -> list[int]:
    """For each point the point that its island is grounded at."""
    above = list(range(network.size))

    def top(point: int) -> int:
        while above[point] != point:
            point = above[point]
        return point

    for ends in (
        zip(network.a, network.b, strict=True),
        zip(network.source_pos, network.source_neg, strict=True),
        zip(network.diode_a, network.diode_b, strict=True),
        zip(network.load_pos, network.load_neg, strict=True),
    ):
        for one, other in ends:
            one, other = sorted((top(one), top(other)))
            above[other] = one
    return [top(point) for point in range(network.size)]


def _impedance(name: str, one: str, other: str, z: complex) -> list[str]:
    """A resistance, with a coil or a capacitor behind it where there is reactance."""
    z = complex(z)
    omega = 2 * math.pi * FREQUENCY_HZ
    if z.imag == 0:
        return [f"R{name} {one} {other} {z.real!r}"]
    part = (
        f"L{name} m{name} {other} {z.imag / omega!r}"
        if z.imag > 0
        else f"C{name} m{name} {other} {-1 / (omega * z.imag)!r}"
    )
    return [f"R{name} {one} m{name} {z.real!r}", part]


def write(network: Network, load_a: Array | None = None, near: Array | None = None) -> str:
    """The network as a netlist. AC needs `load_a`, what its loads take; `near` are volts for Newton to begin at."""
    grounds = _islands(network)

    def node(point: int) -> str:
        return "0" if grounds[point] == point else f"n{point}"

    is_ac = network.dtype is complex
    lines = ["a network", OPTIONS]
    for i, (one, other, z) in enumerate(zip(network.a, network.b, network.z, strict=True)):
        if one != other:
            lines += _impedance(f"b{i}", node(one), node(other), z)
    for i, emf in enumerate(network.emf):
        pos, neg, z = node(network.source_pos[i]), node(network.source_neg[i]), network.source_z[i]
        if is_ac:
            phase = math.degrees(math.atan2(complex(emf).imag, complex(emf).real))
            lines += [f"Vs{i} e{i} {neg} AC {abs(emf)!r} {phase!r}", *_impedance(f"s{i}", f"e{i}", pos, z)]
        elif math.isfinite(network.limit_a[i]) or network.one_way[i]:
            amps = f"({complex(emf).real!r}-V({pos},{neg}))/{complex(z).real!r}"
            if math.isfinite(network.limit_a[i]):
                amps = f"min({network.limit_a[i]!r},{amps})"
            if network.one_way[i]:
                amps = f"max(0,{amps})"
            lines.append(f"Bs{i} {neg} {pos} I={amps}")
        else:
            behind = pos if z == 0 else f"e{i}"  # an ideal source stands in ngspice without any resistance
            lines.append(f"Vs{i} {behind} {neg} DC {complex(emf).real!r}")
            if z != 0:
                lines.append(f"Rs{i} {behind} {pos} {complex(z).real!r}")
    for i, z in enumerate(network.diode_z):
        one, other = node(network.diode_a[i]), node(network.diode_b[i])
        lines.append(f"Bd{i} {one} {other} I=max(0,(V({one},{other})-{network.diode_v[i]!r})/{z!r})")
    for i, (kind, value) in enumerate(zip(network.load_kind, network.load_value, strict=True)):
        pos, neg = node(network.load_pos[i]), node(network.load_neg[i])
        if kind == RESISTANCE:
            lines += _impedance(f"l{i}", pos, neg, value)
        elif is_ac:
            assert load_a is not None
            amps = complex(load_a[i])
            if amps == 0:  # what is switched off may hang on nothing else, and ngspice wants a way to every point
                lines.append(f"Rl{i} {pos} {neg} {NOTHING_OHM!r}")
                continue
            lines.append(f"Il{i} {pos} {neg} AC {abs(amps)!r} {math.degrees(math.atan2(amps.imag, amps.real))!r}")
        else:
            lines.append(f"Bl{i} {pos} {neg} I={_direct_load(kind, complex(value).real, network.floor_v[i], pos, neg)}")
    if near is not None and not is_ac:
        lines += [
            f".nodeset V({node(p)})={float(near[p] - near[grounds[p]])!r}"
            for p in range(network.size)
            if grounds[p] != p
        ]
    lines += [f".ac lin 1 {FREQUENCY_HZ} {FREQUENCY_HZ}" if is_ac else ".op", ".end", ""]
    return "\n".join(lines)


def _direct_load(kind: int, value: float, floor_v: float, pos: str, neg: str) -> str:
    volts = f"V({pos},{neg})"
    if kind == CURRENT:
        return f"{volts}>{floor_v!r} ? {value!r} : {value!r}/{floor_v!r}*{volts}" if floor_v else repr(value)
    if not floor_v:
        return f"{value!r}/{volts}"
    return f"{volts}>{floor_v!r} ? {value!r}/{volts} : {value!r}/{floor_v * floor_v!r}*{volts}"


def _simulate(netlist: str) -> dict[str, complex]:
    """Run ngspice in batch; every vector of its binary file by name, last value."""
    with tempfile.TemporaryDirectory() as folder:
        source, raw = Path(folder, "in.cir"), Path(folder, "out.raw")
        source.write_text(netlist)
        done = subprocess.run(
            ["ngspice", "-b", "-r", str(raw), str(source)], capture_output=True, text=True, check=False, timeout=250
        )
        if not raw.exists():
            raise RuntimeError(f"ngspice made no result: {done.stdout[-2000:]} {done.stderr[-2000:]}")
        return _read(raw.read_bytes())


def _read(raw: bytes) -> dict[str, complex]:
    head, _, body = raw.partition(b"Binary:\n")
    lines = head.decode().splitlines()
    count = int(next(line for line in lines if line.startswith("No. Variables:")).split(":")[1])
    is_complex = any(line.startswith("Flags:") and "complex" in line for line in lines)
    first = next(i for i, line in enumerate(lines) if line.startswith("Variables:")) + 1
    names = [line.split()[1].lower() for line in lines[first : first + count]]
    values = np.frombuffer(body, dtype=np.complex128 if is_complex else np.float64)[-count:]
    return dict(zip(names, (complex(v) for v in values), strict=True))


def run(network: Network, near: Array | None = None) -> Outside:
    """Solve a network by ngspice. Points that nothing joins are at 0 V."""
    if network.dtype is complex:
        return _run_alternating(network)
    found = _simulate(write(network, near=near))
    volts = np.array([found.get(f"v(n{point})", 0j).real for point in range(network.size)])
    load_v = _across(volts, network.load_pos, network.load_neg)
    return Outside(volts, load_v, _load_a(network, load_v), _source_a(network, volts, found))


def _run_alternating(network: Network) -> Outside:
    load_a = np.zeros(len(network.load_value), dtype=complex)
    before = np.zeros(network.size, dtype=complex)
    for _ in range(MOST_RUNS):
        found = _simulate(write(network, load_a))
        volts = np.array([found.get(f"v(n{point})", 0j) for point in range(network.size)])
        load_v = _across(volts, network.load_pos, network.load_neg)
        load_a = _load_a(network, load_v)
        if np.abs(volts - before).max() <= 1e-13 * np.abs(volts).max():
            return Outside(volts, load_v, load_a, _source_a(network, volts, found))
        before = volts
    raise RuntimeError("the runs of ngspice do not agree with each other")


def _across(volts: Array, pos: list[int], neg: list[int]) -> Array:
    return volts[np.array(pos, dtype=int)] - volts[np.array(neg, dtype=int)]


def _load_a(network: Network, load_v: Array) -> Array:
    """What each load takes at its volts, from what `Network` says of kinds and floors."""
    amps = []
    for kind, value, floor_v, volts in zip(
        network.load_kind, network.load_value, network.floor_v, load_v.tolist(), strict=True
    ):
        if kind == RESISTANCE:
            amps.append(volts / value)
            continue
        size = max(abs(volts), floor_v)
        if size == 0:
            amps.append(0.0)
        elif kind == POWER:
            amps.append(complex(value).conjugate() * volts / size**2)
        else:
            amps.append(value * volts / size)
    out = np.array(amps, dtype=complex)
    return out if network.dtype is complex else out.real


def _source_a(network: Network, volts: Array, found: dict[str, complex]) -> Array:
    amps = []
    for i, emf in enumerate(network.emf):
        own = found.get(f"i(vs{i})")
        if own is not None:  # ngspice counts a current into the plus of a source
            amps.append(-own)
            continue
        across = volts[network.source_pos[i]] - volts[network.source_neg[i]]
        would = (complex(emf).real - across) / complex(network.source_z[i]).real
        would = min(would, network.limit_a[i])
        amps.append(max(would, 0.0) if network.one_way[i] else would)
    out = np.array(amps, dtype=complex)
    return out if network.dtype is complex else out.real


def time_of(netlist: str) -> float:
    """Seconds that `ngspice -b` takes with a netlist, its start and its reading included."""
    import time

    start = time.perf_counter()
    _simulate(netlist)
    return time.perf_counter() - start
