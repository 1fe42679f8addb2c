#!/usr/bin/env python3
"""Integrates the truck anew, from docs/theory.md and from nothing else.

    python3 docs/validation/reference.py [--case NAME] > reference.json

Written from the equations of docs/theory.md, without a look at the Go code, and solved another way: SciPy's LSODA
with its own choice of step, tight tolerances, and events. Sticking is a mode of its own that events begin and
end, not a smoothed friction; so are a slack cable and every contact. Section numbers are those of docs/theory.md.

Needs Python 3 with NumPy and SciPy. Reads the circumstances from cases.json beside it, writes JSON with one sample a
millisecond (battery: one each 10 s).
"""

import argparse
import json
import math
import os
import re
import sys

import numpy as np
from scipy.integrate import LSODA, Radau, solve_ivp
from scipy.optimize import brentq

SOLVER = LSODA

# --- section 14: the default truck -------------------------------------------------------------------------------

HERE = os.path.dirname(os.path.abspath(__file__))
SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")


def read_number(text):
    """A number as the table writes it: 130 000, 8·10⁻⁵, −0.002."""
    text = text.strip().replace("−", "-").replace("\u202f", "").replace("\u00a0", "").replace(" ", "")
    mantissa, _, power = text.partition("·10")
    return float(mantissa) * 10.0 ** int(power.translate(SUPERSCRIPTS) or 0)


def read_table():
    """The default truck from the table of section 14, by the names of its last column."""
    values = {}
    with open(os.path.join(HERE, "..", "theory.md"), encoding="utf-8") as f:
        for line in f.read().split("\n## 14. ")[1].split("\n## ")[0].splitlines():
            cells = [c.strip() for c in line.strip().strip("|").split("|")]
            if not line.startswith("|") or len(cells) != 4 or not cells[3].startswith("`"):
                continue
            names = re.findall(r"`([A-Za-z0-9.]+)`", cells[3])
            if names == ["Contacts.PullIn", "DropOut"]:
                for name, value in zip(("Contacts.PullIn", "Contacts.DropOut"), cells[1].split(",")):
                    values[name] = float(value.replace("ms", "")) * 1e-3
            elif len(names) == 1:
                values[names[0]] = read_number(cells[1])
            else:
                raise ValueError("row of section 14 not understood: " + line)
    return values


P = read_table()
G0 = 9.80665
MASS, LENGTH = P["Curtain.Mass"], P["Curtain.Length"]
OPENING, VERTICAL, BEND = P["Track.Opening"], P["Track.Vertical"], P["Track.Bend"]
RATE, TURNS, DRUM = P["Counterbalance.Rate"], P["Counterbalance.InitialTurns"], P["Counterbalance.DrumRadius"]
SHAFT_INERTIA, SHAFT_FRICTION = P["Counterbalance.ShaftInertia"], P["Counterbalance.ShaftFriction"]
CABLE_K, CABLE_C = P["Counterbalance.CableStiffness"], P["Counterbalance.CableDamping"]
CLOSING_0, CLOSING_1 = P["ClosingSpring.Preload"], P["ClosingSpring.Rate"]
RUNNING, BREAKAWAY, VISCOUS_20 = P["Friction.Running"], P["Friction.Breakaway"], P["Friction.Viscous"]
MOTOR_K, MOTOR_R20 = P["Drive.MotorConstant"], P["Drive.Resistance"]
RATIO, EFFICIENCY = P["Drive.Ratio"], P["Drive.Efficiency"]
MOTOR_FRICTION, ROTOR_INERTIA = P["Drive.DryFriction"], P["Drive.Inertia"]
THERMAL_R, THERMAL_C = P["Drive.ThermalRes"], P["Drive.ThermalCap"]
PULL_IN, DROP_OUT = P["Contacts.PullIn"], P["Contacts.DropOut"]
BRANCH_R20, BRANCH_CONNECTORS, CONTROLLER_A = P["Branch.Resistance"], P["Branch.Connectors"], P["Branch.Load"]
FEED_R20, FEED_CONNECTORS, ACCESSORY_A = P["Feed.Resistance"], P["Feed.Connectors"], P["Feed.AccessoryLoad"]
COLD_CRANK_A, RESERVE_MIN, PEUKERT = P["Battery.ColdCrankA"], P["Battery.ReserveMin"], P["Battery.Peukert"]
SEAL_K1, SEAL_SOFT = P["Seal.Stiffness"], P["Seal.SoftTravel"]
SEAL_K2, SEAL_BETA = P["Seal.HardStiffness"], P["Seal.Damping"]
FLOOR_K, OPEN_K = P["Stops.FloorStiffness"], P["Stops.OpenStiffness"]
STOP_BETA = 1.0                                                                # section 8
LOCK_STROKE, LOCK_MASS = P["Lock.Stroke"], P["Lock.Mass"]
LOCK_STALL, LOCK_FREE = P["Lock.StallForce"], P["Lock.FreeSpeed"]
LOCK_FRICTION, LOCK_STALL_A, LOCK_BRANCH = P["Lock.Friction"], P["Lock.StallAmps"], P["Lock.Branch"]
LOCK_STOP_K = 200e3                                                            # section 11


