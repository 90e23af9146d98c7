"""The virtual board of docs/design/prediction.md 1 to 6, as a numpy user would write it.

Vectorised over boards and over set-ups that do not depend on each other. Reads from standard input
one JSON object {"plan": ..., "kit": ..., "boards": N, "seed": S}, writes one JSON object with what
the boards came out as and the processor time they took. Needs numpy:

    python3 -m venv SOMEWHERE/outside/the/repository
    SOMEWHERE/outside/the/repository/bin/pip install numpy

Exit code 3 where numpy is absent. Handles what the bench's plan has: bars by hand, one template on
two locators, two bars on three pins; bits of one diameter.
"""

import json
import sys
import time

try:
    import numpy as np
except ImportError:
    print("numpy is not installed", file=sys.stderr)
    sys.exit(3)

CHUNK = 256  # boards at once: the arrays of one pass of openings stay in the second-level cache
LEAST = 0.001


class Plan:
    """The plan with names made indices and set-ups grouped."""

    def __init__(self, plan, kit):
        self.kit = kit
        self.hole = {h["name"]: i for i, h in enumerate(plan["holes"])}
        self.nominal = np.array([[h["x_mm"], h["y_mm"]] for h in plan["holes"]])
        self.cell = np.array([[h["column"], h["row"]] for h in plan["holes"]], float)
        self.feature, self.local, position, bore, bore_dog = {}, [], [], [], []
        for t in plan["templates"]:
            for f in t["features"]:
                self.feature[t["id"] + ":" + f["name"]] = len(self.local)
                self.local.append([f["x_mm"], f["y_mm"]])
                position.append(f["position_mm"])
                bore.append(f.get("bore_mm", [0, 0]))
                bore_dog.append(f.get("bore_dog_mm", [0, 0]))
        self.position = np.array(position)[:, None, None]
        self.bore, self.bore_dog = np.array(bore, float), np.array(bore_dog, float)
        self.groups = []
        opened, fresh = set(), set()
        for s in plan["setups"]:
            step = self.step(s, opened)
            uses = {h for h in step["holes"] if h is not None}
            last = self.groups[-1] if self.groups else None
            alike = last and last[0]["kind"] == step["kind"] == "two" and last[0]["bit"] == step["bit"]
            alike = alike and last[0]["check"] == step["check"] and last[0]["dogs"] == step["dogs"]
            if alike and not (uses & fresh):
                last.append(step)
            else:
                self.groups.append([step])
                fresh = set()
            for b in s["bores"]:
                fresh.add(self.hole[b["hole"]])
                if b["bit"] == "opening":
                    opened.add(self.hole[b["hole"]])
        self.groups = [g if g[0]["kind"] != "two" else self.stack(g) for g in self.groups]

    def step(self, s, opened):
        frames, at = {}, {}
        for i, t in enumerate(s["templates"]):
            turn = np.radians(t["turn_deg"])
            c, n = round(np.cos(turn), 15), round(np.sin(turn), 15)
            flip = -1.0 if t["turned_over"] else 1.0
            frames[t["id"]] = np.array([[c, -n * flip], [n, c * flip]])
            at[t["id"]] = i

        def look(place):
            f = self.feature[place]
            m = frames[place.split(":")[0]]
            return at[place.split(":")[0]], f, m, m @ np.array(self.local[f])

        pins = []
        for p in s["pins"]:
            a = look(p["a"])
            hole = None if ":" in p["b"] else self.hole[p["b"]]
            b = look(p["b"]) if ":" in p["b"] else None
            limits = {"pin": self.kit["pin"], "dog": self.kit["dog"], "point": [0, 0]}.get(p["with"]) or p["diameter_mm"]
            pins.append({"a": a, "b": b, "hole": hole, "with": p["with"], "limits": limits})
        bores = [(look(b["feature"]), self.hole[b["hole"]]) for b in s["bores"]]
        kind = {0: "hand", 2: "two", 3: "linked"}[len(pins)]
        bit = s["bores"][0]["bit"] if s["bores"] else None
        dogs = any(p["hole"] in opened for p in pins)
        return {"kind": kind, "pins": pins, "bores": bores, "check": s["check"], "bit": bit, "dogs": dogs,
                "holes": [p["hole"] for p in pins], "span": None}

    @staticmethod
    def stack(group):
        """Set-ups of one template on two locators, side by side."""
        g = {"kind": "two", "check": group[0]["check"], "bit": group[0]["bit"], "dogs": group[0]["dogs"]}
        col = lambda values: np.array(values)[:, None]
        for k in (0, 1):
            pins = [s["pins"][k] for s in group]
            g[k] = {"feature": np.array([p["a"][1] for p in pins]), "hole": np.array([p["hole"] for p in pins]),
                    "m": np.array([p["a"][2] for p in pins]), "low": col([float(p["limits"][0]) for p in pins]),
                    "width": col([float(p["limits"][1] - p["limits"][0]) for p in pins]),
                    "dog": group[0]["dogs"], "point": np.flatnonzero([p["with"] == "point" for p in pins])}
        lever = np.array([[p["a"][3] for p in s["pins"]] for s in group])
        along = lever[:, 1] - lever[:, 0]
        span = np.hypot(along[:, 0], along[:, 1])
        g["ex"], g["ey"], g["span"] = col(along[:, 0] / span), col(along[:, 1] / span), col(span)
        which, lever_b, feature, m, hole = [], [], [], [], []
        for i, s in enumerate(group):
            for (_, f, frame, arm), h in s["bores"]:
                which.append(i), lever_b.append(arm - lever[i, 0]), feature.append(f), m.append(frame), hole.append(h)
        g["bores"] = (np.array(which, int), np.array(lever_b).reshape(-1, 2), np.array(feature, int),
                      np.array(m).reshape(-1, 2, 2), np.array(hole, int))
        return g


