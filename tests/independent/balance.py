"""The design heat balance of a plant file, computed anew: from the file alone, with properties that are not ours and
equations written apart from the engine's.

    python balance.py PLANT.json

Prints JSON. Where the engine solves all flows at once by elimination, this goes round the train heater by heater until
the condensate flow no longer changes; where the engine inverts property tables, this bisects the forward equations.

Units inside: kg, s, m, Pa, K, J/kg.
"""

import json
import sys

from CoolProp.CoolProp import PropsSI

GRAVITY = 9.80665
KELVIN = 273.15
FLUID = "IF97::Water"


def h_pt(p, t):
    return PropsSI("H", "P", p, "T", t, FLUID)


def s_pt(p, t):
    return PropsSI("S", "P", p, "T", t, FLUID)


class Saturation:
    """Boiling water and dry steam at one pressure."""

    def __init__(self, p):
        at = lambda key, q: PropsSI(key, "P", p, "Q", q, FLUID)
        self.p, self.t = p, at("T", 0)
        self.hf, self.hg = at("H", 0), at("H", 1)
        self.sf, self.sg = at("S", 0), at("S", 1)
        self.vf = 1 / at("D", 0)


def bisect(f, low, high):
    """Root of a rising function."""
    for _ in range(100):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if f(middle) < 0 else (low, middle)
    return 0.5 * (low + high)


def t_ph(p, h):
    """Temperature of superheated steam."""
    return bisect(lambda t: h_pt(p, t) - h, Saturation(p).t + 1e-6, 1073.0)


def entropy(p, h):
    """Entropy of steam, wet or not, and its share of water."""
    sat = Saturation(p)
    if h < sat.hg:
        x = (h - sat.hf) / (sat.hg - sat.hf)
        return sat.sf + x * (sat.sg - sat.sf), 1 - x
    return s_pt(p, t_ph(p, h)), 0.0


def isentropic(p, s):
    """Enthalpy at the end of a reversible expansion."""
    sat = Saturation(p)
    if s < sat.sg:
        return sat.hf + (s - sat.sf) / (sat.sg - sat.sf) * (sat.hg - sat.hf)
    return h_pt(p, bisect(lambda t: s_pt(p, t) - s, sat.t + 1e-6, 1073.0))


def expand(efficiency, wetness_factor, p1, h1, p2):
    """End of a real expansion: the efficiency falls by the factor times the mean wetness (Baumann)."""
    s1, wet1 = entropy(p1, h1)
    ideal = h1 - isentropic(p2, s1)
    sat2 = Saturation(p2)
    h2 = h1 - efficiency * ideal
    for _ in range(200):
        wet2 = max(0.0, (sat2.hg - h2) / (sat2.hg - sat2.hf))
        # Expansions that end dry lose nothing.
        mean = 0.5 * (wet1 + wet2) if wet2 > 0 else 0.0
        h2 = h1 - efficiency * (1 - wetness_factor * mean) * ideal
    return h2


def turbine(plant):
    """Enthalpy before and behind each section; what reheat adds after which section; main steam's enthalpy."""
    boiler, t, heaters = plant["boiler"], plant["turbine"], plant["heaters"]
    main = h_pt(boiler["steam_pressure"] * 1e6, boiler["steam_temperature"] + KELVIN)
    p, h = boiler["steam_pressure"] * 1e6 * (1 - t["inlet_loss"]), main
    ends, reheat = [], (None, 0.0)
    pressures = [x["extraction"]["pressure"] * 1e6 for x in heaters] + [plant["condenser"]["pressure"] * 1e6]
    for k, p2 in enumerate(pressures):
        h2 = expand(t["section_efficiency"][k], t["wetness_factor"], p, h, p2)
        ends.append((h, h2))
        p, h = p2, h2
        r = boiler.get("reheat")
        if r and k < len(heaters) and heaters[k]["id"] == r["after"]:
            p = p2 * (1 - r["pressure_loss"])
            h = h_pt(p, r["temperature"] + KELVIN)
            reheat = (k, h - h2)
    # The steam leaves the last row with this much more than it left behind as work.
    ends[-1] = (ends[-1][0], ends[-1][1] + t["leaving_loss"] * 1e3)
    return main, ends, reheat