def copper(temperature):
    """Resistance of copper relative to 20 °C (section 5)."""
    return (235.0 + temperature) / 255.0


# --- section 7: battery -------------------------------------------------------------------------------------------

OCV = ([0, 0.25, 0.5, 0.75, 1], [11.89, 12.06, 12.24, 12.45, 12.65])
CRANK = ([-34.3, -28.8, -17.8, 0, 26.7], [0.10, 0.20, 0.40, 0.65, 1.00])
CAPACITY = ([-40, 0, 5, 10, 15, 20, 25, 30, 40], [0.52, 0.84, 0.88, 0.90, 0.94, 0.99, 1, 1.03, 1.05])
KAPPA = 0.3


class Battery:
    """A lead-acid battery whose R₀ and ε follow from its label."""

    def __init__(self, temperature=20.0, age=0.0):
        crank = COLD_CRANK_A * (1 - 0.5 * age)
        reserve = RESERVE_MIN * (1 - 0.4 * age)
        self.charge_as = 25.0 * reserve * 60.0
        self.temperature = temperature
        empty = (self.ocv(0.0) - 10.5) / 25.0 / self.factor(27.0)      # = R₀ (1 + κ/ε)
        drawn = 30.0 * crank * (crank / 25.0) ** (PEUKERT - 1) / (self.charge_as * self.warmth(-18.0))
        s1 = 1.0 - drawn
        cold = (self.ocv(s1) - 7.2) / crank / self.factor(-18.0)       # = R₀ (1 + κ(1 − s₁)/(s₁ + ε))

        def miss(eps):
            return empty / (1 + KAPPA / eps) * (1 + KAPPA * (1 - s1) / (s1 + eps)) - cold

        self.eps = brentq(miss, 1e-6, 1.0, xtol=1e-16, rtol=1e-14)
        self.r0 = empty / (1 + KAPPA / self.eps)

    @staticmethod
    def ocv(s):
        return float(np.interp(s, *OCV))

    @staticmethod
    def factor(t):
        return float(np.interp(-17.8, *CRANK) / np.interp(t, *CRANK))

    @staticmethod
    def warmth(t):
        return float(np.interp(t, *CAPACITY) / np.interp(27.0, *CAPACITY))

    def resistance(self, s):
        return self.r0 * self.factor(self.temperature) * (1 + KAPPA * (1 - s) / (s + self.eps))

    def rate(self, amps):
        """ds/dt at a current."""
        q = self.charge_as * self.warmth(self.temperature)
        if amps > 0:
            return -amps * (amps / 25.0) ** (PEUKERT - 1) / q
        return -amps / q


# --- section 9: cold ----------------------------------------------------------------------------------------------

