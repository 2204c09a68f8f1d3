"""Expand rules/codes.toml and set it against an outside table of code meanings.

The outside table is `obd` 0.7.3 from PyPI (its module `obd.codes`, GPL-2.0): it is only compared with, never copied from.
Use: python3 -m venv VENV && VENV/bin/pip install obd==0.7.3 && VENV/bin/python tests/outside/codes/compare.py
Prints the counts and every disagreement; exits 1 when one is not in KNOWN.
"""

import re
import sys
import tomllib
from pathlib import Path

TABLE = Path(__file__).parents[3] / "rules" / "codes.toml"

# --- the expander: the same few steps the program takes ---


def run(text):
    """The codes of one run, `P0180-P0189` or `P2065`: decimal when both ends are, else hexadecimal."""
    first, _, last = text.partition("-")
    last = last or first
    base = 10 if (first[1:] + last[1:]).isdecimal() else 16
    low, high = int(first[1:], base), int(last[1:], base)
    if first[0] != last[0] or high < low:
        raise ValueError(f"run `{text}` goes backwards")
    return [first[0] + (f"{n:04d}" if base == 10 else f"{n:04X}") for n in range(low, high + 1)]


def expand(table):
    titles = {}
    for family in table["family"]:
        codes = [code for text in family["codes"].split() for code in run(text)]
        places = family.get("places", [""])
        kinds = family.get("kinds", [""])
        places = table["places"][places] if isinstance(places, str) else places
        kinds = table["kinds"][kinds] if isinstance(kinds, str) else kinds
        if len(codes) != len(places) * len(kinds):
            raise ValueError(f"`{family['codes']}`: {len(codes)} codes for {len(places)} places x {len(kinds)} kinds")
        if (places != [""]) != ("{}" in family["part"]):
            raise ValueError(f"`{family['codes']}`: places and `{{}}` do not go together")
        pairs = [(place, kind) for place in places for kind in kinds]
        for code, (place, kind) in zip(codes, pairs):
            if code in titles:
                raise ValueError(f"`{code}` is made twice")
            titles[code] = family["part"].replace("{}", place) + (": " + kind if kind else "")
    for code, title in table["title"].items():
        if code in titles:
            raise ValueError(f"`{code}` stands alone and in a family")
        titles[code] = title
    return titles


def set_by(table, code):
    number = lambda text: int(text[1:], 16)
    for entry in table["range"]:
        low, high = entry["codes"].split("-")
        if code[0] == low[0] and number(low) <= number(code) <= number(high):
            return entry["by"]
    return None


# --- the comparison of sense: their word -> what ours must then say ---

