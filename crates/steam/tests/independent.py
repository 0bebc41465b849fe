"""Properties of water by two libraries that share no code with ours, as a grid for `independent.rs`.

    pip install iapws==1.5.5 CoolProp==8.0.0 && python independent.py > independent.csv

The figures are those of `iapws`; the script stops unless CoolProp's IF97 gives the same to 1e-9 relative (entropy and
enthalpy near zero: to 1e-9 of 1 kJ/(kg K) and 10 kJ/kg).
"""

from importlib.metadata import version

from CoolProp.CoolProp import PropsSI
from iapws.iapws97 import _PSat_T, _Region1, _Region2, _TSat_P

KELVIN = 273.15
PRESSURES = [0.001, 0.005, 0.02, 0.07, 0.1013, 0.35, 0.8, 1.9, 4.1, 7.7, 12.3, 16.4, 18.5, 24.0, 50.0, 100.0]
LIQUID = [0.5, 4.0, 20.0, 33.3, 60.0, 99.0, 150.0, 186.0, 220.0, 260.0, 300.0, 331.0, 349.0]
STEAM = [8.0, 30.0, 50.0, 99.0, 140.0, 180.0, 251.0, 300.0, 353.0, 400.0, 465.0, 540.0, 602.0, 700.0, 799.0]


def checked(kind, p, t, point, given):
    """The row of one point, after asking the second library for each number in it."""
    row = [point[name] for name in ("h", "v", "s", "cp")]
    for value, key, scale, floor in zip(row, ("H", "D", "S", "C"), (1e-3, None, 1e-3, 1e-3), (10.0, 0.0, 1.0, 0.0)):
        other = PropsSI(key, *given, "IF97::Water")
        other = 1.0 / other if scale is None else other * scale
        assert abs(other - value) <= 1e-9 * max(abs(value), floor), (kind, p, t, key, value, other)
    return [kind, p, t, *row]


rows = []
for p in PRESSURES:
    saturation = _TSat_P(p) - KELVIN if p < 16.5 else None
    liquid_end = 350.0 if saturation is None else saturation
    # The boundary between steam and the near-critical region, R7-97 equation 6.
    boundary = 572.54459862746 + ((p - 13.91883977887) / 1.0192970039326e-3) ** 0.5 - KELVIN if p > 16.5 else None
    steam_start = boundary if saturation is None else saturation
    for t in LIQUID:
        if t < liquid_end - 0.5:
            given = ("P", p * 1e6, "T", t + KELVIN)
            rows.append(checked("liquid", p, t, _Region1(t + KELVIN, p), given))
    for t in STEAM:
        if t > steam_start + 0.5:
            given = ("P", p * 1e6, "T", t + KELVIN)
            rows.append(checked("steam", p, t, _Region2(t + KELVIN, p), given))
    if saturation is not None:
        assert abs(_PSat_T(saturation + KELVIN) / p - 1.0) < 1e-7
        assert abs(PropsSI("T", "P", p * 1e6, "Q", 0, "IF97::Water") - KELVIN - saturation) < 1e-8
        rows.append(checked("sat_liquid", p, saturation, _Region1(saturation + KELVIN, p), ("P", p * 1e6, "Q", 0)))
        rows.append(checked("sat_steam", p, saturation, _Region2(saturation + KELVIN, p), ("P", p * 1e6, "Q", 1)))

print(f"# iapws {version('iapws')}, confirmed by CoolProp {version('CoolProp')} (IF97); made by independent.py")
print("kind,p_MPa,t_C,h_kJ_kg,v_m3_kg,s_kJ_kgK,cp_kJ_kgK")
for row in rows:
    print(",".join(str(value) if isinstance(value, str) else repr(float(value)) for value in row))