def grease(temperature):
    """The grease factor G(T), Walther's line drawn through its two points."""
    def loglog(nu):
        return math.log10(math.log10(nu + 0.7))

    t40, t100 = math.log10(313.15), math.log10(373.15)
    b = (loglog(32.0) - loglog(5.4)) / (t100 - t40)
    a = loglog(32.0) + b * t40

    def nu(t):
        t = min(max(t, -45.0), 80.0)
        return 10 ** 10 ** (a - b * math.log10(t + 273.15)) - 0.7

    return math.sqrt(nu(temperature) / nu(20.0))


# --- section 2: track ---------------------------------------------------------------------------------------------

class Track:
    """Height along gravity of a point of the track."""

    def __init__(self, grade=0.0, roadside=False):
        alpha = -math.atan(grade) if roadside else math.atan(grade)
        self.cos, self.sin = math.cos(alpha), math.sin(alpha)

    def height(self, s):
        if s <= VERTICAL:
            z, x = s, 0.0
        else:
            a = (s - VERTICAL) / BEND
            if a < math.pi / 2:
                z, x = VERTICAL + BEND * math.sin(a), BEND * (1 - math.cos(a))
            else:
                z, x = VERTICAL + BEND, BEND + s - VERTICAL - math.pi * BEND / 2
        return z * self.cos + x * self.sin

    def gravity(self, y):
        return MASS * G0 / LENGTH * (self.height(y + LENGTH) - self.height(y))


# --- section 8: contacts ------------------------------------------------------------------------------------------

class SealContact:
    """The edge seal on something of stiffness k: apart (0), bulb giving (1), bulb flat (2)."""

    def __init__(self, stiffness):
        self.soft = 1.0 / (1.0 / SEAL_K1 + 1.0 / stiffness)
        self.hard = 1.0 / (1.0 / SEAL_K2 + 1.0 / stiffness)
        self.flat_force = SEAL_K1 * SEAL_SOFT
        self.flat_at = SEAL_SOFT + self.flat_force / stiffness

    def region(self, d):
        return 0 if d <= 0 else 1 if d <= self.flat_at else 2

    def force(self, region, d, closing):
        if region == 0:
            return 0.0
        f = self.soft * d if region == 1 else self.flat_force + self.hard * (d - self.flat_at)
        return max(0.0, f * (1 + SEAL_BETA * closing))


def stop_force(stiffness, d, closing):
    return max(0.0, stiffness * d * (1 + STOP_BETA * closing)) if d > 0 else 0.0


# --- sections 2 to 7 and 10: one bay ------------------------------------------------------------------------------

Y, V, TH, W, WM, TW, S = range(7)


