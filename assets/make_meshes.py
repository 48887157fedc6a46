#!/usr/bin/env python3
"""Makes the meshes of the demo plans: python3 assets/make_meshes.py OUTDIR

    router_body.stl    router motor with ribs, fins, collet nut and cord; about 90 000 triangles
    toggle_clamp.obj   hold-down clamp on a foot with four holes; about 20 000 triangles
    gantry_plate.stl   side plate of a gantry with bored and counterbored holes; about 33 000 triangles

Millimetres, Z up, dimensions of our own invention. Origins:
    router body   centre of the lower face of the collet nut; the spindle's axis is Z
    toggle clamp  centre of the foot's underside; the arm reaches towards +Y
    gantry plate  lower front left corner; 12 thick in X, 220 deep in Y, 320 high in Z

Every shell is closed and faces outward; a part may consist of several shells that overlap, as
assemblies do when they are exported. Needs the standard library only; same output on every run.
"""
import math
import pathlib
import struct
import sys


class Mesh:
    """Shells of triangles; vertices are rounded to single precision, as STL stores them."""

    def __init__(self):
        self.vertices = []
        self.triangles = []
        self._shell = {}

    def new_shell(self):
        """Vertices of different shells stay apart even where they coincide."""
        self._shell = {}

    def vertex(self, point):
        key = struct.pack("<3f", *point)
        if key not in self._shell:
            self._shell[key] = len(self.vertices)
            self.vertices.append(struct.unpack("<3f", key))
        return self._shell[key]

    def triangle(self, a, b, c):
        self.triangles.append((self.vertex(a), self.vertex(b), self.vertex(c)))

    def quad(self, a, b, c, d):
        self.triangle(a, b, c)
        self.triangle(a, c, d)

    def band(self, lower, upper):
        """Wall between two rings of equal count that run counter-clockwise seen from above."""
        for i in range(len(lower)):
            k = (i + 1) % len(lower)
            self.quad(lower[i], lower[k], upper[k], upper[i])

    def fan(self, centre, ring):
        """Cap whose ring runs counter-clockwise seen from outside."""
        for i in range(len(ring)):
            self.triangle(centre, ring[i], ring[(i + 1) % len(ring)])

    def stack(self, rings, bottom, top):
        """Closed shell through rings from bottom to top, with the centres of its two caps."""
        self.new_shell()
        self.fan(bottom, rings[0][::-1])
        for lower, upper in zip(rings, rings[1:]):
            self.band(lower, upper)
        self.fan(top, rings[-1])


def angles(count):
    return [2 * math.pi * i / count for i in range(count)]


# ---------------------------------------------------------------------------------------------- router
def round_ring(radius):
    return lambda a: radius


def hexagon(across_flats):
    """Distance from the axis to a hexagon's side."""
    return lambda a: 0.5 * across_flats / math.cos((a + math.pi / 6) % (math.pi / 3) - math.pi / 6)


def ribbed(inner, outer, ribs):
    """Ribs along the axis with flanks that lean a little."""
    def radius(a):
        wave = 2.2 * math.sin(ribs * a)
        return inner + (outer - inner) * 0.5 * (1 + max(-1.0, min(1.0, wave)))
    return radius


