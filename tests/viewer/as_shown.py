#!/usr/bin/env python3
"""Holds `float` of a boat file that the window saved to what the window showed, which the
file's last comments say in full.

    tests/viewer/as_shown.py AWASH BOAT.toml
"""
import json
import re
import subprocess
import sys

WITHIN = 1e-9

awash, boat = sys.argv[1:]
run = subprocess.run([awash, "float", boat, "--format", "json"], capture_output=True, text=True)
if run.returncode not in (0, 1):
    sys.exit(run.stderr)
told = json.loads(run.stdout)
with open(boat, encoding="utf-8") as file:
    shown = dict(re.findall(r"^# shown: (.*) = (\S+)$", file.read(), re.M))
openings = [(opening["name"], opening["freeboard_m"]) for opening in told["openings"]]
for name, value in openings + [(key, told[key]) for key in ("mass_kg", "heel_deg", "pitch_deg")]:
    if name not in shown:
        sys.exit(f"the window showed no {name}")
    off = value - float(shown.pop(name))
    if not abs(off) < WITHIN:
        sys.exit(f"{name}: float says {value}, off by {off}")
if shown:
    sys.exit(f"float does not say: {', '.join(shown)}")
print(f"float of the saved file is what the window showed, within {WITHIN}")