class Door:
    """One bay alone on its feed. Discrete modes select the equations; events change the modes."""

    def __init__(self, case):
        t = case.get("temperature", 20.0)
        self.temperature = t
        self.battery = Battery(t)
        self.track = Track(case.get("grade", 0.0), case.get("roadside", False))
        self.spring = case.get("spring", 1.0)
        self.viscous = VISCOUS_20 * grease(t)
        self.feed = FEED_R20 * copper(t) + FEED_CONNECTORS
        self.branch = BRANCH_R20 * copper(t) + BRANCH_CONNECTORS
        self.floor = SealContact(FLOOR_K)
        ob = case.get("obstruction")
        self.obstruction = SealContact(ob["stiffness"]) if ob else None
        self.top = ob["top"] if ob else 0.0
        # modes
        self.drive = 0.0          # σδ when driven, 0 when the leads are shorted, None when the motor coasts
        self.engaged = True
        self.curtain = 0          # −1, 0, 1: moving down, standing, moving up
        self.shaft = 0
        self.load_sign = 1        # of the torque that the gear carries
        self.rotor = 0            # of its own only while released
        # start
        y = case["start"]["height"]
        if "slack" in case["start"]:
            theta = (y - case["start"]["slack"]) / DRUM
        else:
            force = (self.track.gravity(y) + self.closing(y)
                     - self.floor.force(self.floor.region(-y), -y, 0.0))
            theta = (y + force / CABLE_K) / DRUM
        self.state = np.array([y, 0, theta, 0, 0, t, 1.0])
        self.taut = self.cable_sum(self.state) > 0
        self.on_floor = self.floor.region(-y)
        self.on_obstruction = self.obstruction.region(self.top - y) if ob else 0
        self.on_stop = y > OPENING

    # forces ---------------------------------------------------------------------------------------------------

    @staticmethod
    def closing(y):
        return CLOSING_0 + CLOSING_1 * y

    @staticmethod
    def cable_sum(x):
        return CABLE_K * (DRUM * x[TH] - x[Y]) + CABLE_C * (DRUM * x[W] - x[V])

    def cable(self, x):
        return self.cable_sum(x) if self.taut else 0.0

    def contact(self, x):
        """Upward force of floor and obstruction on the edge."""
        f = self.floor.force(self.on_floor, -x[Y], -x[V])
        if self.obstruction:
            f += self.obstruction.force(self.on_obstruction, self.top - x[Y], -x[V])
        return f

    def stop(self, x):
        return stop_force(OPEN_K, x[Y] - OPENING, x[V]) if self.on_stop else 0.0

    def spring_torque(self, x):
        return self.spring * max(0.0, RATE * TURNS - RATE / (2 * math.pi) * x[TH])

    def load(self, x):
        """Torque that the gear carries, from the shaft's side."""
        return self.spring_torque(x) - DRUM * self.cable(x)

    def curtain_force(self, x):
        """All on the curtain but dry friction (section 2)."""
        y, v = x[Y], x[V]
        return (self.cable(x) - self.track.gravity(y) - self.closing(y) - self.viscous * v
                + self.contact(x) - self.stop(x))

    def current(self, x):
        """Motor current (sections 5 and 7), solved with the supply."""
        if self.drive is None:
            return 0.0
        r = MOTOR_R20 * copper(x[TW])
        a = self.drive
        source = self.feed + self.battery.resistance(x[S])
        idle = self.battery.ocv(x[S]) - source * (ACCESSORY_A + CONTROLLER_A) - self.branch * CONTROLLER_A
        return (a * idle - MOTOR_K * x[WM]) / (r + a * a * (source + self.branch))

    def battery_current(self, x):
        a = self.drive or 0.0
        return ACCESSORY_A + CONTROLLER_A + a * self.current(x)

    def supply(self, x):
        """Voltage at the controller."""
        bay = CONTROLLER_A + (self.drive or 0.0) * self.current(x)
        node = self.battery.ocv(x[S]) - (self.feed + self.battery.resistance(x[S])) * self.battery_current(x)
        return node - self.branch * bay

    def shaft_torque(self, x):
        """All on the shaft but dry friction, and the limit of the friction (sections 4 and 10)."""
        load = self.load(x)
        if not self.engaged:
            return load, SHAFT_FRICTION
        limit = SHAFT_FRICTION + RATIO * MOTOR_FRICTION + (1 / EFFICIENCY - 1) * self.load_sign * load
        return load + RATIO * MOTOR_K * self.current(x), limit

    def rotor_torque(self, x):
        return MOTOR_K * self.current(x)

    # equations of motion --------------------------------------------------------------------------------------

    def derivative(self, _, x):
        dx = np.zeros(7)
        if self.curtain:
            dx[Y] = x[V]
            dx[V] = (self.curtain_force(x) - RUNNING * self.curtain) / MASS
        torque, limit = self.shaft_torque(x)
        inertia = SHAFT_INERTIA + (RATIO ** 2 * ROTOR_INERTIA if self.engaged else 0.0)
        if self.shaft:
            dx[TH] = x[W]
            dx[W] = (torque - limit * self.shaft) / inertia
        if self.engaged:
            dx[WM] = RATIO * dx[W]
        elif self.rotor:
            dx[WM] = (self.rotor_torque(x) - MOTOR_FRICTION * self.rotor) / ROTOR_INERTIA
        i = self.current(x)
        dx[TW] = (i * i * MOTOR_R20 * copper(x[TW]) - (x[TW] - self.temperature) / THERMAL_R) / THERMAL_C
        dx[S] = self.battery.rate(self.battery_current(x))
        return dx

    # modes ----------------------------------------------------------------------------------------------------

    @staticmethod
    def _begin(velocity, force, limit):
        """Mode of a friction after something jumped."""
        if abs(velocity) > 1e-12:
            return 1 if velocity > 0 else -1
        if abs(force) <= limit:
            return 0
        return 1 if force > 0 else -1

    def settle(self):
        """Chooses the three friction modes anew, after a switch or an event."""
        x = self.state
        self.load_sign = 1 if self.load(x) > 0 else -1
        self.curtain = self._begin(x[V], self.curtain_force(x), BREAKAWAY)
        torque, limit = self.shaft_torque(x)
        self.shaft = self._begin(x[W], torque, limit)
        if self.engaged:
            self.rotor = self.shaft
        else:
            self.rotor = self._begin(x[WM], self.rotor_torque(x), MOTOR_FRICTION)

    def events(self):
        """Pairs of a function that crosses zero at the event, and what the event changes."""
        out = []

        def add(g, direction, change):
            def event(_, x):
                return g(x)
            event.terminal, event.direction = True, direction
            out.append((event, change))

        def halt(index):
            def change():
                self.state[index] = 0.0
                if index == W and self.engaged:
                    self.state[WM] = 0.0
            return change

        def assign(name, value):
            return lambda: setattr(self, name, value)

        if self.curtain:
            add(lambda x: x[V] * self.curtain, -1, halt(V))
        else:
            add(lambda x: BREAKAWAY - abs(self.curtain_force(x)), -1, assign("_start", "curtain"))
        if self.shaft:
            add(lambda x: x[W] * self.shaft, -1, halt(W))
        else:
            def hold(x):
                torque, limit = self.shaft_torque(x)
                return limit - abs(torque)
            add(hold, -1, assign("_start", "shaft"))
        if not self.engaged:
            if self.rotor:
                add(lambda x: x[WM] * self.rotor, -1, halt(WM))
            else:
                add(lambda x: MOTOR_FRICTION - abs(self.rotor_torque(x)), -1, assign("_start", "rotor"))
        add(self.cable_sum, -1 if self.taut else 1, assign("taut", not self.taut))
        if self.engaged:
            # The gear's loss has a corner where its load changes sign.
            add(lambda x: self.load(x) * self.load_sign, -1, assign("load_sign", -self.load_sign))
        self._contact_events(add, assign, "on_floor", self.floor, lambda x: -x[Y])
        if self.obstruction:
            self._contact_events(add, assign, "on_obstruction", self.obstruction, lambda x: self.top - x[Y])
        add(lambda x: x[Y] - OPENING, -1 if self.on_stop else 1, assign("on_stop", not self.on_stop))
        return out

    def _contact_events(self, add, assign, name, contact, depth):
        region = getattr(self, name)
        edges = (0.0, contact.flat_at)
        if region > 0:
            add(lambda x: depth(x) - edges[region - 1], -1, assign(name, region - 1))
        if region < 2:
            add(lambda x: depth(x) - edges[region], 1, assign(name, region + 1))

    def apply(self, index, events):
        """An event has come: changes its mode, then looks at the frictions that it can touch."""
        self._start = None
        events[index][1]()
        x = self.state
        # What breaks away does so with the force at its limit, which rounding may put on either side.
        if self._start == "curtain":
            self.curtain = 1 if self.curtain_force(x) > 0 else -1
        elif self._start == "shaft":
            self.shaft = 1 if self.shaft_torque(x)[0] > 0 else -1
            if self.engaged:
                self.rotor = self.shaft
        elif self._start == "rotor":
            self.rotor = 1 if self.rotor_torque(x) > 0 else -1
        else:
            if x[V] == 0.0 and self.curtain:
                self.curtain = self._begin(0.0, self.curtain_force(x), BREAKAWAY)
            if x[W] == 0.0 and self.shaft:
                torque, limit = self.shaft_torque(x)
                self.shaft = self._begin(0.0, torque, limit)
            if not self.engaged and x[WM] == 0.0 and self.rotor:
                self.rotor = self._begin(0.0, self.rotor_torque(x), MOTOR_FRICTION)

    # time -----------------------------------------------------------------------------------------------------

    def sample(self, x):
        return (x[Y], x[V], self.current(x), self.cable(x), max(0.0, x[Y] - DRUM * x[TH]),
                self.contact(x), self.supply(x))

    CHANNELS = ("height_m", "speed_m_s", "current_a", "cable_n", "slack_m", "contact_n", "supply_v")


