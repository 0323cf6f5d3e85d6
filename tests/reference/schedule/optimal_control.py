"""Shortest times with no time lost in changes of gear, by a general-purpose solver: direct
transcription in distance (implicit midpoint), z = v² at the nodes, the nonlinear programme by Ipopt.

Which gear is engaged is left to the solver as a mixture: shares w_k >= 0 with sum 1 weigh the
acceleration that the engine gives in each gear. A mixture is never better than the best gear.

    python3 -m venv venv && venv/bin/pip install casadi==3.8.2
    venv/bin/python tests/reference/schedule/optimal_control.py

reads optimal_control.json and writes optimal_control.csv beside it.
"""

import hashlib
import json
import math
import multiprocessing
import pathlib
import re
import tempfile

import casadi as ca

G = 9.80665  # standard gravity, m/s²
DENSITY = 1.2  # kg/m³
TOLERANCE = 1e-8  # of Ipopt
HERE = pathlib.Path(__file__).parent


def grid(case, step):
    """Length, curvature and slope angle of each interval."""
    out = []
    for length, radius, slope in case["sections"]:
        count = math.ceil(length / step)
        one = (length / count, 1.0 / radius if radius else 0.0, math.atan(slope))
        out += [one] * count
    return out


def allowed(case, curvature, angle):
    """Square of the speed that the driver takes a corner at."""
    lift = 0.5 * DENSITY * case["lift_area"] / case["mass"]
    net = curvature - case["grip"] * lift
    if curvature == 0.0 or net <= 0.0:
        return math.inf
    return case["grip"] * G * math.cos(angle) / net * case["corner_share"] ** 2


def by_gears(case, z, resistance):
    """Acceleration that the engine gives in each gear, m/s²."""
    mass, radius = case["mass"], case["radius"]
    out = []
    for total in case["total_ratios"]:
        rpm = 30.0 / math.pi * total * ca.sqrt(z) / radius
        away = (rpm - case["at_rpm"]) / case["at_rpm"]
        torque = case["torque"] * (1.0 - case["fall"] * away**2)
        force = torque * total * case["efficiency"] / radius
        turning = case["wheel_inertia"] + case["engine_inertia"] * total**2
        spun = 1.0 + turning / (mass * radius**2)
        out.append((force / mass - resistance) / spun)
    return out


def traction(case, load):
    """Straight-ahead limits of the tyres per mass: drive, and the lift of the front wheels."""
    front, lean = case["front_share"], case["cg_height"] / case["wheelbase"]
    grip = case["grip"]
    share = {
        "rear": (1.0 - front) / (1.0 - grip * lean),
        "front": front / (1.0 + grip * lean),
        "all": 1.0,
    }[case["drive"]]
    lifts = case["drive"] != "front" and lean > 0.0
    return min(share, 1.0) * grip * load, front * load / lean if lifts else None