def balance(plant):
    heaters = plant["heaters"]
    n = len(heaters)
    opened = [k for k, x in enumerate(heaters) if x["kind"] == "open"]
    if len(opened) != 1:
        raise SystemExit("this script takes plants with exactly one open heater")
    tank = opened[0]
    for k, x in enumerate(heaters):
        to = "next" if k == tank else x["drains_to"]
        if to not in ("next", "condenser"):
            raise SystemExit(f"heaters[{k}].drains_to: this script knows 'next' and 'condenser', not {to!r}")
    main, ends, (after, reheat) = turbine(plant)
    steam = [end for _, end in ends]

    # Pumps.
    shells = [Saturation(x["extraction"]["pressure"] * 1e6 * (1 - x["extraction"]["line_loss"])) for x in heaters]
    cold = Saturation(plant["condenser"]["pressure"] * 1e6)
    pumps, feeds, o = plant["condensate_pumps"], plant["feed_pumps"], heaters[tank]
    low = pumps["discharge_pressure"] * 1e6
    condensate_rise = (low - cold.p) * cold.vf / pumps["efficiency"]
    store = shells[tank]
    density = 1 / store.vf
    e = o["equipment"]
    head = e["tank"]["elevation"] + e["tank"]["normal_level"] - feeds["equipment"]["elevation"] - e["suction_loss"]
    suction = store.p + density * GRAVITY * head
    drum = plant["boiler"]
    high = (drum["drum_pressure"] + drum["feed_line_loss"]) * 1e6 + density * GRAVITY * drum["drum_elevation"]
    feed_rise = (high - suction) * store.vf / feeds["efficiency"]

    # Temperatures fix the enthalpies of water and drains.
    water_in, water_out, drain = [0.0] * n, [0.0] * n, [0.0] * n
    t_line = lambda p, h: bisect(lambda t: h_pt(p, t) - h, KELVIN + 1, 620.0)
    h = cold.hf + condensate_rise
    for k in reversed(range(n)):
        water_in[k] = h
        if k == tank:
            water_out[k] = store.hf
            h = store.hf + feed_rise
            continue
        p = high if k < tank else low
        water_out[k] = h_pt(p, shells[k].t - heaters[k]["ttd"])
        drain[k] = shells[k].hf
        cooling = heaters[k].get("drain_cooling")
        if cooling:
            drain[k] = h_pt(shells[k].p, t_line(p, h) + cooling["approach"])
        h = water_out[k]

    # Round the train, heater by heater.
    feed, vent = drum["steam_flow"], o["vent_flow"]
    flow, out = [0.0] * n, [0.0] * n
    condensate = 0.8 * feed
    for _ in range(200):
        before = condensate
        for k in range(n):
            falls = k > 0 and k - 1 != tank and heaters[k - 1]["drains_to"] == "next"
            arrives, with_heat = (out[k - 1], out[k - 1] * drain[k - 1]) if falls else (0.0, 0.0)
            if k == tank:
                # steam + condensate + arrives = feed + vent, and the same with heat
                need = feed * store.hf + vent * store.hg - with_heat - (feed + vent - arrives) * water_in[k]
                flow[k] = need / (steam[k] - water_in[k])
                condensate = feed + vent - arrives - flow[k]
                out[k] = 0.0
            else:
                water = feed if k < tank else condensate
                need = water * (water_out[k] - water_in[k]) - (with_heat - arrives * drain[k])
                flow[k] = need / (steam[k] - drain[k])
                out[k] = arrives + flow[k]
        if abs(condensate - before) < 1e-12 * feed:
            break
    else:
        raise SystemExit("the condensate flow does not settle")

    # Work and heat.
    passing, shaft, reheated = feed, 0.0, 0.0
    for k, (start, end) in enumerate(ends):
        shaft += passing * (start - end)
        if k < n:
            passing -= flow[k]
            if k == after:
                reheated = passing * reheat
    gross = shaft * plant["turbine"]["generator_efficiency"]
    added = feed * (main - water_out[0]) + reheated
    return {
        "extraction_flow": flow,
        "extraction_enthalpy": [x / 1e3 for x in steam[:n]],
        "drain_flow": out,
        "water_out": [x / 1e3 for x in water_out],
        "condensate": condensate,
        "exhaust": passing,
        "feed_rise": feed_rise / 1e3,
        "gross": gross / 1e3,
        "heat_added": added / 1e3,
        "heat_rate": added / gross * 3600,
    }


if __name__ == "__main__":
    with open(sys.argv[1], encoding="utf-8") as file:
        print(json.dumps(balance(json.load(file))))