def switchings(actions):
    """When the contacts make and break (section 5): (time, σδ or 0 for brake or None for coasting)."""
    out, up, down, duty = [], False, False, 1.0
    for a in actions:
        if a["do"] == "release":
            out.append((a["at"], "release", None))
        elif a["do"] in ("up", "down"):
            sign = 1.0 if a["do"] == "up" else -1.0
            out.append((a["at"] + PULL_IN, "drive", sign * a.get("duty", 1.0)))
        elif a["do"] == "off":
            # Direction and enable drop together: shorted leads.
            out.append((a["at"] + DROP_OUT, "drive", 0.0))
        else:
            raise ValueError("unknown action " + a["do"])
    return sorted(out, key=lambda s: s[0])


def run_hybrid(system, begin, end, grid, sample, tolerance):
    """Integrates a system with modes from one instant to another, handing each grid point to sample.

    Works on SciPy's solver classes themselves: at every event the solver is started anew from the event's state, so
    that no step reaches over a corner of the equations. Returns the number of events."""
    t, count = begin, 0
    due = [float(g) for g in grid if begin + 1e-12 < g <= end + 1e-12]
    due.reverse()
    while t < end:
        pairs = system.events()
        solver = SOLVER(system.derivative, t, system.state, end, rtol=1e-9, atol=tolerance, max_step=0.02)
        before = [g(t, system.state) for g, _ in pairs]
        hit = None
        while solver.status == "running" and hit is None:
            message = solver.step()
            if solver.status == "failed":
                raise RuntimeError("at %g s: %s" % (solver.t, message))
            path = solver.dense_output()
            now = [g(solver.t, path(solver.t)) for g, _ in pairs]
            for k, (g, _) in enumerate(pairs):
                if crosses(before[k], now[k], g.direction):
                    at = root(lambda tk: g(tk, path(tk)), solver.t_old, solver.t)
                    if hit is None or at < hit[0]:
                        hit = (at, k)
            before = now
            reached = hit[0] if hit else solver.t
            while due and due[-1] <= reached + 1e-12:
                tk = due.pop()
                sample(tk, path(min(max(tk, solver.t_old), solver.t)))
        if hit is None:
            system.state = np.array(solver.y)
            return count
        t = hit[0]
        system.state = np.array(path(t))
        system.apply(hit[1], pairs)
        count += 1
        if count > 5000:
            raise RuntimeError("more than 5000 events: the modes chatter")
    return count