class Boards:
    def __init__(self, plan, rng, n):
        self.p, self.rng, self.n = plan, rng, n
        f, h = len(plan.local), len(plan.nominal)
        self.offset = plan.position * (2 * rng.random((f, 2, n)) - 1)
        self.bore = plan.bore[:, :1] + (plan.bore[:, 1:] - plan.bore[:, :1]) * rng.random((f, n))
        self.bore_dog = plan.bore_dog[:, :1] + (plan.bore_dog[:, 1:] - plan.bore_dog[:, :1]) * rng.random((f, n))
        self.pilot, self.dog = np.zeros((2, h, n)), np.zeros((2, h, n))
        self.pilot_bore, self.dog_bore = np.zeros((h, n)), np.zeros((h, n))
        self.unseated, self.goes = np.zeros(n), np.ones(n, bool)

    def placed(self, feature, m):
        """Offsets of features in the top's frame."""
        o = self.offset[feature]
        return (m[:, 0, 0, None] * o[:, 0] + m[:, 0, 1, None] * o[:, 1],
                m[:, 1, 0, None] * o[:, 0] + m[:, 1, 1, None] * o[:, 1])

    def end(self, g, k, play):
        """Misfit and radial clearance of the k-th locator of a group."""
        e = g[k]
        x, y = self.placed(e["feature"], e["m"])
        centre, wood = (self.dog, self.dog_bore) if e["dog"] else (self.pilot, self.pilot_bore)
        steel = (self.bore_dog if e["dog"] else self.bore)[e["feature"]]
        peg = e["low"] + e["width"] * self.rng.random((len(e["hole"]), self.n))
        r = 0.5 * np.maximum(steel - peg, 0)
        r += 0.5 * np.maximum(wood[e["hole"]] - peg, 0)
        if len(e["point"]):
            # The corner's own pilot: never a dog hole yet.
            w, h = e["point"], e["hole"][e["point"]]
            r[w] = 0.5 * (self.pilot_bore[h] - self.p.kit["pilot_diameter"] + play[w])
            x[w] += centre[0, h] - self.pilot[0, h]
            y[w] += centre[1, h] - self.pilot[1, h]
        x -= centre[0, e["hole"]]
        y -= centre[1, e["hole"]]
        return x, y, np.maximum(r, LEAST, out=r)

    def along_slip(self, g, r1, r2):
        low1, low2, high1, high2 = -r1, -r2 - g, r1, r2 - g
        lo, hi, a, b = np.maximum(low1, low2), np.minimum(high1, high2), np.minimum(low1, low2), np.maximum(high1, high2)
        middle, half = 0.5 * (lo + hi), 0.5 * (hi - lo)
        summit = np.clip(0.5 * (a + b), lo, hi)
        top = (summit - a) * (b - summit)
        u = middle.copy()
        todo = np.flatnonzero(hi > lo)
        first = len(todo) == u.size
        while len(todo):
            pick = (lambda v: v.ravel()) if first else (lambda v: v.ravel()[todo])
            draw = self.rng.random((3, len(todo)))
            c = pick(middle) + pick(half) * np.sqrt(draw[0]) * np.sin(np.pi * (draw[1] - 0.5))
            ok = draw[2] * draw[2] * pick(top) <= (c - pick(a)) * (pick(b) - c)
            u.ravel()[todo[ok]] = c[ok]
            todo, first = todo[~ok], False
        return u

    def two(self, g):
        rng, shape = self.rng, (len(g["ex"]), self.n)
        low, high = self.p.kit["bush_clearance"]
        play = low + (high - low) * rng.random(shape) if g["bit"] == "opening" else None
        x1, y1, r1 = self.end(g, 0, play)
        x2, y2, r2 = self.end(g, 1, play)
        dx, dy, ex, ey = x2 - x1, y2 - y1, g["ex"], g["ey"]
        along, across = dx * ex + dy * ey, dy * ex - dx * ey
        excess = np.abs(along) - (r1 + r2)
        forced = excess > 0
        if g["check"]:
            self.goes &= ~forced.any(axis=0)
            return
        u = self.along_slip(along, r1, r2)
        w = 2 * rng.random((2,) + shape) - 1
        v1 = np.sqrt(np.maximum(r1 * r1 - u * u, 0)) * w[0]
        v2 = np.sqrt(np.maximum(r2 * r2 - (u + along) ** 2, 0)) * w[1]
        if forced.any():
            u[forced] = (-np.sign(along) * (r1 + 0.5 * excess))[forced]
            v1[forced] = 0
            v2[forced] = 0
            self.unseated += (excess > 2 * self.p.kit["give"]).sum(axis=0)
        turn = (v2 - v1 - across) / g["span"]
        self.drill(g, u * ex - v1 * ey - x1, u * ey + v1 * ex - y1, turn, play)

    def drill(self, g, x, y, turn, play):
        which, arm, feature, m, hole = g["bores"]
        k, rng, shape = self.p.kit, self.rng, (len(hole), self.n)
        pilot = g["bit"] == "pilot"
        if pilot:
            low, high = k["pilot_clearance"]
            play = low + (high - low) * rng.random(shape)
        radius = 0.5 * play * np.sqrt(rng.random(shape))
        angle = 2 * np.pi * rng.random(shape)
        ox, oy = self.placed(feature, m)
        z = rng.standard_normal((2,) + shape)
        z *= k["pilot_wander"] if pilot else k["opening_wander"]
        centre, bore = (self.pilot, self.pilot_bore) if pilot else (self.dog, self.dog_bore)
        centre[0, hole] = x[which] - turn[which] * arm[:, 1:] + ox + radius * np.cos(angle) + z[0]
        centre[1, hole] = y[which] + turn[which] * arm[:, :1] + oy + radius * np.sin(angle) + z[1]
        low, high = k["pilot_oversize"] if pilot else k["opening_oversize"]
        bore[hole] = (k["pilot_diameter"] if pilot else k["opening_diameter"]) + low + (high - low) * rng.random(shape)

    def lone(self, s):
        """By hand, or two bars on three pins."""
        rng, n = self.rng, self.n
        if s["kind"] == "hand":
            length = np.ptp([p[0][3] for p in s["bores"]], axis=0).max()
            poses = [0.5 * rng.standard_normal((3, n)) / np.array([[1], [1], [length]])]
        else:
            a, right = np.zeros((6, 6)), np.zeros((6, n))
            for k, p in enumerate(s["pins"]):
                which, f, m, arm = p["a"]
                d = m @ self.offset[f]
                peg = p["limits"][0] + (p["limits"][1] - p["limits"][0]) * rng.random(n)
                for axis in (0, 1):
                    a[2 * k + axis, 3 * which + axis] += 1
                a[2 * k, 3 * which + 2] -= arm[1]
                a[2 * k + 1, 3 * which + 2] += arm[0]
                if p["b"] is None:
                    d = d - self.pilot[:, p["hole"]]
                    far = self.pilot_bore[p["hole"]]
                else:
                    other, g, m, arm = p["b"]
                    d = d - m @ self.offset[g]
                    far = self.bore[g]
                    for axis in (0, 1):
                        a[2 * k + axis, 3 * other + axis] -= 1
                    a[2 * k, 3 * other + 2] += arm[1]
                    a[2 * k + 1, 3 * other + 2] -= arm[0]
                r = np.maximum(0.5 * np.maximum(self.bore[f] - peg, 0) + 0.5 * np.maximum(far - peg, 0), LEAST)
                r, angle = r * np.sqrt(rng.random(n)), 2 * np.pi * rng.random(n)
                right[2 * k] = r * np.cos(angle) - d[0]
                right[2 * k + 1] = r * np.sin(angle) - d[1]
            q = np.linalg.solve(a, right)
            poses = [q[:3], q[3:]]
        for bar, pose in enumerate(poses):
            own = [(look, hole) for look, hole in s["bores"] if look[0] == bar]
            if own:
                g = {"bit": "pilot", "bores": (np.zeros(len(own), int), np.array([l[3] for l, _ in own]),
                     np.array([l[1] for l, _ in own]), np.array([l[2] for l, _ in own]), np.array([h for _, h in own]))}
                self.drill(g, pose[:1], pose[1:2], pose[2:], None)

    def make(self):
        for g in self.p.groups:
            if isinstance(g, dict):
                self.two(g)
            else:
                self.lone(g[0])

    def results(self):
        nominal, cell = self.p.nominal, self.p.cell
        x, y = self.dog
        c = cell - cell.mean(axis=0)
        w = np.linalg.solve(c.T @ c, c.T)
        (ax, bx), (ay, by) = w @ (nominal[:, :1] + x), w @ (nominal[:, 1:] + y)
        square = -np.arctan2(ax * bx + ay * by, ax * by - ay * bx) * 1000
        centred = nominal - nominal.mean(axis=0)
        turn = (centred[:, 0] @ y - centred[:, 1] @ x) / (centred**2).sum()
        rx = x - x.mean(axis=0) + centred[:, 1:] * turn
        ry = y - y.mean(axis=0) - centred[:, :1] * turn
        apart = rx * rx + ry * ry
        rms, most = np.sqrt(apart.mean(axis=0)), np.sqrt(apart.max(axis=0))
        pitch = [np.hypot(ax, ay), np.hypot(bx, by)]
        f0, f1, r0, r1 = (self.p.hole[h] for h in ("A1", "A14", "A7", "G7"))
        line = (-(x[r1] - x[r0]) / (nominal[r1, 1] - nominal[r0, 1]) - (y[f1] - y[f0]) / (nominal[f1, 0] - nominal[f0, 0])) * 1000
        return square, line, rms, most, pitch, self.goes, self.unseated


def main():
    asked = json.load(sys.stdin)
    plan = Plan(asked["plan"], asked["kit"])
    rng = np.random.Generator(np.random.SFC64(asked["seed"]))
    square, line, rms, goes, unseated = [], [], [], [], []
    wall, cpu = time.perf_counter(), time.process_time()
    for _ in range(0, asked["boards"], CHUNK):
        boards = Boards(plan, rng, CHUNK)
        boards.make()
        s, l, r, _, _, g, n = boards.results()
        square.append(s), line.append(l), rms.append(r), goes.append(g), unseated.append(n)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    square, line = np.concatenate(square), np.concatenate(line)
    print(json.dumps({
        "boards": len(square), "wall_s": wall, "cpu_s": cpu, "square_sd": square.std(), "line_sd": line.std(),
        "position_rms": np.concatenate(rms).mean(), "goes": np.concatenate(goes).mean(),
        "setups_per_board": np.concatenate(unseated).mean(), "numpy": np.__version__,
    }))


main()