def router_body():
    count = 288
    profile = [
        (0.0, round_ring(8.0)), (0.0, hexagon(21.0)), (1.0, hexagon(24.0)), (15.0, hexagon(24.0)),
        (17.0, hexagon(21.0)), (17.0, round_ring(9.5)), (23.0, round_ring(9.5)),
        (23.0, round_ring(17.0)), (26.0, round_ring(20.0)),
    ]
    # Nose: a cone that flares out to the clamping collar.
    for i in range(1, 13):
        t = i / 12
        profile.append((26.0 + 22.0 * t, round_ring(20.0 + 12.5 * math.sin(0.5 * math.pi * t))))
    profile += [(84.0, round_ring(32.5)), (84.0, round_ring(34.0)), (88.0, round_ring(34.0))]
    # Cooling fins round the body.
    z = 88.0
    for _ in range(14):
        profile += [(z, round_ring(31.0)), (z + 1.4, round_ring(31.0)),
                    (z + 1.4, round_ring(35.2)), (z + 2.0, round_ring(36.0)),
                    (z + 2.8, round_ring(36.0)), (z + 3.4, round_ring(35.2))]
        z += 3.4
    # Ribbed motor housing, then the crowned lid.
    profile += [(z, round_ring(33.0)), (z + 1.0, ribbed(33.5, 36.0, 24))]
    z += 1.0
    for i in range(1, 21):
        profile.append((z + 2.8 * i, ribbed(33.5, 36.0, 24)))
    z += 56.0
    profile += [(z + 1.0, round_ring(33.2)), (z + 4.0, round_ring(33.2)),
                (z + 4.0, round_ring(35.0)), (z + 14.0, round_ring(35.0))]
    z += 14.0
    for i in range(1, 19):
        t = i / 19 * math.pi / 2
        profile.append((z + 9.0 * math.sin(t), round_ring(3.0 + 32.0 * math.cos(t))))
    z += 9.0
    rings = [[(r(a) * math.cos(a), r(a) * math.sin(a), height) for a in angles(count)]
             for height, r in profile]
    mesh = Mesh()
    mesh.stack(rings, (0.0, 0.0, 0.0), (0.0, 0.0, z - 0.2))

    # Strain relief and cord, leaving the lid upwards and bending back towards +Y.
    path = [(0.0, 12.0, z - 12.0), (0.0, 12.0, z + 8.0)]
    for i in range(1, 25):
        a = i / 24 * math.pi / 2
        path.append((0.0, 12.0 + 24.0 * (1 - math.cos(a)), z + 8.0 + 24.0 * math.sin(a)))
    tube(mesh, path, lambda t: 6.5 - 2.4 * min(1.0, 1.6 * t), 48)
    return mesh


def tube(mesh, path, radius, count):
    """Circle swept along a path in the plane of Y and Z; radius as a function of 0..1 along it."""
    rings = []
    for i, (x, y, z) in enumerate(path):
        before, after = path[max(i - 1, 0)], path[min(i + 1, len(path) - 1)]
        dy, dz = after[1] - before[1], after[2] - before[2]
        length = math.hypot(dy, dz)
        dy, dz = dy / length, dz / length
        r = radius(i / (len(path) - 1))
        # (1,0,0), (0,dz,-dy) and the direction (0,dy,dz) are right-handed.
        rings.append([(x + r * math.cos(a), y + r * math.sin(a) * dz, z - r * math.sin(a) * dy)
                      for a in angles(count)])
    mesh.stack(rings, path[0], path[-1])


# ----------------------------------------------------------------------------------------------- plate
def cell_rim(width, height, count):
    """Points round a rectangle about the origin, evenly by angle, its corners among them."""
    rim = []
    for a in angles(count):
        c, s = math.cos(a), math.sin(a)
        reach = min(0.5 * width / abs(c) if abs(c) > 1e-12 else math.inf,
                    0.5 * height / abs(s) if abs(s) > 1e-12 else math.inf)
        rim.append((reach * c, reach * s))
    return rim


def rounded(point, corner, radius):
    """The point, drawn in from the corner at `corner` (its signs say which) to an arc."""
    cx, cy = corner[0] - math.copysign(radius, corner[0]), corner[1] - math.copysign(radius, corner[1])
    dx, dy = point[0] - cx, point[1] - cy
    if dx * corner[0] <= 0 or dy * corner[1] <= 0:
        return point
    scale = radius / math.hypot(dx, dy)
    return (cx + dx * scale, cy + dy * scale)