def crosses(old, new, direction):
    return old >= 0 > new if direction < 0 else old <= 0 < new


def root(g, a, b):
    """Where g changes its sign between a and b; a, where rounding hides the sign at a."""
    ga, gb = g(a), g(b)
    if ga == 0 or (ga > 0) == (gb > 0):
        return a
    return brentq(g, a, b, xtol=1e-13, rtol=1e-14)


def run_door(case):
    door = Door(case)
    grid = np.round(np.arange(0, round(case["duration"] * 1000) + 1) * 1e-3, 9)
    rows = {}

    def sample(t, x):
        rows[round(t * 1000)] = door.sample(x)

    door.settle()
    sample(0.0, door.state)
    t, events, jumps = 0.0, 0, []
    for at, what, value in switchings(case["actions"]) + [(case["duration"], "end", None)]:
        if at > t:
            events += run_hybrid(door, t, at, grid, sample,
                                 np.array([1e-10, 1e-9, 1e-9, 1e-8, 1e-7, 1e-6, 1e-10]))
            t = at
        if what == "end":
            break
        if what == "release":
            door.engaged = False
        else:
            door.drive = value
        jumps.append(at)
        door.settle()
        sample(t, door.state)
    table = [rows[k] for k in range(len(grid))]
    return {
        "t": grid.tolist(), "switchings": jumps, "events": events,
        "channels": {name: [round(float(r[k]), 9) for r in table] for k, name in enumerate(Door.CHANNELS)},
    }


