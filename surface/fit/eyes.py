"""Fits the net that looks at ribs (ribeye.go) on strips that TestEyeStrips wrote.

    eyes.py DIR MINUTES OUT [BEGIN]   reads DIR/train-*.eye, those that come meanwhile too, holds out each tenth belt
                                      as it was drawn, trains for so many minutes of processor time, from weights
                                      BEGIN on where there are, prints how many cracks are found at as many false
                                      alarms as the lines' chances make, and writes weights OUT as it goes: the mean
                                      over the last 500 steps or so
    eyes.py reference WEIGHTS         prints what TestEyeAgainstTorch compares with
"""
import copy
import glob
import struct
import sys
import time

import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

WIDE, SIDES, CELL = 40, 21, 2


class Belt:
    """A strip as ribeye_fit_test.go writes it."""

    def __init__(self, name):
        b = open(name, "rb").read()
        self.ribs, self.h, nt, nl, self.seed, self.flags = struct.unpack_from("<6i", b)
        at = 28
        n = self.ribs * WIDE * self.h
        self.value = np.frombuffer(b, np.int8, n, at).reshape(self.ribs, WIDE, self.h)
        at += n
        self.side = np.frombuffer(b, "<f4", self.ribs * SIDES, at).reshape(self.ribs, SIDES)
        at += 4 * self.ribs * SIDES
        self.truth = np.frombuffer(b, "<f4", 3 * nt, at).reshape(nt, 3)
        at += 12 * nt
        self.lines = np.frombuffer(b, "<f4", 6 * nl, at).reshape(nl, 6)