WORDS = {
    "fuel": "fuel|mixture|injector|injection", "fueling": "fuel", "volume": "volume|air-flow", "regulator": "regulator",
    "shutoff": "shut-off|stop", "valve": "valve|bypass|flap", "camshaft": "camshaft", "crankshaft": "crankshaft",
    "intake": "intake", "exhaust": "exhaust", "solenoid": "solenoid|boost control|wastegate|valve", "ho2s": "oxygen", "o2": "oxygen",
    "heater": "heater|glow", "turbo": "charger|boost|wastegate", "turbocharger": "boost", "super": "charger|boost|wastegate", "bypass": "bypass",
    "boost": "boost", "turbine": "turbine", "overspeed": "overspeed", "resistance": "resistance", "swapped": "swapped",
    "manifold": "manifold", "barometric": "barometric", "ambient": "ambient", "air": "air|idle", "coolant": "coolant|thermostat",
    "temperature": "temperature|hot|cold", "pressure": "pressure|boost", "leak": "leak", "large": "large", "small": "small",
    "mass": "air-flow|air flow", "flow": "flow", "throttle": "throttle", "pedal": "pedal", "thermostat": "thermostat",
    "oil": "oil", "injector": "injector|injection", "cylinder": "cylinder|injector", "cold": "cold", "timing": "timing", "pump": "pump",
    "wastegate": "wastegate", "metering": "metering", "contribution": "contributes", "misfire": "misfire", "knock": "knock",
    "distributor": "ignition", "ignition": "ignition", "coil": "coil", "primary": "primary", "secondary": "secondary|supply side",
    "pulses": "pulses", "glow": "glow", "lamp": "lamp", "indicator": "lamp", "recirculation": "recirculation", "catalyst": "catalyst",
    "efficiency": "efficiency|conversion", "evaporative": "vapour", "evap": "vapour", "purge": "purge", "vent": "vent",
    "cap": "cap", "level": "level", "fan": "fan", "vehicle": "vehicle|data bus|immobiliser|security", "speed": "speed|direction|cruise", "brake": "brake",
    "idle": "idle", "starter": "starter", "immobilizer": "immobiliser", "battery": "battery", "cruise": "cruise",
    "refrigerant": "refrigerant|air conditioning", "evaporator": "evaporator", "steering": "steering", "booster": "servo",
    "voltage": "voltage|supply|signal|disagree", "servo": "servo", "memory": "memory", "processor": "processor", "programming": "programming",
    "generator": "generator|alternator", "vin": "identification", "odometer": "odometer", "clutch": "clutch", "relay": "relay|pump control",
    "display": "display", "mil": "lamp", "reference": "supply|reference|timing signal", "actuator": "actuator|electronic throttle|throttle motor|throttle body|throttle module|valve", "tuning": "tuning",
    "runner": "flap", "plug": "plug|glow lamp", "transmission": "gearbox|gear selector|shift", "tcm": "gearbox|control module internal", "range": "selector|implausible|follow|out of range|low-range|time|performance|distance",
    "input": "input|signal|circuit|speed sensor|neutral switch|drive switch", "output": "output|lamp", "gear": "gear", "ratio": "ratio", "reverse": "reverse",
    "torque": "torque", "converter": "converter", "shift": "shift|adaptation|gear lever|manual mode", "shaft": "shaft", "friction": "friction", "transfer": "transfer",
    "slippage": "slips", "slipping": "slips", "park": "park", "drive": "drive", "traction": "traction", "module": "module|sensor|compass|body|software|data|instrument panel|display|player|receiver",
    "gate": "gate", "lever": "lever", "hydraulic": "hydraulic", "fluid": "fluid|gearbox", "motor": "motor|drive|electronics", "dc": "dc",
    "mount": "mount", "nox": "nitrogen oxide", "trap": "trap|filter", "particulate": "particulate", "vapor": "vapour", "reductant": "reagent",
    "sensor": "sensor|oxygen|meter|catalyst|speed|engine speed|neutral|barometric", "switch": "switch|sensor", "correlation": "disagree|fit", "lean": "lean", "rich": "rich", "forced": "forced", "stop": "stop",
    "airflow": "air flow", "load": "load", "shorted": "shorted", "current": "current", "water": "water", "restriction": "restriction",
    "deceleration": "overrun", "accelerator": "accelerator", "detection": "detection|leak test|obstacle", "sample": "sample", "cooling": "cooling",
    "adsorption": "trap", "charging": "charging", "event": "event", "recorder": "recorder", "vacuum": "vacuum", "accessory": "accessory",
    "inhibit": "inhibit|lock-out", "ozone": "ozone", "deterioration": "deterioration", "timer": "timer", "distribution": "distribution",
    "pumping": "pump current", "rocker": "rocker", "adaptive": "adaptation", "direction": "direction", "deactivation": "shut-off",
    "can": "can", "bus": "bus|can|wires", "lost": "no messages", "invalid": "implausible data", "software": "software", "body": "body|throttle",
    "cooler": "cooler", "composition": "composition", "position": "position|timing|selector|profile|valve|throttle|lever", "engine": "engine|intake air heater|coolant level|cranking",
    "stuck": "stuck", "slow": "slow|late", "activity": "does not move", "intermittent": "comes and goes|come and go|erratic", "erratic": "erratic|comes and goes|come and go",
    "open": "open|circuit fault|injector circuit|lamp request", "closed": "closed", "performance": "performance|follow|implausible|does not act|out of step|flow|stop|time|trim",
    "correct": "wrong", "incorrect": "wrong", "insufficient": "low|cold", "excessive": "high|slips",
    "advanced": "advanced", "retarded": "retarded", "over": "over|hot|far|high", "fired": "fired", "hot": "hot", "overboost": "boost too high", "underboost": "boost too low",
    "first": "first", "cam": "cam|metering", "main": "main", "warm": "warm", "intermediate": "intermediate", "upshift": "upshift|skip-shift",
    "downshift": "downshift", "minimum": "lower", "maximum": "upper", "positive": "positive", "negative": "negative", "sudden": "sudden",
    "left": "left", "right": "right", "front": "front", "rear": "rear", "abs": "anti-lock", "yaw": "yaw", "lateral": "lateral",
    "axis": "axis", "tire": "tyre", "ride": "ride", "effort": "effort", "energy": "energy", "four": "four", "alternative": "alternative",
    "dynamics": "dynamics", "gateway": "gateway", "restraints": "restraints", "occupant": "occupant", "panel": "panel", "head": "head",
    "parking": "parking", "audible": "audible", "compass": "compass", "navigation": "navigation", "hvac": "climate", "auxiliary": "auxiliary",
    "security": "security", "sunroof": "sunroof", "lighting": "lighting", "headlamp": "headlamp", "radio": "radio", "antenna": "antenna",
    "amplifier": "amplifier", "disc": "disc", "television": "television", "audio": "audio", "telephone": "telephone", "telematic": "telematic",
    "door": "door", "window": "window", "folding": "folding", "roof": "roof", "seat": "seat", "column": "column", "mirror": "mirror",
    "remote": "remote", "wheel": "wheel", "rain": "rain", "obstacle": "obstacle", "convenience": "convenience", "distance": "distance",
    "resume": "resume", "coast": "coast", "accelerate": "accelerate", "medium": "medium", "neutral": "neutral", "forward": "forward",
}
# Words that carry no sense of their own here, or that the module lists settle letter by letter.
EMPTY = set("""a and or of to for on off with in by the not no than is at below above input system circuit control electrical
signal detected condition malfunction data received communication link with from too fault error check sum state sense position
performance sensor""".split())