# --- section 7: battery under a given load ------------------------------------------------------------------------

def run_battery(case):
    battery = Battery(case["temperature"], case["age"])
    t, s = 0.0, 1.0
    times, charge, volts = [], [], []
    while t < case["duration"] - 1e-9:
        for load in case["period"]:
            amps, span = load["current"], load["for"]
            points = np.arange(5.0, span, 10.0)
            sol = solve_ivp(lambda _, x: [battery.rate(amps) if x[0] < 1 or amps > 0 else 0.0], (0, span), [s],
                            method="LSODA", rtol=1e-10, atol=1e-12, dense_output=True)
            for p in points:
                sp = min(1.0, float(sol.sol(p)[0]))
                times.append(t + p)
                charge.append(sp)
                volts.append(battery.ocv(sp) - amps * battery.resistance(sp))
            s = min(1.0, float(sol.y[0, -1]))
            t += span
    return {"t": times, "switchings": [], "events": 0, "channels": {"charge": charge, "terminal_v": volts},
            "battery": {"r0_ohm": battery.r0, "eps": battery.eps}}


# --- section 11: lock ---------------------------------------------------------------------------------------------

class Lock:
    """One lock on the truck's feed, beside one bay at rest."""

    def __init__(self, case):
        self.battery = Battery()
        self.feed = FEED_R20 + FEED_CONNECTORS
        self.sigma = 0
        self.bar = 0
        self.end = 0              # −1 at the unlocked stop, 1 at the locked stop
        self.state = np.array([LOCK_STROKE if case["start"] == "locked" else 0.0, 0.0, 1.0])

    def node(self, x):
        """Node voltage V and lock current I."""
        source = self.feed + self.battery.resistance(x[2])
        rest = self.battery.ocv(x[2]) - source * (ACCESSORY_A + CONTROLLER_A)
        if self.sigma == 0:
            return rest, 0.0
        r = 12.0 / LOCK_STALL_A + LOCK_BRANCH
        amps = (rest - self.sigma * 12.0 / LOCK_FREE * x[1]) / (r + source)
        return rest - source * amps, amps

    def stops(self, x):
        if self.end > 0:
            return -stop_force(LOCK_STOP_K, x[0] - LOCK_STROKE, x[1])
        if self.end < 0:
            return stop_force(LOCK_STOP_K, -x[0], -x[1])
        return 0.0

    def friction(self):
        """Not driven, the actuator's screw locks itself."""
        return LOCK_FRICTION if self.sigma else LOCK_FRICTION + LOCK_STALL

    def force(self, x):
        if self.sigma == 0:
            return self.stops(x)
        volts, amps = self.node(x)
        volts -= LOCK_BRANCH * amps
        return self.sigma * LOCK_STALL * volts / 12.0 - LOCK_STALL / LOCK_FREE * x[1] + self.stops(x)

    def derivative(self, _, x):
        _, amps = self.node(x)
        ds = self.battery.rate(ACCESSORY_A + CONTROLLER_A + amps)
        if not self.bar:
            return np.array([0.0, 0.0, ds])
        return np.array([x[1], (self.force(x) - self.friction() * self.bar) / LOCK_MASS, ds])

    def settle(self):
        self.bar = Door._begin(self.state[1], self.force(self.state), self.friction())

    def events(self):
        out = []

        def add(g, direction, name):
            def event(_, x):
                return g(x)
            event.terminal, event.direction = True, direction
            out.append((event, name))

        if self.bar:
            add(lambda x: x[1] * self.bar, -1, "halt")
        else:
            add(lambda x: self.friction() - abs(self.force(x)), -1, "start")
        for end, depth in ((1, lambda x: x[0] - LOCK_STROKE), (-1, lambda x: -x[0])):
            if self.end == end:
                add(depth, -1, "leave")
            elif self.end == 0:
                add(depth, 1, end)
        return out

    def apply(self, index, events):
        name = events[index][1]
        if name == "halt":
            self.state[1] = 0.0
            self.settle()
        elif name == "start":
            self.bar = 1 if self.force(self.state) > 0 else -1
        elif name == "leave":
            self.end = 0
        else:
            self.end = name

    CHANNELS = ("bar_m", "current_a", "stop_n", "node_v")

    def sample(self, x):
        volts, amps = self.node(x)
        return (x[0], amps, abs(self.stops(x)), volts)


