"""A slow and obvious second way to compute one kind of box, for holding the engine to account.

Written from the equations, with nothing of terralab's engine or physics in it: plain numpy rates, handed to scipy's
LSODA from one switching to the next. Only the description and the tables of materials are shared. One clock, one
unknown per store, no amounts between clocks, no exact bookkeeping: water closes as well as the integrator does.

The box it knows: one air (a box so tall that the engine takes two is to be told otherwise), upright panes that are all
alike and the glass of the lid, one soil layer over a drainage layer with a mesh between, plants, one front vent and one
mesh lid, a lamp and an exchange fan on timers, one pour into the soil. The air of the room blows at the vent. No cover, wood, dish, tube, mist, spray or thermostat;
the water below must stay away from the mesh and the air below 100 % (`solve` refuses otherwise).

What differs from the engine on purpose, and by how much (see `test_twin` for what that does to the answers):
saturation by the Magnus form of Alduchov & Eskridge 1996 (J. Appl. Meteorol. 35:601, eq. 21; up to 0.24 % off the
curve of Hyland & Wexler between 10 and 35 C), long waves by the fourth power instead of a line about 22 C, flow
through a vent summed over its height, a temperature for every soil cell, even cells, vapour and roots carrying
their heat with the temperature of the cell, the air's mass of water moved as rates.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import terralab as tl
from terralab import materials
from tests.engine.twin_parts import (
    C_AIR,
    C_VAPOUR,
    C_WATER,
    CHILTON,
    L0,
    R_AIR,
    R_VAPOUR,
    SIGMA,
    VAPOUR_PER_RATIO,
    ZERO,
    G,
    P,
    buoyancy,
    film,
    heat_coefficient,
    pressure,
    ratio,
    retention,
    rho,
    saturated,
    seen,
)

GAUSS = np.polynomial.legendre.leggauss(24)  # heights of a vent, from -1 to 1, and their shares
LONGEST_DAYS = 3  # that the course of the room is looked up for


@dataclass
class State:
    """What is integrated; every field a number or one number a cell. Sums count from the start [kg]."""

    air_t: float
    air_w: float
    glass_t: float
    glass_film: float
    lid_t: float
    lid_film: float
    leaf_t: float
    leaf_film: float
    below_t: float
    level: float
    head: np.ndarray
    soil_t: np.ndarray
    fit: np.ndarray
    evaporated: float = 0.0
    transpired: float = 0.0
    drained: float = 0.0
    to_room: float = 0.0


class Twin:
    """One box of the kind above, in the room as described; `solve` gives its State at the times asked for."""

    def __init__(self, box: tl.Box, cell_m: float = 0.004, top_m: float = 0.0028) -> None:
        e, r = box.enclosure, box.routine
        self.room = box.room.now
        # straight lines between the bends of two signals, looked up once: the rates ask for them at every instant
        self.course = []
        for signal in (self.room.temperature, self.room.humidity):
            bends = np.unique([0.0, *signal.knots_s(LONGEST_DAYS), 86400.0 * LONGEST_DAYS])
            self.course.append((bends, np.asarray(signal.at(bends), float) + np.zeros(bends.size)))
        self.soil = {p: n.typical for p, n in materials.get("substrates", e.layers[0].material).numbers.items()}
        self.stone = {p: n.typical for p, n in materials.get("aggregates", e.drainage.material).numbers.items()}
        self.plant = {p: n.typical for p, n in materials.get("plants", e.plants.kind).numbers.items()}
        lamp = {p: n.typical for p, n in materials.get("lamps", r.lamps[0].kind).numbers.items()}
        common = lambda name, prop: materials.get("defaults", name).typical(prop)  # noqa: E731
        self.floor, self.below = e.width_cm * e.front_to_back_cm / 1e4, e.drainage.depth_cm / 100.0
        around = 2.0 * (e.width_cm + e.front_to_back_cm) / 100.0
        deep = e.layers[0].depth_cm / 100.0
        self.air_height = e.height_cm / 100.0 - deep - self.below
        self.volume = self.floor * self.air_height
        self.air_mass = 1.18 * self.volume
        self.speed = common("air movement", "speed")
        # openings
        vent, lid = (next(o for o in e.openings if (o.wall == "lid") is top) for top in (False, True))
        area = lambda o: o.width_cm * o.height_cm / 1e4 * (1.0 - o.covered)  # noqa: E731
        self.lid, self.slot, self.top = area(lid), area(vent), e.height_cm / 100.0
        self.heights = (vent.bottom_cm + vent.height_cm * 0.5 * (1.0 + GAUSS[0])) / 100.0
        self.inertia = 0.595 / common("discharge coefficient", "factor") ** 2
        passed = common("mesh exchange", "factor") * np.sqrt(0.0233 / self.inertia)
        self.brake = 0.002 + (0.0233 - self.inertia * passed**2) / passed
        self.column = common("lid column", "length")
        self.gust = 0.5 * 0.5 * 1.19 * common("usual room", "draught") ** 2
        self.leak = common("leakage", "ach") * self.volume / 3600.0
        # glass and ways of heat outwards
        pane, conducts = e.glass_mm / 1000.0, common("glass pane", "conductivity")
        self.walls, self.cap = around * self.air_height, self.floor - self.lid
        self.glass = self.walls + self.cap
        self.glass_heat = pane * common("glass pane", "heat_capacity")
        self.outer = 1.0 / (1.0 / common("outer glass", "h") + 0.5 * pane / conducts)
        self.under = 1.0 / (0.17 + pane / conducts)
        self.beside = around / (1.0 / self.outer + min(e.width_cm, e.front_to_back_cm) / 100.0 / (6.0 * 0.3))
        self.emits = common("radiation", "emissivity")
        self.films = {
            name: {p: common(f"{name} film", p) for p in ("capacity", "half_wet")} for name in ("glass", "leaf")
        }
        self.drip_s, self.to_edge = common("drip time", "time"), common("run-off share to soil", "share")
        # leaves and the lamp
        self.leaves, self.chill = e.plants.leaf_area_cm2 / 1e4, 0.72 * e.plants.leaf_width_cm / 100.0
        canopy = {p: common("canopy", p) for p in ("extinction", "shelter")}
        self.shelter, layers = canopy["shelter"], canopy["extinction"] * self.leaves / self.floor
        # leaves among leaves show less of themselves
        shown = 2.0 * self.floor * (1.0 - np.exp(-layers)) / canopy["extinction"]
        # front, sides and back look at each other too; they are one here, since they are alike
        front, beside = (self.air_height * cm / 100.0 for cm in (e.width_cm, 2.0 * e.front_to_back_cm))
        leaf, *walls, cap, ground, sky = seen(shown, front, beside, front, self.cap, self.floor, self.lid)
        self.seen = np.array([leaf, sum(walls), cap, ground, sky])
        shade = 1.0 - np.exp(-layers)
        on_glass, away = common("lamp light", "on_glass"), common("lamp light", "leaves_box")
        power = r.lamps[0].power_w
        inside = power * (lamp["light"] * (1.0 - on_glass - away) + lamp["radiant"])
        self.lamp = {"leaf": inside * shade, "ground": inside * (1.0 - shade)}
        self.lamp |= {"glass": power * lamp["light"] * on_glass, "air": power * lamp["convective"]}
        # photons: some straight on the plants, the rest thrown about between walls, lid and plants until it is taken up
        far = 0.5 * self.air_height
        m = -np.log(2.0) / np.log(np.cos(np.radians(0.5 * common("lamp light", "beam"))))
        straight = 1.0 - (far**2 / (far**2 + self.floor / np.pi)) ** (0.5 * (m + 1.0))
        walls_r, plants_r = common("lamp light", "walls_reflect"), common("lamp light", "plants_reflect")
        space = 2.0 * self.floor + around * far
        mean = (walls_r * (space - self.floor) + plants_r * self.floor) / space
        thrown = (plants_r * straight + walls_r * (1.0 - straight)) / (1.0 - mean)
        photons = power * lamp["photons_per_joule"]
        if not r.lamps[0].kind.endswith("inside"):
            free = (
                materials.get("meshes", lid.mesh).typical("open_share")
                if isinstance(lid.mesh, str)
                else common("mesh screen", "porosity")
            )
            photons *= (self.lid * free + self.cap * common("clear glass", "light_transmission")) / self.floor
        par = photons * (straight + thrown * self.floor / space) / self.floor
        self.light = par * shade / (self.leaves / self.floor)
        damp = materials.get("groups", box.group).typical("day_rh_low") >= 60.0
        self.raised = common("leaf pores", "dark_resistance_factor_grown_humid") if damp else 1.0
        self.pores = common("leaf pores", "dryness_exponent"), common("leaf pores", "warmth_slope")
        self.lit, self.blown = r.lamps[0].timer.periods_s(), r.fans[0].timer.periods_s()
        self.fan_flow = r.fans[0].flow_m3_h / 3600.0
        pour = r.pours[0]
        self.poured = ((pour.time_s, pour.time_s + 60.0 * pour.over_min),)
        self.pour_rate = pour.amount_ml / 1000.0 / (60.0 * pour.over_min)
        # soil cells
        self.dz = np.array([top_m, *np.diff(np.linspace(top_m, deep, round((deep - top_m) / cell_m) + 1))])
        bottom = np.cumsum(self.dz)
        self.above_mesh = deep - bottom + 0.5 * self.dz
        reach = e.plants.root_depth_cm / 100.0
        self.roots = np.clip(np.minimum(bottom, reach) - (bottom - self.dz), 0.0, None) / min(deep, reach)
        self.start_level = e.drainage.level_cm / 100.0 - self.below
        self.vent = lru_cache(8)(self.vent)

    def start(self, first: dict[str, float], chain_t: np.ndarray, faces_m: np.ndarray) -> State:
        """Drained-moist soil at rest above the mesh; air, surfaces and warmth as a record begins (`first`).

        `chain_t` are the temperatures of the record's layers, the water's below last; `faces_m` where those in the soil
        begin and end. Each holds the heat it has there. How a run comes to begin so is checked by itself, not here.
        """
        head = -(self.above_mesh + self.stone["entry_suction"])
        heat = np.concatenate([[0.0], np.cumsum(np.diff(faces_m) * chain_t[:-1])])
        soil_t = np.diff(np.interp(np.concatenate([[0.0], np.cumsum(self.dz)]), faces_m, heat)) / self.dz
        fast = (
            first[name]
            for name in ("air_t", "air_w", "glass_t", "glass_film", "lid_t", "lid_film", "leaf_t", "leaf_film")
        )
        return State(*map(float, fast), float(chain_t[-1]), self.start_level, head, soil_t, np.ones(head.size))

    def vent(self, air_t, air_w, room_t, room_w, fan):
        """Air exchanged with the room [m3/s]: the pressure at which vent, lid and fan pass as much out as in.

        The last few are remembered: most of what is asked for rates moves the soil while the air stays as it is.
        """
        light = buoyancy(rho(room_t, room_w), rho(air_t, air_w))
        weight = 1.19 * G * light
        speed = lambda x, a, b: np.sign(x) * (np.sqrt(a * a + 4.0 * b * abs(x)) - a) / (2.0 * b)  # noqa: E731
        through = lambda x: speed(x, self.brake, self.inertia)  # noqa: E731

        def leaves(p: float, gust: float) -> tuple[float, float]:
            slot = self.slot * through(p + gust + weight * self.heights)
            lid = self.lid * through(p + weight * self.top)
            share = 0.5 * GAUSS[1]
            return max(lid, 0.0) + share @ np.maximum(slot, 0.0), max(-lid, 0.0) + share @ np.maximum(-slot, 0.0)

        ends = sorted(-weight * np.array([self.heights[0], self.top]))
        need = self.brake * fan / self.slot + self.inertia * (fan / self.slot) ** 2 + self.gust
        wide = np.sqrt(4.0 * self.lid / np.pi)
        into = 2.178e-5 * ((air_t + ZERO) / ZERO) ** 1.81 * wide
        high = min(0.46 * wide, max(0.02635821 * wide, self.column))
        for gust in (self.gust, -self.gust):

            def lacking(x: float, gust: float = gust) -> float:
                out, into = leaves(x, gust)
                return out + fan - into

            p = brentq(lacking, ends[0] - need - 1e-9, ends[1] + need + 1e-9, xtol=1e-13)
            into += 0.5 * leaves(p, gust)[1]
            if light > 0.0:
                turns = 0.5 * self.lid * speed(weight * high, self.brake, self.inertia * high / (0.02635821 * wide))
                floods = through(0.754**2 * weight * wide**5 / (2.0 * self.lid**2))
                into += 0.5 * turns * max(0.0, 1.0 - abs(through(p + weight * self.top)) / floods)
        return self.leak + into

    def rates(self, t: float, s: State, lit: bool, fan: bool, pouring: bool) -> State:
        """The rate of every number in the state."""
        room_t, room_rh = (float(np.interp(t, *course)) for course in self.course)
        room_w = ratio(room_rh / 100.0 * saturated(room_t))
        lamp = self.lamp if lit else dict.fromkeys(self.lamp, 0.0)
        w, air = s.air_w, rho(s.air_t, s.air_w)
        theta, slope, k = retention(s.head, self.soil)
        vapour_d = 2.178e-5 * ((s.soil_t + ZERO) / ZERO) ** 1.81
        # evaporation of glass, leaves and soil
        w_glass, w_lid, w_leaf, w_soil = (ratio(saturated(x)) for x in (s.glass_t, s.lid_t, s.leaf_t, s.soil_t[0]))
        h_glass = heat_coefficient(
            self.speed, self.air_height, buoyancy(air, rho(s.glass_t, min(w, w_glass))), level=False
        )
        # cold air under the lid falls as warm air over the ground rises
        h_lid = heat_coefficient(
            self.speed, np.sqrt(self.cap), -buoyancy(air, rho(s.lid_t, 0.5 * (w + w_lid))), level=True
        )
        h_leaf = heat_coefficient(self.speed, self.chill, buoyancy(air, rho(s.leaf_t, 0.5 * (w + w_leaf))), level=True)
        h_leaf /= self.shelter
        h_soil = heat_coefficient(self.speed, np.sqrt(self.floor), buoyancy(air, rho(s.soil_t[0], w_soil)), level=True)
        _, e_glass, run_off = film(
            self.films["glass"], self.drip_s, self.walls, s.glass_film, CHILTON * h_glass, w_glass, w
        )
        _, e_lid, fall = film(self.films["glass"], self.drip_s, self.cap, s.lid_film, CHILTON * h_lid, w_lid, w)
        wet, e_leaf, drip = film(self.films["leaf"], self.drip_s, self.leaves, s.leaf_film, CHILTON * h_leaf, w_leaf, w)
        left = self.plant["wet_share_left"]
        airy = np.clip((self.soil["theta_s"] - theta) / (0.5 * self.plant["wet_limit_air"]) - 1.0, 0.0, 1.0)
        off = left + (1.0 - left) * airy - s.fit
        days = np.where(off < 0.0, self.plant["wet_days_to_fall"], self.plant["wet_days_to_recover"])
        start, stop = self.plant["dry_start_head"], self.plant["dry_limit_head"]
        draw = self.roots * s.fit * np.clip((stop - s.head) / (stop - start), 0.0, 1.0)
        light = self.light if lit else 0.0
        dark = 1.0 / (self.plant["resistance_dark"] * self.raised)
        adds = (1.0 / self.plant["resistance_full"] - dark) * light / (light + self.plant["light_half"])
        lacks = np.clip((w_leaf - w) * P / 0.621945 / 1000.0, 0.4, 2.5)
        adds *= lacks ** -self.pores[0] * np.exp(self.pores[1] * (np.clip(s.leaf_t, 15.0, 33.0) - 25.0))
        through = self.leaves * (1.0 - wet) / (1.0 / (CHILTON * h_leaf) + 1.0 / (dark + adds) / VAPOUR_PER_RATIO)
        e_root = max(0.0, through * draw.sum() * (w_leaf - w))
        pore = np.exp(G * s.head / (R_VAPOUR * (s.soil_t + ZERO)))
        e_soil = CHILTON * h_soil * self.floor * (ratio(pore[0] * saturated(s.soil_t[0])) - w)
        out = self.vent(s.air_t, s.air_w, room_t, room_w, self.fan_flow if fan else 0.0) * (P - pressure(w)) / R_AIR
        out /= s.air_t + ZERO
        # water in the soil, downwards [m/s]: from above, liquid and vapour between cells, and through the mesh
        apart = 0.5 * (self.dz[1:] + self.dz[:-1])
        liquid = 0.5 * (k[1:] + k[:-1]) * ((s.head[:-1] - s.head[1:]) / apart + 1.0)
        dense = pore * saturated(s.soil_t) / (R_VAPOUR * (s.soil_t + ZERO))
        pores = vapour_d * (self.soil["theta_s"] - theta) ** (10.0 / 3.0) / self.soil["theta_s"] ** 2
        vapour = 0.5 * (pores[1:] + pores[:-1]) * (dense[:-1] - dense[1:]) / apart / 1000.0
        half, entry = 0.5 * self.dz[-1], self.stone["entry_suction"]
        _, _, k_mesh = retention(np.array(-entry), self.soil)
        through_mesh = max(0.0, 0.5 * (k[-1] + float(k_mesh)) * ((s.head[-1] + entry) / half + 1.0))
        t_below = s.below_t + ZERO
        dense_below = saturated(s.below_t) / (R_VAPOUR * t_below)
        d_stone = 2.178e-5 * (t_below / ZERO) ** 1.81 * self.stone["void_fraction"] ** (4.0 / 3.0)
        up = d_stone / -s.level * (dense_below - dense[-1]) / 1000.0
        mass = 1000.0 * self.floor
        pour = self.pour_rate / mass if pouring else 0.0
        edge = (run_off * self.to_edge + drip + fall) / mass
        drawn = draw / max(draw.sum(), 1e-12) * e_root / mass
        flow = np.concatenate([[pour + edge - e_soil / mass], liquid + vapour, [through_mesh - up]])
        gain = flow[:-1] - flow[1:] - drawn
        # heat of the soil [W/m2]
        share = np.minimum(1.0, theta / self.soil["theta_s"])
        conducts = self.soil["lambda_dry"] + (self.soil["lambda_wet"] - self.soil["lambda_dry"]) * share
        way = 0.5 * self.dz / conducts
        latent = L0 + (C_VAPOUR - C_WATER) * s.soil_t
        moved = (s.soil_t[:-1] - s.soil_t[1:]) / (way[:-1] + way[1:])
        moved += 1000.0 * vapour * np.where(vapour > 0.0, latent[:-1], latent[1:])
        heat = np.append(-moved, 0.0) + np.append(0.0, moved)
        carried = 1000.0 * C_WATER * liquid * (s.soil_t[:-1] - s.soil_t[1:])
        heat[1:] += np.where(liquid > 0.0, carried, 0.0)
        heat[:-1] += np.where(liquid < 0.0, carried, 0.0)
        heat -= self.beside / self.floor * self.dz * (s.soil_t - room_t)
        wet_below = np.clip(1.0 + s.level / self.below, 0.0, 1.0)
        stone = self.stone["lambda_dry"] + wet_below * (self.stone["lambda_wet"] - self.stone["lambda_dry"])
        to_below = (s.soil_t[-1] - s.below_t) / (way[-1] + 0.5 * self.below / stone)
        heat[-1] += 1000.0 * up * (latent[-1] if up < 0.0 else L0 + C_VAPOUR * s.below_t - C_WATER * s.soil_t[-1])
        heat[-1] -= to_below
        # all surfaces and the open lid look at one radiant temperature, at which as much comes as goes
        black = (np.array([s.leaf_t, s.glass_t, s.lid_t, s.soil_t[0], room_t]) + ZERO) ** 4
        radiates = self.emits * SIGMA * self.seen * (black - self.seen @ black / self.seen.sum())
        to_air = h_soil * self.floor * (s.soil_t[0] - s.air_t)
        # vapour leaves a surface with its enthalpy there and arrives with that of the air
        pays = lambda e, at: e * (L0 + C_VAPOUR * (at if e > 0.0 else s.air_t) - C_WATER * at)  # noqa: E731
        surface = lamp["ground"] - to_air - radiates[3] - pays(e_soil, s.soil_t[0])
        surface += C_WATER * (pour * mass * (room_t - s.soil_t[0]) + drip * (s.leaf_t - s.soil_t[0]))
        surface += C_WATER * fall * (s.lid_t - s.soil_t[0])
        surface += C_WATER * run_off * self.to_edge * (s.glass_t - s.soil_t[0])
        heat[0] += surface / self.floor
        capacity = (self.soil["heat_capacity_dry"] + theta * 1000.0 * C_WATER) * self.dz
        below = to_below + 1000.0 * C_WATER * through_mesh * (s.soil_t[-1] - s.below_t)
        below += C_WATER * run_off * (1.0 - self.to_edge) * (s.glass_t - s.below_t) / self.floor
        below -= 1000.0 * up * (L0 + C_VAPOUR * (s.below_t if up > 0.0 else s.soil_t[-1]) - C_WATER * s.below_t)
        below -= (self.under + self.beside * self.below / self.floor) * (s.below_t - room_t)
        held = self.stone["void_fraction"] * (s.level + self.below)
        below_heat = self.stone["heat_capacity_dry"] * self.below + 1000.0 * C_WATER * held
        # heat of glass, leaves and air [W]
        leaf_air = 2.0 * h_leaf * self.leaves * (s.leaf_t - s.air_t)
        glass_air = h_glass * self.walls * (s.glass_t - s.air_t)
        lid_air = h_lid * self.cap * (s.lid_t - s.air_t)
        lamp_on = lamp["glass"] / self.glass
        glass = lamp_on * self.walls - radiates[1] - glass_air - self.outer * self.walls * (s.glass_t - room_t)
        lid = lamp_on * self.cap - radiates[2] - lid_air - self.outer * self.cap * (s.lid_t - room_t)
        leaf = lamp["leaf"] - leaf_air - radiates[0] - pays(e_leaf + e_root, s.leaf_t)
        leaf += C_WATER * 1000.0 * self.floor * float(drawn @ (s.soil_t - s.leaf_t))
        brought = sum(
            max(e, 0.0) * (at - s.air_t)
            for e, at in ((e_soil, s.soil_t[0]), (e_leaf + e_root, s.leaf_t), (e_glass, s.glass_t), (e_lid, s.lid_t))
        )
        air_gain = lamp["air"] + to_air + leaf_air + glass_air + lid_air + C_VAPOUR * brought
        air_gain -= out * (C_AIR + C_VAPOUR * room_w) * (s.air_t - room_t)
        evaporated = e_soil + e_leaf + e_root + e_glass + e_lid
        return State(
            air_t=air_gain / (self.air_mass * (C_AIR + C_VAPOUR * w)),
            air_w=(evaporated - out * (w - room_w)) / self.air_mass,
            glass_t=(glass - pays(e_glass, s.glass_t)) / (self.glass_heat * self.walls + C_WATER * s.glass_film),
            glass_film=-e_glass - run_off,
            lid_t=(lid - pays(e_lid, s.lid_t)) / (self.glass_heat * self.cap + C_WATER * s.lid_film),
            lid_film=-e_lid - fall,
            leaf_t=leaf / (800.0 * self.leaves + C_WATER * s.leaf_film),
            leaf_film=-e_leaf - drip,
            below_t=below / below_heat,
            level=(through_mesh - up + run_off * (1.0 - self.to_edge) / mass) / self.stone["void_fraction"],
            head=gain / (self.dz * slope),
            soil_t=heat / capacity,
            fit=off / (86400.0 * days),
            evaporated=evaporated,
            transpired=e_root,
            drained=through_mesh * mass,
            to_room=out * (w - room_w),
        )

    def packed(self, s: State) -> np.ndarray:
        return np.concatenate([np.atleast_1d(getattr(s, f.name)) for f in fields(State)])

    def unpacked(self, y: np.ndarray) -> State:
        n = self.dz.size
        return State(*y[:10], *np.split(y[10 : 10 + 3 * n], 3), *y[10 + 3 * n :])

    def leans(self, slope, at: float, y: np.ndarray) -> np.ndarray:
        """How the rates at y lean on each number, for the integrator to solve its steps with; by small differences.

        Cells that lie three apart are moved together, since each acts on its neighbours alone but for the roots: what it
        does through them is left out here. So a step may need one more round to be solved; what it comes to is the same.
        """
        n, rest = self.dz.size, slope(at, y)
        out = np.zeros((y.size, y.size))
        step = 1e-7 * np.maximum(np.abs(y), 1e-3)
        ends = (10, 9 + n, 10 + n, 9 + 2 * n)  # the uppermost and the lowest cell: head, warmth
        for j in (*range(10), *ends):
            moved = y.copy()
            moved[j] += step[j]
            out[:, j] = (slope(at, moved) - rest) / step[j]
        for first in (10, 10 + n):
            for third in range(3):
                those = np.arange(first + 1 + third, first + n - 1, 3)
                moved = y.copy()
                moved[those] += step[those]
                change = slope(at, moved) - rest
                for j in those:
                    cell = j - first
                    near = np.add.outer([10, 10 + n], [cell - 1, cell, cell + 1]).ravel()
                    out[near, j] = change[near] / step[j]
        return out

    def solve(self, first: State, times_s: np.ndarray, rtol: float = 1e-6) -> list[State]:
        """The state at rising times [s] from 0, where it is `first`, from one switching to the next."""
        days = int(np.ceil(times_s[-1] / 86400.0))
        assert days <= LONGEST_DAYS
        switched = [
            86400.0 * d + t for d in range(days) for p in (self.lit, self.blown, self.poured) for s in p for t in s
        ]
        knots = self.room.temperature.knots_s(days), self.room.humidity.knots_s(days)
        stops = np.unique(np.concatenate([switched, *knots, [times_s[-1]]]))
        y, t, found = self.packed(first), 0.0, [first]
        running = lambda periods, at: any(a <= at % 86400.0 < b for a, b in periods)  # noqa: E731
        tolerance = np.full(y.size, 1e-7)
        tolerance[[0, 2, 4, 6, 8]] = 1e-4
        tolerance[1] = 1e-8
        tolerance[10:-4] = 1e-5
        for stop in stops[(stops > 0.0) & (stops <= times_s[-1])]:
            now = [running(periods, 0.5 * (t + stop)) for periods in (self.lit, self.blown, self.poured)]
            slope = lambda at, state, now=now: self.packed(self.rates(at, self.unpacked(state), *now))  # noqa: E731
            wanted = times_s[(times_s > t) & (times_s <= stop)]
            lean = lambda at, state, slope=slope: self.leans(slope, at, state)  # noqa: E731
            times = np.union1d(wanted, stop)
            done = solve_ivp(slope, (t, stop), y, "LSODA", times, rtol=rtol, atol=tolerance, jac=lean)
            assert done.success, f"at {t / 3600.0:.2f} h: {done.message}"
            found.extend(self.unpacked(column) for column in done.y.T[: len(wanted)])
            y, t = done.y[:, -1], float(stop)
        for s in found:
            assert s.air_w < ratio(saturated(s.air_t)), "this twin has no fog: keep the air below 100 %"
            assert s.level < -self.stone["capillary_rise"], "this twin knows no water at the mesh"
        return found
