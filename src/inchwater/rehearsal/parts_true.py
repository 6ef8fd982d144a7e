"""What each part of a virtual house resists, by laws and figures of its own."""

from __future__ import annotations

import math

from inchwater.rehearsal.figures import figure, fitting
from inchwater.rehearsal.plan_true import Edge, Setting
from inchwater.rehearsal.world import Face, Media, Pipe, World

VISCOSITY = 1.82e-5  # of air [Pa s]


def area(pipe: Pipe | Face) -> float:
    """Free section of a duct, or gross face of a grille. [m2]"""
    if isinstance(pipe, Face) or pipe.height is not None:
        return pipe.width * float(pipe.height or 0.0)
    return math.pi / 4.0 * pipe.width**2


def head(piece: Pipe | Face, density: float, now: Setting) -> float:
    """Velocity pressure per square of the flow. [Pa s2/m6]"""
    return 0.5 * now.density**2 / density / area(piece) ** 2


def along(edge: Edge, pipe: Pipe, density: float, now: Setting, share: float = 1.0) -> None:
    """Friction and fittings of a duct; ``share`` of its length, and no fittings below 1."""
    section = area(pipe)
    if pipe.height is None:
        hydraulic = pipe.width
    else:
        hydraulic = 2.0 * pipe.width * pipe.height / (pipe.width + pipe.height)
    stretched = pipe.factor * pipe.crush * compressed(pipe)
    edge.friction = stretched * share * pipe.length / hydraulic * head(pipe, density, now)
    edge.reynolds = now.density * hydraulic / VISCOSITY / section
    edge.rough = figure(f"roughness {pipe.material}") / hydraulic
    if share == 1.0:
        edge.square += fitting_loss(pipe) * pipe.crush * head(pipe, density, now)


def compressed(pipe: Pipe) -> float:
    """How many times its stretched friction compressed flex takes. [-]"""
    if pipe.material != "flex" or pipe.compression <= 0.0:
        return 1.0
    wide = (figure("compression diameter") / pipe.width) ** figure("compression diameter power")
    rise = figure("compression factor") * pipe.compression ** figure("compression power")
    return float(1.0 + rise * wide)


def fitting_loss(pipe: Pipe) -> float:
    """Loss of all fittings on the duct's own velocity pressure. [-]"""
    return sum(fitting(one.key)[0] * one.factor for one in pipe.fittings)


def through(edge: Edge, one: Media, now: Setting) -> None:
    """Put a filter as found into an edge; of one that is out its slot is left."""
    face = one.width * one.height * one.count
    if one.id in now.out:
        edge.square += figure("filter slot") * 0.5 * now.density / face**2
        return
    clean = figure(f"filter {one.grade}") * one.factor * one.loading
    velocity = figure("filter velocity")
    # A cake of dust is viscous: what loading adds goes with the velocity.
    viscous = 1.0 - (1.0 - one.viscous) / max(one.loading, 1.0) ** 0.5
    edge.linear += clean * viscous / velocity / face
    edge.square += clean * (1.0 - viscous) / (velocity * face) ** 2


def clean_drop(one: Media, flow: float) -> float:
    """Drop of a filter of this product when it is clean. [Pa]"""
    speed = flow / (one.width * one.height * one.count) / figure("filter velocity")
    rated = figure(f"filter {one.grade}") * one.factor
    return rated * (one.viscous * speed + (1.0 - one.viscous) * speed**2)


def media_drop(one: Media, flow: float) -> float:
    """Drop of a clean filter of the maker's, for a table that holds it. [Pa]"""
    speed = flow / (one.width * one.height * one.count) / figure("filter velocity")
    return figure("filter fiberglass-1in") * (0.3 * speed + 0.7 * speed * abs(speed))


def coil_loss(world: World, wet: bool, dirty: bool = True) -> tuple[float, float]:
    """Coefficient [Pa s^n/m3n] and exponent [-] of the coil's power law."""
    coil = world.coil
    if coil is None:
        return 0.0, 1.0
    design = figure("coil airflow") * world.machine.capacity
    drop = coil.drop * (coil.wet if wet else 1.0) * (coil.dirt if dirty else 1.0)
    return drop / design**coil.exponent, coil.exponent


def heater_loss(world: World) -> float:
    """Loss of the electric heat per square of the flow. [Pa s2/m6]"""
    design = figure("coil airflow") * world.machine.capacity
    return world.machine.heater * figure("heater drop") / design**2