def drilled_plate(mesh, columns, rows, cell, thickness, hole, corner, place, count=32):
    """Plate of columns x rows square cells about its own origin, each with the hole (diameter,
    counterbore diameter, counterbore depth; 0: none) that `hole` gives; rounded at its four corners.
    Cells share the points on their rims, so the plate is one watertight shell. `place` takes plate
    coordinates (u, v, height over the underside), right-handed, to space."""
    mesh.new_shell()
    nodes, rim_pieces = {}, {}

    def shared(u, v, w):
        """Points on rims meet those of the neighbouring cell although they were computed apart."""
        key = (round(u * 4096), round(v * 4096), w)
        return nodes.setdefault(key, place(u, v, w))

    for column in range(columns):
        for row in range(rows):
            u0, v0 = (column + 0.5 - columns / 2) * cell, (row + 0.5 - rows / 2) * cell
            rim = cell_rim(cell, cell, count)
            at_corner = column in (0, columns - 1) and row in (0, rows - 1)
            if at_corner:
                signs = (0.5 * cell * (-1 if column == 0 else 1), 0.5 * cell * (-1 if row == 0 else 1))
                rim = [rounded(p, signs, corner) for p in rim]
            low = [shared(u0 + u, v0 + v, 0.0) for u, v in rim]
            high = [shared(u0 + u, v0 + v, thickness) for u, v in rim]

            def circle(diameter, w):
                return [place(u0 + 0.5 * diameter * math.cos(a), v0 + 0.5 * diameter * math.sin(a), w)
                        for a in angles(count)]

            bore, wide, depth = hole(column, row)
            if bore == 0:
                mesh.fan(place(u0, v0, thickness), high)
                mesh.fan(place(u0, v0, 0.0), low[::-1])
            else:
                # From the underside's rim in to the hole, up through it, and out to the upper rim.
                rings = [low, circle(bore, 0.0)]
                if wide > 0:
                    rings += [circle(bore, thickness - depth), circle(wide, thickness - depth),
                              circle(wide, thickness)]
                else:
                    rings += [circle(bore, thickness)]
                rings.append(high)
                for inner, outer in zip(rings, rings[1:]):
                    mesh.band(outer, inner)
            for i in range(count):
                k = (i + 1) % count
                rim_pieces[low[i], low[k]] = (high[k], high[i])
    # Two cells run the rim between them once each way; the outline is what only one runs.
    for (start, end), upper in rim_pieces.items():
        if (end, start) not in rim_pieces:
            mesh.quad(start, end, *upper)


def gantry_plate():
    def hole(column, row):
        if 4 <= row <= 11 and 3 <= column <= 7:
            return (16.0, 0.0, 0.0)  # field of large holes that saves weight
        if row in (1, 14) and column % 2 == 1:
            return (6.6, 11.0, 6.5)  # counterbored for cap screws M6 of the beam and the feet
        if column in (1, 9) and row % 2 == 0:
            return (5.0, 0.0, 0.0)  # tapping holes for cable brackets and switches
        if column in (0, 10) and row in (0, 15):
            return (8.0, 0.0, 0.0)
        return (0.0, 0.0, 0.0)

    mesh = Mesh()
    # Plate coordinates (u, v, w) are Y, Z, X, which is right-handed.
    drilled_plate(mesh, 11, 16, 20.0, 12.0, hole, 8.0, lambda u, v, w: (w, u + 110.0, v + 160.0), 48)
    return mesh


# ----------------------------------------------------------------------------------------------- clamp
def prism(mesh, outline, x0, x1):
    """Plate between x0 and x1 with a convex outline in Y and Z, counter-clockwise seen from +X."""
    low = [(x0, y, z) for y, z in outline]
    high = [(x1, y, z) for y, z in outline]
    centre = [sum(c) / len(outline) for c in zip(*outline)]
    mesh.stack([low, high], (x0, *centre), (x1, *centre))


def rounded_outline(points, radius, steps=8):
    """Convex polygon with its corners rounded."""
    outline = []
    for i, (x, y) in enumerate(points):
        (ax, ay), (bx, by) = points[i - 1], points[(i + 1) % len(points)]
        ux, uy = ax - x, ay - y
        vx, vy = bx - x, by - y
        lu, lv = math.hypot(ux, uy), math.hypot(vx, vy)
        ux, uy, vx, vy = ux / lu, uy / lu, vx / lv, vy / lv
        half = 0.5 * math.acos(ux * vx + uy * vy)
        bx, by = ux + vx, uy + vy
        reach = radius / math.sin(half) / math.hypot(bx, by)
        cx, cy = x + bx * reach, y + by * reach
        start = math.atan2(y + uy * radius / math.tan(half) - cy, x + ux * radius / math.tan(half) - cx)
        for k in range(steps + 1):
            a = start + (math.pi - 2 * half) * k / steps
            outline.append((cx + radius * math.cos(a), cy + radius * math.sin(a)))
    return outline


def turned(mesh, x, y, profile, count=64):
    """Turned part about a vertical axis through (x, y): radii at rising heights."""
    rings = [[(x + r * math.cos(a), y + r * math.sin(a), z) for a in angles(count)]
             for z, r in profile]
    mesh.stack(rings, (x, y, profile[0][0]), (x, y, profile[-1][0]))


