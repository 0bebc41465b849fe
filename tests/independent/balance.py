"""The design heat balance of a plant file, computed anew: from the file alone, with properties that are not ours and
equations written apart from the engine's.

    python balance.py PLANT.json...

Prints a JSON list with one balance for each file. Where the engine solves all flows at once by elimination, this goes
round the train heater by heater until no flow changes any more; where the engine inverts property tables, this bisects
the forward equations.

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
    """Main steam's enthalpy; the sections, each with enthalpy before and behind and the heater that takes steam behind it;
    what reheat adds after which section; what the moisture separator does after which section."""
    boiler, t, heaters = plant["boiler"], plant["turbine"], plant["heaters"]
    if "steam_quality" in boiler:
        dry = Saturation(boiler["steam_pressure"] * 1e6)
        main = dry.hf + boiler["steam_quality"] * (dry.hg - dry.hf)
    else:
        main = h_pt(boiler["steam_pressure"] * 1e6, boiler["steam_temperature"] + KELVIN)
    r, m = boiler.get("reheat"), t.get("moisture_separator")
    stops = []
    for k, x in enumerate(heaters):
        stops.append((x["extraction"]["pressure"] * 1e6, k))
        if m and x["id"] == m["after"] and "pressure" in m:
            stops.append((m["pressure"] * 1e6, None))
    crossover = next((n for n, (_, k) in enumerate(stops) if m and k is not None and heaters[k]["id"] == m["after"]), None)
    if m and "pressure" in m:
        crossover += 1
    stops.append((plant["condenser"]["pressure"] * 1e6, None))
    p, h = boiler["steam_pressure"] * 1e6 * (1 - t["inlet_loss"]), main
    sections, reheat, separator = [], (None, 0.0), (None, None)
    for n, (p2, k) in enumerate(stops):
        h2 = expand(t["section_efficiency"][n], t["wetness_factor"], p, h, p2)
        sections.append([h, h2, k])
        p, h = p2, h2
        if r and k is not None and heaters[k]["id"] == r["after"]:
            p = p2 * (1 - r["pressure_loss"])
            h = h_pt(p, r["temperature"] + KELVIN)
            reheat = (n, h - h2)
        if n == crossover:
            does = separate(boiler, main, m, p2, h2)
            separator = (n, does)
            p, h = does["p"], does["h"]
    # The steam leaves the last row with this much more than it left behind as work.
    sections[-1][1] += t["leaving_loss"] * 1e3
    return main, sections, reheat, separator


def separate(boiler, main, m, p, h):
    """Per kilogram of steam: water taken out of what arrives, heating steam for what leaves; and both drains."""
    wet = Saturation(p * (1 - m["pressure_loss"]))
    water = m["efficiency"] * (wet.hg - h) / (wet.hg - wet.hf)
    dry = (h - water * wet.hf) / (1 - water)
    does = {"water": water, "drain": wet.hf, "p": wet.p, "h": dry, "heating": 0.0, "condensed": 0.0}
    if "reheater" in m:
        r = m["reheater"]
        hot = Saturation(boiler["steam_pressure"] * 1e6 * (1 - r["heating_loss"]))
        does["p"] = wet.p * (1 - r["pressure_loss"])
        does["h"] = h_pt(does["p"], hot.t - r["ttd"])
        does["heating"] = (does["h"] - dry) / (main - hot.hf)
        does["condensed"] = hot.hf
    return does


def refuse_what_is_not_known(plant, tanks):
    """A plant beyond these equations must not pass for one that agrees."""
    if len(tanks) != 1:
        raise SystemExit("this script takes plants with exactly one open heater")
    if plant.get("water", "compressed") != "compressed":
        raise SystemExit("water: this script knows 'compressed'")
    if "heater_pressure" in plant["feed_pumps"]:
        raise SystemExit("feed_pumps.heater_pressure: this script knows no last stage behind the heaters")
    if "pressure" in (plant["boiler"].get("reheat") or {}):
        raise SystemExit("boiler.reheat.pressure: this script knows reheat behind an extraction point")
    for k, x in enumerate(plant["heaters"]):
        if k not in tanks and "ttd" not in x:
            raise SystemExit(f"heaters[{k}].ttd: this script needs it")


def air(heater, pressure):
    """Air that leaks into a shell: all of it into a vacuum, less from half an atmosphere on, none above it."""
    ratio = pressure / 101325.0
    if ratio >= 1:
        return 0.0
    x = max(0.0, (ratio - 0.528) / (1 - 0.528))
    return heater["equipment"].get("air_leakage", 5e-5) * (1 - x * x) ** 0.5


def balance(plant):
    heaters = plant["heaters"]
    n = len(heaters)
    tanks = [k for k, x in enumerate(heaters) if x["kind"] == "open"]
    refuse_what_is_not_known(plant, tanks)
    tank = tanks[0]
    to = [x.get("drains_to", "next") for x in heaters]
    main, sections, (after, reheat), (crossover, does) = turbine(plant)
    steam = [0.0] * n
    for _, end, k in sections:
        if k is not None:
            steam[k] = end
    place = {x["id"]: k for k, x in enumerate(heaters)}

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
    work = (high - suction) * store.vf / feeds["efficiency"]
    feed_rise, brought_back, circulated = work, 0.0, 0.0
    line = [high if k < tank else low for k in range(n)]

    # What leaves each heater is fixed by its shell; what enters it only where no pumped drain is mixed in before.
    water_out = [store.hf if k == tank else h_pt(line[k], shells[k].t - heaters[k]["ttd"]) for k in range(n)]
    feed, vent, lifted = drum["steam_flow"], o["vent_flow"], 0.0
    flow, out, water_in, drain = [0.0] * n, [0.0] * n, [0.0] * n, [sat.hf for sat in shells]
    through, lift = [0.8 * feed] * n, [0.0] * n
    taken_out = heating = 0.0
    # What a shell's vent passes is the gas that has come, and steam.
    share = drum.get("steam_gas", 5e-6)
    vented = [0.0] * n

    # Round the train, heater by heater.
    for _ in range(200):
        before = flow + out + [taken_out, heating]
        # With the water, from the condenser up: enthalpies.
        h = cold.hf + condensate_rise
        for k in reversed(range(n)):
            water_in[k] = h
            if k == tank:
                h = store.hf + feed_rise
                continue
            if "drain_cooling" in heaters[k]:
                arriving = bisect(lambda t: h_pt(line[k], t) - h, KELVIN + 1, 620.0)
                drain[k] = h_pt(shells[k].p, arriving + heaters[k]["drain_cooling"]["approach"])
            h = water_out[k]
            if isinstance(to[k], dict):
                # The drain, lifted by its pump, joins the water behind the heater.
                pump = to[k]["forward"]
                target = pump["pressure"] * 1e6 if "pressure" in pump else line[k]
                cooled = "drain_cooling" in heaters[k]
                density = PropsSI("D", "P", shells[k].p, "H", drain[k], FLUID) if cooled else 1 / shells[k].vf
                lift[k] = (target - shells[k].p) / density / pump["efficiency"]
                h = (through[k] * h + out[k] * (drain[k] + lift[k])) / (through[k] + out[k])
        last = h
        # Separator and steam reheater, and where their drains arrive: (flow, heat).
        led = [(0.0, 0.0)] * n
        if does:
            m = plant["turbine"]["moisture_separator"]
            up_to = sum(flow[k] for _, _, k in sections[: crossover + 1] if k is not None)
            taken_out = does["water"] * (feed - heating - up_to)
            heating = does["heating"] * (feed - heating - up_to - taken_out)
            drains = [(m["drains_to"], taken_out, does["drain"])]
            if "reheater" in m:
                drains.append((m["reheater"]["drains_to"], heating, does["condensed"]))
            for receiver, amount, enthalpy in drains:
                if receiver != "condenser":
                    a, b = led[place[receiver]]
                    led[place[receiver]] = (a + amount, b + amount * enthalpy)
        # Pumps that stand are warmed by water out of the discharge, which goes back to the tank; all casings lose heat.
        warm = feeds["equipment"].get("warm_up")
        if warm is not None and lifted > 0.0:
            running = feeds["equipment"]["running"]
            standing = feeds["equipment"]["installed"] - running
            circulated = standing * warm["flow"]
            near = Saturation(0.999 * store.p)
            cp = (store.hf - near.hf) / (store.t - near.t)
            lose = (490.0 * warm["casing_metal"] + cp * warm["casing_water"]) / warm["cooling_time"]
            # To four digits of a loss of some kilowatts: a casing has the temperature of its water.
            room = 298.15
            feed_rise = work - lose * (store.t - room) * running / (lifted + circulated)
            lost = lose * (store.t + feed_rise / cp - room)
            brought_back = circulated * feed_rise - standing * lost
        # Against the water, from the boiler down: flows.
        water = feed
        for k in range(n):
            if k != tank and heaters[k].get("vent_flow", 0.0) > 0.0:
                vented[k] = max(0.0, heaters[k]["vent_flow"] - share * flow[k] - air(heaters[k], shells[k].p))
        into = [k for k in range(tank) if heaters[k].get("vents_to", "condenser") == "open"]
        brought, brought_heat = sum(vented[k] for k in into), sum(vented[k] * shells[k].hg for k in into)
        for k in range(n):
            falls = k > 0 and k - 1 != tank and to[k - 1] == "next"
            arrives, with_heat = (out[k - 1], out[k - 1] * drain[k - 1]) if falls else (0.0, 0.0)
            arrives, with_heat = arrives + led[k][0], with_heat + led[k][1]
            if k == tank:
                # steam + condensate + arrives = feed + vent, and the same with heat
                lifted = water
                need = water * store.hf + vent * store.hg - with_heat - brought_heat - brought_back
                need -= (water + vent - arrives - brought) * water_in[k]
                flow[k] = need / (steam[k] - water_in[k])
                water = water + vent - arrives - brought - flow[k]
                through[k] = water
                continue
            rise = water_out[k] - water_in[k]
            # The drain is what arrives less what is vented.
            spare = with_heat - arrives * drain[k] - vented[k] * (shells[k].hg - drain[k])
            arrives -= vented[k]
            if isinstance(to[k], dict):
                # The water through the heater is less by the drain, which holds the unknown steam.
                flow[k] = ((water - arrives) * rise - spare) / (steam[k] - drain[k] + rise)
                water -= arrives + flow[k]
            else:
                flow[k] = (water * rise - spare) / (steam[k] - drain[k])
            through[k] = water
            out[k] = arrives + flow[k]
        if max(abs(x - y) for x, y in zip(before, flow + out + [taken_out, heating])) < 1e-12 * feed:
            break
    else:
        raise SystemExit("the flows do not settle")
    condensate = water

    # Work and heat.
    passing, shaft, reheated = feed - heating, 0.0, 0.0
    for k, (start, end, taker) in enumerate(sections):
        shaft += passing * (start - end)
        if taker is not None:
            passing -= flow[taker]
        if k == after:
            reheated = passing * reheat
        if k == crossover:
            passing -= taken_out
    gross = shaft * plant["turbine"]["generator_efficiency"]
    added = feed * (main - last) + reheated
    pumped = sum(out[k] * lift[k] for k in range(n))
    return {
        "extraction_flow": flow,
        "extraction_enthalpy": [x / 1e3 for x in steam],
        "moisture": taken_out,
        "heating": heating,
        "drain_flow": out,
        "water_in": [x / 1e3 for x in water_in],
        "water_out": [x / 1e3 for x in water_out],
        "condensate": condensate,
        "exhaust": passing,
        "feed_rise": feed_rise / 1e3,
        "final": last / 1e3,
        "pumping": (condensate * condensate_rise + pumped + (lifted + circulated) * work) / 1e3,
        "gross": gross / 1e3,
        "heat_added": added / 1e3,
        "heat_rate": added / gross * 3600,
    }


def read(path):
    with open(path, encoding="utf-8") as file:
        return json.load(file)


if __name__ == "__main__":
    print(json.dumps([balance(read(path)) for path in sys.argv[1:]]))