def run_lock(case):
    lock = Lock(case)
    grid = np.round(np.arange(0, round(case["duration"] * 1000) + 1) * 1e-3, 9)
    rows = {}

    def sample(t, x):
        rows[round(t * 1000)] = lock.sample(x)

    lock.settle()
    sample(0.0, lock.state)
    t, events, jumps = 0.0, 0, []
    plan = [(a["at"], {"lock": 1, "unlock": -1, "off": 0}[a["do"]]) for a in case["actions"]]
    for at, sigma in plan + [(case["duration"], None)]:
        if at > t:
            events += run_hybrid(lock, t, at, grid, sample, np.array([1e-11, 1e-9, 1e-10]))
            t = at
        if sigma is None:
            break
        lock.sigma = sigma
        jumps.append(at)
        lock.settle()
        sample(t, lock.state)
    table = [rows[k] for k in range(len(grid))]
    return {
        "t": grid.tolist(), "switchings": jumps, "events": events,
        "channels": {name: [round(float(r[k]), 9) for r in table] for k, name in enumerate(Lock.CHANNELS)},
    }


# --- main ---------------------------------------------------------------------------------------------------------

def main():
    parser = argparse.ArgumentParser(description="Integrates the cases of cases.json with SciPy; JSON on standard output.")
    parser.add_argument("--case", help="only the case of this name")
    parser.add_argument("--method", choices=("LSODA", "Radau"), default="LSODA", help="solver of doors and locks")
    parser.add_argument("--summary", action="store_true", help="peaks and ends instead of the traces")
    args = parser.parse_args()
    global SOLVER
    SOLVER = {"LSODA": LSODA, "Radau": Radau}[args.method]
    with open(os.path.join(HERE, "cases.json"), encoding="utf-8") as f:
        cases = json.load(f)
    out = {}
    for kind, run in (("doors", run_door), ("batteries", run_battery), ("locks", run_lock)):
        for case in cases[kind]:
            if args.case in (None, case["name"]):
                out[case["name"]] = run(case)
    if not out:
        sys.exit("no case is called " + args.case)
    if args.summary:
        for name, result in out.items():
            print(name, "events", result["events"], result.get("battery", ""))
            for channel, values in result["channels"].items():
                print("   %-12s from %.6g to %.6g, least %.6g, most %.6g at %.3f s" % (
                    channel, values[0], values[-1], min(values), max(values), result["t"][int(np.argmax(values))]))
        return
    json.dump(out, sys.stdout)


if __name__ == "__main__":
    main()