def pin(mesh, y, z, radius, x0, x1, count=48):
    """Pin along X."""
    ring = lambda x: [(x, y + radius * math.cos(a), z + radius * math.sin(a)) for a in angles(count)]
    mesh.stack([ring(x0), ring(x1)], (x0, y, z), (x1, y, z))


def toggle_clamp():
    mesh = Mesh()
    # Foot 40 x 60 x 4 with four counterbored holes near its corners.
    drilled_plate(mesh, 2, 3, 20.0, 4.0, lambda c, r: (5.4, 9.0, 1.5) if r != 1 else (0, 0, 0), 5.0,
                  lambda u, v, w: (u, v, w), 64)
    cheek = rounded_outline([(-24.0, 2.0), (22.0, 2.0), (14.0, 38.0), (-14.0, 38.0)], 5.0, 12)
    for x0 in (-9.0, 6.0):
        prism(mesh, cheek, x0, x0 + 3.0)
    arm = rounded_outline([(-18.0, 28.0), (74.0, 28.0), (74.0, 38.0), (-18.0, 38.0)], 4.0, 12)
    prism(mesh, arm, -5.5, 5.5)
    for y, z in ((8.0, 31.0), (-10.0, 32.0), (-16.0, 16.0)):
        pin(mesh, y, z, 3.5, -11.0, 11.0)
    # Spindle through the arm's end: rubber tip set for stock 18 thick, thread, a nut on each side.
    thread = [(23.0, 4.0)]
    for i in range(34):
        thread += [(23.5 + i, 3.4), (24.0 + i, 4.0)]
    turned(mesh, 0.0, 64.0, thread)
    turned(mesh, 0.0, 64.0, [(18.0, 5.0), (18.6, 6.5), (21.0, 7.0), (22.5, 7.0), (23.5, 6.2),
                             (24.2, 4.8)])
    for z in (24.3, 38.2):
        turned(mesh, 0.0, 64.0, [(z, 6.0), (z + 0.6, 6.5), (z + 2.9, 6.5), (z + 3.5, 6.0)], 6)
    # Lever: bent rod, grip with a rounded end.
    lever = [(0.0, -16.0, 16.0), (0.0, -22.0, 30.0), (0.0, -30.0, 44.0)]
    lever += [(0.0, -30.0 - 2.0 * i, 44.0 + 2.4 * i) for i in range(1, 21)]
    tube(mesh, lever, lambda t: 4.0, 48)
    grip = [(0.0, -38.0 - 1.0 * i, 53.6 + 1.2 * i) for i in range(41)]
    tube(mesh, grip, lambda t: 5.0 + 2.4 * math.sqrt(max(0.0, 1.0 - (2.0 * t - 1.0) ** 6)), 48)
    return mesh


# ----------------------------------------------------------------------------------------------- files
def normal_of(a, b, c):
    u = [q - p for p, q in zip(a, b)]
    v = [q - p for p, q in zip(a, c)]
    n = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
    length = math.sqrt(sum(q * q for q in n)) or 1.0
    return tuple(q / length for q in n)


def write_stl(path, mesh):
    parts = [path.stem.encode().ljust(80), struct.pack("<I", len(mesh.triangles))]
    for t in mesh.triangles:
        a, b, c = (mesh.vertices[i] for i in t)
        parts.append(struct.pack("<12fH", *normal_of(a, b, c), *a, *b, *c, 0))
    path.write_bytes(b"".join(parts))


def write_obj(path, mesh):
    lines = [f"# {path.stem}, mm, Z up"]
    lines += [f"v {x:.9g} {y:.9g} {z:.9g}" for x, y, z in mesh.vertices]
    lines += ["f " + " ".join(str(i + 1) for i in t) for t in mesh.triangles]
    path.write_text("\n".join(lines) + "\n")


def main(arguments):
    if len(arguments) != 1:
        sys.exit("usage: python3 make_meshes.py OUTDIR")
    folder = pathlib.Path(arguments[0])
    folder.mkdir(parents=True, exist_ok=True)
    write_stl(folder / "router_body.stl", router_body())
    write_obj(folder / "toggle_clamp.obj", toggle_clamp())
    write_stl(folder / "gantry_plate.stl", gantry_plate())


if __name__ == "__main__":
    main(sys.argv[1:])