def solve(case, step):
    cells = grid(case, step)
    closed, count, gears = case["entry"] is None, len(cells), len(case["total_ratios"])
    top = (case["limit_rpm"] * math.pi / 30.0 * case["radius"] / case["total_ratios"][-1]) ** 2
    z = ca.MX.sym("z", count + 1)
    drive, brake = ca.MX.sym("drive", count), ca.MX.sym("brake", count)
    shares = ca.MX.sym("shares", gears, count)
    high = [top] * (count + 1)
    for i, (_, curvature, angle) in enumerate(cells):
        limit = allowed(case, curvature, angle)
        high[i], high[i + 1] = min(high[i], limit), min(high[i + 1], limit)
    equal, below, time = [ca.sum1(shares).T - 1.0], [], 0.0
    for i, (length, curvature, angle) in enumerate(cells):
        middle = 0.5 * (z[i] + z[i + 1])
        load = G * math.cos(angle) + 0.5 * DENSITY * case["lift_area"] / case["mass"] * middle
        resistance = (
            G * (math.sin(angle) + case["rolling"] * math.cos(angle))
            + 0.5 * DENSITY * case["drag_area"] / case["mass"] * middle
        )
        equal.append(z[i + 1] - z[i] - 2.0 * length * (drive[i] - brake[i] - resistance))
        engine = by_gears(case, middle, resistance)
        mixed = sum(shares[k, i] * engine[k] for k in range(gears))
        below.append(drive[i] - resistance - mixed)
        sideways = (middle * curvature / (case["grip"] * load)) ** 2
        most, lifting = traction(case, load)
        below.append((drive[i] / most) ** 2 + sideways - 1.0)
        below.append((brake[i] / (case["brake_share"] * case["grip"] * load)) ** 2 + sideways - 1.0)
        if lifting is not None:
            below.append(drive[i] - lifting)
        if case["cg_height"] > 0.0:
            back = (1.0 - case["front_share"]) * case["wheelbase"] / case["cg_height"]
            below.append(brake[i] - back * load)
        time += 2.0 * length / (ca.sqrt(z[i]) + ca.sqrt(z[i + 1]))
    if closed:
        equal.append(z[0] - z[count])
    else:
        equal.append(z[0] - case["entry"] ** 2)
    x = ca.vertcat(z, drive, brake, ca.vec(shares))
    g = ca.vertcat(*equal, *below)
    equals = sum(e.numel() for e in equal)
    solver = ca.nlpsol(
        "lap",
        "ipopt",
        {"x": x, "f": time, "g": g},
        {"ipopt": {"tol": TOLERANCE, "max_iter": 3000, "print_level": 0, "sb": "yes"}, "print_time": False},
    )
    start = min(high) * 0.8
    found = solver(
        x0=ca.vertcat(ca.DM.ones(count + 1) * start, ca.DM.ones(2 * count), ca.DM.ones(gears * count) / gears),
        lbx=ca.vertcat(ca.DM.ones(count + 1), ca.DM.zeros(2 * count + gears * count)),
        ubx=ca.vertcat(ca.DM(high), ca.DM.ones(2 * count + gears * count) * 1e3),
        lbg=ca.vertcat(ca.DM.zeros(equals), -ca.inf * ca.DM.ones(len(below))),
        ubg=ca.DM.zeros(equals + len(below)),
    )
    assert solver.stats()["success"], (case["name"], solver.stats()["return_status"])
    speeds = [math.sqrt(float(one)) for one in found["x"][: count + 1].elements()]
    return float(found["f"]), max(speeds), min(speeds)


def main():
    raw = (HERE / "optimal_control.json").read_bytes()
    cases = json.loads(raw)
    library = f"casadi {ca.__version__} with Ipopt {ipopt_version()}"
    digest = hashlib.sha256(raw).hexdigest()
    lines = [f"# {library}, tolerance {TOLERANCE:g}; sha256 of optimal_control.json {digest}"]
    lines.append("case,time_4_m_s,time_2_m_s,fastest_m_s,slowest_m_s")
    with multiprocessing.Pool() as pool:
        tasks = [(case, step) for case in cases for step in (4.0, 2.0)]
        found = pool.starmap(solve, tasks, chunksize=1)
    for case, coarse, fine in zip(cases, found[::2], found[1::2]):
        time, fastest, slowest = fine
        lines.append(f"{case['name']},{coarse[0]:.6f},{time:.6f},{fastest:.4f},{slowest:.4f}")
    (HERE / "optimal_control.csv").write_text("\n".join(lines) + "\n")


def ipopt_version():
    """As the solver's own log says."""
    x = ca.MX.sym("x")
    with tempfile.NamedTemporaryFile("r", suffix=".log") as log:
        options = {"output_file": log.name, "file_print_level": 5, "print_level": 0, "sb": "yes"}
        solver = ca.nlpsol("any", "ipopt", {"x": x, "f": x * x}, {"ipopt": options, "print_time": False})
        solver(x0=1.0)
        return re.search(r"Ipopt version ([0-9.]+)", log.read())[1].rstrip(".,")


if __name__ == "__main__":
    main()