class Eye(nn.Module):
    def __init__(self, a=8, b=16, c=32, word=8):
        super().__init__()
        self.near = nn.Conv2d(1, a, (5, 5), stride=(2, 1), padding=(2, 2))
        self.far = nn.Conv2d(a, b, (3, 5), stride=(2, 2), padding=(1, 2))
        self.form = nn.Conv2d(b, b, (3, 3), padding=(1, 1))
        self.rib = nn.Conv2d(b, c, (WIDE // 4, 3), padding=(0, 1))
        self.side = nn.Linear(SIDES, c)
        self.word = nn.Conv1d(c, word, 1)
        self.own = nn.Conv1d(c, c, 5, padding=2)
        self.left = nn.Conv1d(word, c, 9, padding=4, bias=False)
        self.right = nn.Conv1d(word, c, 9, padding=4, bias=False)
        self.wide = nn.Conv1d(c, c, 5, padding=6, dilation=3)
        self.out = nn.Conv1d(c, 1, 1)
        nn.init.constant_(self.out.bias, -4.5)

    def forward(self, x, side, left, right):
        x = F.relu(self.near(x))
        x = F.relu(self.far(x))
        x = F.relu(self.form(x))
        x = F.relu(self.rib(x)[:, :, 0] + self.side(side)[:, :, None])
        x = F.dropout(x[:, :, None], 0.1, self.training)[:, :, 0]
        w = F.relu(self.word(x))
        w = torch.cat([w, torch.zeros_like(w[:1])])
        x = F.relu(self.own(x) + self.left(w[left]) + self.right(w[right]))
        x = F.dropout(x, 0.1, self.training)
        x = x + F.relu(self.wide(x))
        return self.out(x)[:, 0]


def neighbours(sizes):
    left, right, k, end = [], [], 0, sum(sizes)
    for n in sizes:
        for i in range(n):
            left.append(k + i - 1 if i else end)
            right.append(k + i + 1 if i + 1 < n else end)
        k += n
    return torch.tensor(left), torch.tensor(right)


def blurred(x, rng):
    s = rng.uniform(0.3, 0.8)
    k = np.exp(-0.5 * (np.arange(-2, 3) / s) ** 2)
    k = torch.tensor(k / k.sum(), dtype=torch.float32)
    n = x.shape[0]
    x = F.conv2d(x[:, None], k.view(1, 1, 1, 5), padding=(0, 2))
    return F.conv2d(x, k.view(1, 1, 5, 1), padding=(2, 0))[:, 0]


def more_cracks(x, side, truth, rng):
    """Lays further cracks over a stretch of belt, alike as those of one belt are; returns all places."""
    ribs, _, long = x.shape
    per = WIDE / 3.56  # px to a mm
    slant = float(np.clip(rng.normal(0, 0.4), -1, 1))
    wander, wide = rng.uniform(0.05, 0.5), per * rng.uniform(0.1, 0.4)
    blur, depth, lip = rng.uniform(0.6, 1.8), np.exp(rng.uniform(np.log(0.9), np.log(5))), rng.uniform(-0.2, 0.2)
    reach = rng.uniform(0, 0.7)
    places = [(r, y) for r, y in truth]
    across = (np.arange(WIDE) + 0.5) / per
    deep = np.clip((np.abs(across - 1.78) - 0.45) * 2.75, 0, 2.2) * slant
    rows = np.arange(long)
    for _ in range(rng.poisson(np.exp(rng.uniform(np.log(0.3), np.log(6))))):
        first = last = int(rng.integers(ribs))
        while last < ribs - 1 and rng.random() < reach:
            last += 1
        a, z = 3.56 * (first + 0.18 * rng.random()), 3.56 * (last + 1 - 0.18 * rng.random())
        n = int((z - a) / 0.2) + 2
        drift, y, path = 0.0, rng.uniform(0, long / per), []
        slope = 0.25 * wander * rng.normal()
        for _ in range(n):
            path.append(y)
            drift = 0.8 * drift + 0.6 * wander * rng.normal()
            y += 0.2 * (slope + drift)
        at = a + 0.2 * np.arange(n)
        tips = [(r, per * float(np.interp(3.56 * (r + 0.5), at, path))) for r in range(first, last + 1)]
        if any(r == q and abs(v - w) < 14 for r, v in tips for q, w in places):
            continue
        places += tips
        w, d = wide * np.exp(0.3 * rng.normal()), depth * np.exp(0.35 * rng.normal())
        for r in range(first, last + 1):
            u = 3.56 * r + across
            on = (u >= a) & (u <= z)
            y = per * (np.interp(u, at, path) + deep)
            steep = np.sqrt(1 + np.gradient(y) ** 2)
            s = np.sqrt((w * steep) ** 2 / 12 + blur * blur)[:, None]
            off = rows[None, :] - y[:, None]
            noise = np.repeat(side[r, 10:20], 4)
            size = d * w * steep / (2.5 * s[:, 0]) * np.exp(np.clip(noise[18:22].mean() - noise, -1, 1)) * on
            dark = np.exp(-0.5 * (off / s) ** 2) - lip * off / s * np.exp(-0.5 * (off / s / 1.5) ** 2)
            x[r] -= (size[:, None] * dark).astype(np.float32)
    return places


def piece(b, long, rng):
    """A random stretch of a belt, changed in ways the drawing does not know."""
    last = max(b.h - long, 0)
    at = rng.integers(0, last + 1)
    if len(b.truth) and rng.random() < 0.5:
        at = min(max(int(b.truth[rng.integers(len(b.truth)), 1]) - rng.integers(0, long), 0), last)
    at -= at % 2
    v = b.value[:, :, at:at + long].astype(np.float32) / 15
    if v.shape[2] < long:
        v = np.pad(v, ((0, 0), (0, 0), (0, long - v.shape[2])))
    side = b.side.copy()
    truth = [(int(r), float(y) - at) for r, y, _ in b.truth]
    if rng.random() < 0.5:
        truth = more_cracks(v, side, truth, rng)
    x = torch.from_numpy(v)
    target = np.zeros((b.ribs, long // CELL), np.float32)  # 1 near a crack, -1 not asked
    marks = []
    for r, y in truth:
        marks.append((r, (y + 0.5) / CELL - 0.5))
    if rng.random() < 0.5:
        x = x.flip(2)
        marks = [(r, long / CELL - 1 - y) for r, y in marks]
    if rng.random() < 0.5:
        x = x.flip(0, 1)
        side = side[::-1].copy()
        for k in (0, 10):
            side[:, k:k + 10] = side[:, k:k + 10][:, ::-1].copy()
        marks = [(b.ribs - 1 - r, y) for r, y in marks]
    if rng.random() < 0.25:
        x = blurred(x, rng)
    noise = 0.0
    if rng.random() < 0.3:
        s = rng.uniform(0, 0.6)
        x = x + s * torch.randn_like(x)
        noise += s * s
    if rng.random() < 0.3:  # grain of another size and direction
        kx, ky = int(rng.integers(1, 5)), int(rng.integers(1, 7))
        g = torch.randn(x.shape[0], 1, WIDE + kx - 1, long + ky - 1)
        g = F.avg_pool2d(g, (kx, ky), stride=1)[:, 0]
        s = rng.uniform(0, 0.7)
        x = x + s * (kx * ky) ** 0.5 * g
        noise += s * s
    x = x * (rng.uniform(0.8, 1.2) / (1 + noise) ** 0.5)
    # positives: cells of which one must answer; others near a crack are not asked
    found = []
    for r, y in marks:
        for k in range(int(np.floor(y)) - 4, int(np.floor(y)) + 6):
            if 0 <= k < target.shape[1] and abs(k - y) <= 4:
                target[r, k] = -1
        if 1 <= y <= target.shape[1] - 2:
            found.append((r, int(round(y))))
    return x.clamp(-8, 8), torch.from_numpy(side), torch.from_numpy(target), found


def loss_of(net, batch):
    sizes = [p[0].shape[0] for p in batch]
    x = torch.cat([p[0] for p in batch])[:, None]
    side = torch.cat([p[1] for p in batch])
    target = torch.cat([p[2] for p in batch])
    left, right = neighbours(sizes)
    z = net(x, side, left, right)
    total = (F.softplus(z) * (target == 0)).sum()
    m = F.max_pool1d(F.pad(z[:, None], (2, 2), value=-30), 5, stride=1)[:, 0]
    rows, cols, k = [], [], 0
    for p in batch:
        for r, c in p[3]:
            rows.append(k + r)
            cols.append(c)
        k += p[0].shape[0]
    if rows:
        total = total + F.softplus(-m[rows, cols]).sum()
    return total / z.numel() * 100


def whole(net, b):
    x = torch.from_numpy(b.value.astype(np.float32) / 15)[:, None]
    if x.shape[3] % 2:
        x = x[:, :, :, :-1]
    left, right = neighbours([b.ribs])
    with torch.no_grad():
        return net(x, torch.from_numpy(b.side.copy()), left, right).numpy()


def peaks(z):
    out = []
    for r in range(z.shape[0]):
        order = np.argsort(-z[r])
        gone = np.zeros(z.shape[1], bool)
        for k in order:
            if z[r, k] < -6:
                break
            if not gone[k]:
                out.append((r, k, z[r, k]))
                gone[max(k - 4, 0):k + 5] = True
    return out


def judged(net, belts):
    """Of the lines of before: chance's log odds, the net's at their place, and whether they are cracks; and of peaks."""
    lines, places, missing, cracks = [], [], 0, 0
    for b in belts:
        z = whole(net, b)
        cracks += len(b.truth)
        for r, y, chance, _, _, crack in b.lines:
            c = (y + 0.5) / CELL - 0.5
            k = int(round(c))
            near = z[int(r), max(k - 2, 0):k + 3]
            if len(near):
                chance = min(max(chance, 1e-5), 1 - 1e-5)
                lines.append((np.log(chance / (1 - chance)), near.max(), crack >= 0, b.flags & 1))
        taken = set()
        for r, k, v in sorted(peaks(z), key=lambda p: -p[2]):
            best, near = -1, 2.8
            for i, (tr, ty, _) in enumerate(b.truth):
                d = abs((ty + 0.5) / CELL - 0.5 - k)
                if int(tr) == r and d < near and i not in taken:
                    best, near = i, d
            if best >= 0:
                taken.add(best)
            places.append((v, best >= 0))
    return np.array(lines, float), np.array(places, float), cracks


def right_at(score, crack, wrong):
    order = np.argsort(-score)
    false = np.cumsum(1 - crack[order])
    n = np.searchsorted(false, wrong, side="right")
    return int(crack[order][:n].sum())


def report(net, belts, what):
    lines, places, cracks = judged(net, belts)
    crack = lines[:, 2]
    text = f"{what}: {len(belts)} belts, {cracks} cracks, {int(crack.sum())} have a line;"
    w = np.zeros(3)
    X = np.stack([np.ones(len(lines)), lines[:, 0], lines[:, 1]], 1)
    for _ in range(30):  # both together
        p = 1 / (1 + np.exp(-X @ w))
        w += np.linalg.solve((X * (p * (1 - p))[:, None]).T @ X + 1e-6 * np.eye(3), X.T @ (crack - p))
    for limit in (0.3, 0.5, 0.8):
        on = lines[:, 0] > np.log(limit / (1 - limit))
        tp, fp = int((on * crack).sum()), int((on * (1 - crack)).sum())
        text += (f"\n  chance {limit}: {tp} right, {fp} wrong; net at lines {right_at(lines[:, 1], crack, fp)}, both "
                 f"{right_at(X @ w, crack, fp)}, net's peaks {right_at(places[:, 0], places[:, 1], fp)}")
    p = 1 / (1 + np.exp(-X @ w))
    q = 1 / (1 + np.exp(-lines[:, 0]))
    ll = lambda p: float(np.mean(np.log(np.where(crack > 0, p, 1 - p) + 1e-9)))
    print(text, f"\n  log likelihood a line: before {ll(q):.4f}, both {ll(p):.4f}", w.round(2), flush=True)


def layers(net):
    return (net.near, net.far, net.form, net.rib, net.side, net.word, net.own, net.left, net.right, net.wide, net.out)


def write(net, name):
    """The weights as the program reads them: of each channel a scale and bytes, of each layer its biases."""
    with open(name, "wb") as f:
        for layer in layers(net):
            for row in layer.weight.detach().numpy().reshape(layer.weight.shape[0], -1):
                scale = np.float32(max(abs(row).max(), 1e-6) / 127)
                f.write(struct.pack("<f", scale) + np.clip(np.round(row / scale), -127, 127).astype(np.int8).tobytes())
            if layer.bias is not None:
                f.write(layer.bias.detach().numpy().astype("<f4").tobytes())


def read(net, name):
    b, at = open(name, "rb").read(), 0
    with torch.no_grad():
        for layer in layers(net):
            n = layer.weight[0].numel()
            for row in layer.weight:
                scale, = struct.unpack_from("<f", b, at)
                row.copy_(torch.from_numpy(scale * np.frombuffer(b, np.int8, n, at + 4)).view(row.shape))
                at += 4 + n
            if layer.bias is not None:
                layer.bias.copy_(torch.from_numpy(np.frombuffer(b, "<f4", len(layer.bias), at).copy()))
                at += 4 * len(layer.bias)
    net.eval()


def reference(net):
    """What TestEyeAgainstTorch compares with: three ribs of a pattern."""
    ribs, long = 3, 61
    k = np.arange(ribs * WIDE * long, dtype=np.float64)
    x = torch.from_numpy((3 * np.sin(0.37 * k) + 3 * np.sin(0.011 * k)).astype(np.float32)).view(ribs, 1, WIDE, long)
    side = torch.from_numpy((0.5 * np.cos(np.arange(ribs * SIDES))).astype(np.float32)).view(ribs, SIDES)
    with torch.no_grad():
        z = net(x[:, :, :, :-1], side, *neighbours([ribs]))
    for r in range(ribs):
        print(", ".join(f"{v:.4f}" for v in z[r, ::6].tolist()))


def main():
    if sys.argv[1] == "reference":
        net = Eye()
        read(net, sys.argv[2])
        return reference(net)
    folder, minutes, out = sys.argv[1], float(sys.argv[2]), sys.argv[3]
    torch.manual_seed(5)
    rng = np.random.default_rng(5)
    torch.set_num_threads(1)
    net, belts, held, known = Eye(), [], [], set()
    if len(sys.argv) > 4:
        read(net, sys.argv[4])
    average = copy.deepcopy(net).eval()
    long, size, most = 192, 12, 1e-3 if len(sys.argv) > 4 else 3e-3
    opt = torch.optim.AdamW(net.parameters(), lr=most, weight_decay=1e-2)
    begin, said, step, mean = time.process_time(), 0, 0, None
    while True:
        done = (time.process_time() - begin) / 60 / minutes
        if done >= 1:
            break
        if time.time() - said > 240:
            said = time.time()
            for name in sorted(set(glob.glob(folder + "/train-*.eye")) - known):
                known.add(name)
                b = Belt(name)
                if b.seed % 10:
                    belts.append(b)
                elif not b.flags & 2:
                    held.append(b)
            weight = np.array([b.h * (1 if len(b.truth) else 0.6) for b in belts], float)
            weight /= weight.sum()
            print(f"{done:.2f} step {step} loss {mean or 0:.4f}; {len(belts)} belts,",
                  sum(len(b.truth) for b in belts), "cracks", flush=True)
            report(average, held, "held out")
            write(average, out)
            net.train()
        rate = most * min(1, (step + 1) / 50) * 0.5 * (1 + np.cos(np.pi * done))
        for g in opt.param_groups:
            g["lr"] = rate
        batch = [piece(belts[i], long, rng) for i in rng.choice(len(belts), size, p=weight)]
        loss = loss_of(net, batch)
        opt.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        opt.step()
        step += 1
        with torch.no_grad():
            for a, p in zip(average.parameters(), net.parameters()):
                a.lerp_(p, max(0.002, 1 / (step + 1)))
        mean = loss.item() if mean is None else 0.99 * mean + 0.01 * loss.item()
    report(average, held, "held out")
    write(average, out)


if __name__ == "__main__":
    main()
