"""Reads exported curves with Python's csv module and compares them with what the commands answer as JSON.

    python3 curves_test.py PHASEWRIGHT MODEL...
"""
import csv
import json
import subprocess
import sys
import tempfile
from pathlib import Path

program, *models = sys.argv[1:]
compared = 0
faults = []


def answer(command, model, *options):
    run = subprocess.run([program, command, model, *options, "--json"], capture_output=True, text=True, check=False)
    if run.returncode not in (0, 1):
        sys.exit(f"{command} {model}: {run.stderr}")
    return json.loads(run.stdout)


def compare(what, read, wanted, within):
    global compared
    compared += 1
    if not abs(read - wanted) <= within:
        faults.append(f"{what}: {read} read, {wanted} answered")


def check(model, folder):
    file = folder / "cycle.csv"
    subprocess.run([program, "export", model, "-o", file], capture_output=True, check=True)
    with open(file, newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    if len(rows) != 721:
        faults.append(f"{model}: {len(rows)} rows")
    name = Path(model).name
    gaps = answer("clearance", model) if "inlet_axial_mm" in rows[0] else None
    # Curves and clearances go by the readings; a pose is of what the file says is fitted.
    for deg in () if gaps and gaps["goes_by_readings"] else (0, 1, 90, 106, 359, 360, 545, 719):
        row = rows[deg]
        pose = answer("pose", model, "--crank", str(deg))
        compare(f"{name}, {deg}: crank", float(row["crank_deg"]), deg, 0)
        for valve in pose["valves"]:
            if valve["cylinder"] == 1:
                compare(f"{name}, {deg}: {valve['valve']}", float(row[f"{valve['valve']}_valve_mm"]), valve["lift_mm"], 1e-8)
        piston = next(piston for piston in pose["pistons"] if piston["cylinder"] == 1)
        compare(f"{name}, {deg}: piston", float(row["piston_drop_mm"]), piston["drop_mm"], 1e-8 * 200)
    if gaps is None:
        return
    for valve in ("inlet", "exhaust"):
        least = min(float(row[f"{valve}_axial_mm"]) for row in rows)
        # A row each degree: the least lies between two of them, where the gap is flat.
        compare(f"{name}: least at the {valve}", least, gaps[valve]["least_mm"], 0.01)


with tempfile.TemporaryDirectory() as scratch:
    for one in models:
        check(one, Path(scratch))
for fault in faults:
    print(fault, file=sys.stderr)
print(f"{compared - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults or not compared else 0)
