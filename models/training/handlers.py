"""Drawn people to paste over training pictures: trunk, legs, arms and head of random build, clothes and stride."""

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

W, H = 128, 256


def limb(draw, a, b, c, width, colour):
    draw.line([a, b, c], fill=colour, width=width, joint='curve')
    for x, y in (a, b, c):
        draw.ellipse([x - width / 2, y - width / 2, x + width / 2, y + width / 2], fill=colour)


def person(rng):
    """RGBA [H, W, 4] uint8; feet at the lower edge."""
    s = 2
    im = Image.new('RGBA', (W * s, H * s), (0, 0, 0, 0))
    d = ImageDraw.Draw(im)
    tone = lambda: tuple(int(v) for v in np.clip(rng.normal(rng.uniform(20, 220), 30, 3), 0, 255)) + (255,)
    trousers, coat, shoes = tone(), tone(), tone()
    skin = tuple(int(v) for v in np.array([230, 190, 160]) * rng.uniform(0.35, 1.05)) + (255,)
    cx, hip, knee, foot, neck = 64 * s, 128 * s, 188 * s, 248 * s, 44 * s
    stride = rng.uniform(-26, 26) * s
    broad = rng.uniform(0.8, 1.25)
    for sign in (-1, 1):
        k = (cx + sign * stride * 0.45 + rng.uniform(0, 8) * s, knee + rng.uniform(-4, 4) * s)
        f = (cx + sign * stride, foot - max(0, sign * stride) * 0.15)
        limb(d, (cx, hip), k, f, int(17 * s * broad), trousers)
        toe = rng.uniform(8, 16) * s
        d.ellipse([f[0] - 7 * s, f[1] - 5 * s, f[0] + toe, f[1] + 7 * s], fill=shoes)
    if rng.random() < 0.4:
        limb(d, (cx, knee), (cx + stride * 0.6, knee + 20 * s), (cx + stride, foot - 4 * s), int(15 * s), shoes)
    d.rounded_rectangle([cx - 19 * s * broad, neck, cx + 19 * s * broad, hip + 8 * s], radius=14 * s, fill=coat)
    for _ in range(2):
        hand = (cx + rng.uniform(-50, 60) * s, rng.uniform(70, 130) * s)
        elbow = ((cx + hand[0]) / 2 + rng.uniform(-8, 8) * s, (neck + hand[1]) / 2 + rng.uniform(5, 22) * s)
        limb(d, (cx, neck + 12 * s), elbow, hand, int(12 * s * broad), coat)
        d.ellipse([hand[0] - 5 * s, hand[1] - 5 * s, hand[0] + 5 * s, hand[1] + 5 * s], fill=skin)
    d.ellipse([cx - 12 * s, 8 * s, cx + 13 * s, 40 * s], fill=skin)
    if rng.random() < 0.8:
        d.pieslice([cx - 14 * s, 4 * s, cx + 15 * s, 38 * s], 180, 360, fill=tone())
    im = im.resize((W, H), Image.BILINEAR).filter(ImageFilter.GaussianBlur(0.6))
    a = np.asarray(im).astype(np.float32)
    ramp = np.linspace(*rng.uniform(0.75, 1.15, 2), W)[None, :, None]
    grain = rng.normal(1, 0.06, (H, W, 1))
    a[:, :, :3] *= ramp * grain
    return np.clip(a, 0, 255).astype(np.uint8)


def bank(n, seed=7):
    """[n, 4, H, W] uint8."""
    rng = np.random.default_rng(seed)
    return np.stack([person(rng).transpose(2, 0, 1) for _ in range(n)])