SIDES = [("low", r"\blow|cold|little|below|fault or low|plus wire low|does not fit"), ("high", r"\bhigh|hot\b|erratic or high")]

# Looked at one by one; ours stays. Code: why.
KNOWN = {
    "P2605": "the outside table gives this to heater A, whose open circuit is P0543 already; the run P2605-P2608 is heater B",
}


def numbers(text):
    text = re.sub(r"\(first 1000 revolutions\)|first 1000 turns", "", text.lower())
    text = re.sub(r"bank [12]|banks 1 and 2", "", text)
    return sorted(set(re.findall(r"(?<![\w.])\d+(?!\w)", text)))


def letters(text):
    """Place letters: `'A'`, ` A ` and the like; a lone `a` in a sentence is none."""
    return set(re.findall(r"(?<![\w/'])'?([A-FG-L])'?(?![\w'])", text.replace("A/C", "").replace("A/F", "")))


def disagreements(theirs, ours):
    found, low = [], ours.lower()
    for word in sorted(set(re.findall(r"[a-z]+\d?", theirs.lower()))):
        if word in WORDS and not re.search(WORDS[word], low):
            if word in EMPTY:
                continue
            found.append(f"word `{word}`")
    for side, pattern in SIDES:
        says = re.search(rf"\b{side}\b(?! (speed can|pressure fuel|resolution|load))", theirs.lower())
        if says and not re.search(pattern, low):
            found.append(f"side `{side}`")
    theirs_numbers = numbers(theirs)
    if theirs_numbers and theirs_numbers != numbers(ours):
        found.append(f"numbers {theirs_numbers} against {numbers(ours)}")
    if letters(theirs) - letters(ours):
        found.append(f"letters {sorted(letters(theirs))} against {sorted(letters(ours))}")
    return found


def main():
    from obd.codes import DTC

    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    ours = expand(table)
    everything = {code.upper(): text for code, text in DTC.items()}
    theirs = {code: text for code, text in everything.items() if "eserved" not in text}
    print(f"ours {len(ours)}, outside {len(theirs)} (and {len(everything) - len(theirs)} reserved), shared {len(ours.keys() & theirs.keys())}")
    wrong = 0
    for code in sorted(theirs.keys() - ours.keys()):
        wrong += 1
        print(f"missing here   {code}  {theirs[code]}")
    only_ours = sorted(ours.keys() - theirs.keys())
    print(f"only here: {len(only_ours)}")
    for code in sorted(ours):
        if set_by(table, code) != "standard":
            wrong += 1
            print(f"not a standard number   {code}  {ours[code]}")
    agree, known = 0, 0
    for code in sorted(ours.keys() & theirs.keys()):
        found = disagreements(theirs[code], ours[code])
        if found and code in KNOWN:
            known += 1
            print(f"known   {code}  {ours[code]} | {theirs[code]} | {KNOWN[code]}")
        elif found:
            wrong += 1
            print(f"differs {code}  {ours[code]} | {theirs[code]} | {'; '.join(found)}")
        else:
            agree += 1
    unread = {w for t in theirs.values() for w in re.findall(r"[a-z]+\d?", t.lower())} - set(WORDS) - EMPTY
    print(f"agree {agree}, known to differ {known}, to look at {wrong}; words not weighed: {' '.join(sorted(unread))}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
