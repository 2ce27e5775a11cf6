"""The packed pictures on the device, and batches of crops drawn from them with what phones do to pictures."""

import io
import math
from multiprocessing.pool import ThreadPool

import numpy as np
import torch
import torch.nn.functional as F
from PIL import Image

import handlers
from names import HAND, NAMES, mirrored
from pack import MARGIN

CROP = 1.25  # side of the network's crop / extent of the horse's points
CELL = 4


class Data:
    """Pictures [n, 3, S, S] uint8, points [n, K, 3] (x, y in 0..1 of the stored square), masks, parts, views.

    Rows of `fold` are taken out of the part `train` and make a part `fold`.
   """

    def __init__(self, paths, device, size=448, fold=None):
        files = [dict(np.load(path)) for path in paths]  # an npz reads its member anew at each access
        self.device, self.size = device, size
        joined = lambda key: np.concatenate([z[key] for z in files])
        self.source, self.part, self.name, self.fold = joined('source'), joined('part').astype('<U5'), joined('name'), joined('fold')
        if fold is not None:
            self.part[self.fold == fold] = 'fold'
        with ThreadPool(12) as pool:
            self.pictures = torch.cat([torch.stack(pool.map(lambda i: self.decode(z, i, size), range(len(z['kp'])))) for z in files]).to(device)
        self.kp = torch.tensor(joined('kp')).to(device)
        self.view = torch.tensor(joined('view')).to(device)
        masks = [self.mask(z, i) for z in files for i in range(len(z['kp']))]
        self.has_mask = torch.tensor([m is not None for m in masks]).to(device)
        self.masks = torch.stack([torch.zeros(128, 128, dtype=torch.uint8) if m is None else m for m in masks]).to(device)
        self.handlers = torch.tensor(handlers.bank(160)).to(device)
        self.flip = torch.tensor(mirrored()).to(device)
        self.legs = [i for i, n in enumerate(NAMES) if 'hoof' in n]

    @staticmethod
    def decode(z, i, size):
        a, b = z['picture_offsets'][i : i + 2]
        im = Image.open(io.BytesIO(z['pictures'][a:b].tobytes())).convert('RGB').resize((size, size), Image.BILINEAR)
        return torch.tensor(np.asarray(im)).permute(2, 0, 1)

    @staticmethod
    def mask(z, i):
        a, b = z['mask_offsets'][i : i + 2]
        return torch.tensor(np.asarray(Image.open(io.BytesIO(z['masks'][a:b].tobytes())))) if b > a else None

    def rows(self, source, *parts):
        sources = source if isinstance(source, tuple) else (source,)
        return torch.tensor(np.where(np.isin(self.source, sources) & np.isin(self.part, parts))[0]).to(self.device)


def uniform(n, lo, hi, device):
    return torch.empty(n, device=device).uniform_(lo, hi)


def placement(n, device, train):
    """Linear part [n, 2, 2] and shift [n, 2] that take the stored square to the crop, both in -1..1."""
    zoom = torch.full((n,), MARGIN / CROP, device=device)
    turn = torch.zeros(n, device=device)
    shift = torch.zeros(n, 2, device=device)
    aspect = torch.ones(n, device=device)
    if train:
        wide = torch.rand(n, device=device) < 0.2
        zoom = zoom * torch.where(wide, uniform(n, math.log(0.6), math.log(1.5), device), uniform(n, math.log(0.8), math.log(1.22), device)).exp()
        turn = torch.randn(n, device=device) * torch.where(torch.rand(n, device=device) < 0.3, 0.2, 0.06)
        shift = torch.randn(n, 2, device=device) * 0.1
        aspect = uniform(n, 0.88, 1.12, device)
    c, s = torch.cos(turn), torch.sin(turn)
    linear = torch.stack([torch.stack([c * zoom * aspect, -s * zoom], 1), torch.stack([s * zoom * aspect, c * zoom], 1)], 1)
    return linear, shift


def warp(x, linear, shift, size):
    inverse = torch.linalg.inv_ex(linear)[0]
    theta = torch.cat([inverse, -(inverse @ shift[:, :, None])], 2)
    grid = F.affine_grid(theta, (len(x), x.shape[1], size, size), align_corners=False)
    return F.grid_sample(x, grid, align_corners=False, padding_mode='border')


def new_background(data, x, masks, linear, shift, size):
    """Horses with a mask set before a part of another picture, now and then."""
    n = len(x)
    other = data.pictures[torch.randint(len(data.pictures), (n,), device=x.device)].float() / 255
    zoom = torch.eye(2, device=x.device)[None] * uniform(n, 2.2, 4, x.device)[:, None, None]
    corner = torch.sign(torch.randn(n, 2, device=x.device)) * zoom[:, 0, 0, None] * uniform(n, 0.5, 0.7, x.device)[:, None]
    behind = warp(other, zoom, corner, size)
    m = warp(masks[:, None].float() / 255, linear, shift, size)
    m = F.avg_pool2d(m, 3, 1, 1)
    return x * m + behind * (1 - m)


def new_coat(x, masks, linear, shift, size):
    """Horses with a mask in another light than their surroundings, now and then."""
    m = F.avg_pool2d(warp(masks[:, None].float() / 255, linear, shift, size), 3, 1, 1)
    return light(x) * m + x * (1 - m)


def light(x):
    n, d = len(x), x.device
    g = lambda lo, hi, c=1: torch.empty(n, c, 1, 1, device=d).uniform_(lo, hi)
    x = x * g(0.65, 1.4) * g(0.86, 1.14, 3)
    m = x.mean((2, 3), keepdim=True)
    x = (x - m) * g(0.6, 1.4) + m
    grey = x.mean(1, keepdim=True)
    a = torch.where(torch.rand(n, 1, 1, 1, device=d) < 0.1, torch.ones(n, 1, 1, 1, device=d), g(-0.2, 0.5))
    x = x * (1 - a) + grey * a
    return x.clamp(0, 1) ** g(-0.5, 0.5).exp()


def blur(x):
    """Lost resolution, motion blur along or across, for a part of the batch each."""
    n, size = len(x), x.shape[-1]
    some = lambda p: torch.rand(n, 1, 1, 1, device=x.device) < p
    q = int(torch.randint(size * 3 // 8, size * 7 // 8, (1,)))
    x = torch.where(some(0.3), F.interpolate(F.interpolate(x, size=(q, q), mode='area'), size=(size, size), mode='bilinear'), x)
    k = int(torch.randint(3, 9, (1,)))
    kernel = torch.zeros(3, 1, k, k, device=x.device)
    if torch.rand(1).item() < 0.7:
        kernel[:, :, k // 2, :] = 1 / k
    else:
        kernel[:, :, :, k // 2] = 1 / k
    padded = F.pad(x, (k // 2, k - 1 - k // 2, k // 2, k - 1 - k // 2), mode='replicate')
    return torch.where(some(0.2), F.conv2d(padded, kernel, groups=3), x)


def dct_matrix(device):
    k, i = torch.meshgrid(torch.arange(8.0), torch.arange(8.0), indexing='ij')
    m = torch.cos((2 * i + 1) * k * math.pi / 16) / 2
    m[0] /= math.sqrt(2)
    return m.to(device)


def block_compression(x):
    """What a coarse 8 x 8 transform coder leaves, for a part of the batch."""
    n, c, size, _ = x.shape
    d = dct_matrix(x.device)
    blocks = x.reshape(n, c, size // 8, 8, size // 8, 8).permute(0, 1, 2, 4, 3, 5)
    f = d @ blocks @ d.T
    i = torch.arange(8.0, device=x.device)
    step = (1 + 0.6 * (i[:, None] + i[None])) * uniform(n, 0.005, 0.06, x.device).view(n, 1, 1, 1, 1, 1)
    coded = d.T @ (torch.round(f / step) * step) @ d
    coded = coded.permute(0, 1, 2, 4, 3, 5).reshape(x.shape)
    return torch.where(torch.rand(n, 1, 1, 1, device=x.device) < 0.35, coded, x)


def patches(x):
    """Parts of other pictures laid over: what hides a leg."""
    n, size = len(x), x.shape[-1]
    other = x[torch.randperm(n, device=x.device)]
    at = torch.arange(size, device=x.device)
    for _ in range(2):
        w, h = (torch.randint(size // 16, size // 3, (n,), device=x.device) for _ in range(2))
        cx, cy = (torch.randint(0, size, (n,), device=x.device) for _ in range(2))
        inside = ((at - cx[:, None]).abs() < w[:, None] / 2)[:, None, None, :] & ((at - cy[:, None]).abs() < h[:, None] / 2)[:, None, :, None]
        x = torch.where(inside & (torch.rand(n, 1, 1, 1, device=x.device) < 0.3), other, x)
    return x


def pasted_handler(data, x, p, known):
    """A drawn person over the picture, mostly beside the near foreleg, feet about level with the hooves."""
    n, size = len(x), x.shape[-1]
    hooves = torch.where(known[:, data.legs], p[:, data.legs, 1], torch.full_like(p[:, data.legs, 1], -1e4))
    ground = hooves.max(1).values.clamp(size * 0.5, size * 1.1)
    fore = [i for i in data.legs if 'fore' in NAMES[i]]
    seen = known[:, fore].float()
    x_fore = (p[:, fore, 0] * seen).sum(1) / seen.sum(1).clamp_min(1)
    x_fore = torch.where(seen.sum(1) > 0, x_fore, uniform(n, 0, size, x.device))
    withers = torch.where(known[:, 2], p[:, 2, 1], ground - 0.45 * size)
    height = (ground - withers).clamp(size * 0.25, size * 0.8) * uniform(n, 0.95, 1.35, x.device)
    near = torch.rand(n, device=x.device) < 0.75
    cx = torch.where(near, x_fore + torch.randn(n, device=x.device) * 0.13 * size, uniform(n, 0, size, x.device))
    foot = ground + torch.randn(n, device=x.device) * 0.05 * size
    sprite = data.handlers[torch.randint(len(data.handlers), (n,), device=x.device)].float() / 255
    sprite = torch.where(torch.rand(n, 1, 1, 1, device=x.device) < 0.5, sprite.flip(3), sprite)
    # The sprite is 128 wide and 256 high, feet at its lower edge.
    linear = torch.zeros(n, 2, 2, device=x.device)
    linear[:, 0, 0] = height / 2 / size
    linear[:, 1, 1] = height / size
    shift = torch.stack([cx / size * 2 - 1, (foot - height / 2) / size * 2 - 1], 1)
    inverse = torch.linalg.inv_ex(linear)[0]
    theta = torch.cat([inverse, -(inverse @ shift[:, :, None])], 2)
    grid = F.affine_grid(theta, (n, 4, size, size), align_corners=False)
    s = F.grid_sample(sprite, grid, align_corners=False, padding_mode='zeros')
    alpha = s[:, 3:] * (torch.rand(n, 1, 1, 1, device=x.device) < 0.35)
    return x * (1 - alpha) + s[:, :3] * alpha


def batch(data, rows, size, train, coats=False):
    """Pictures [n, 3, size, size] in 0..1; points in crop px; given [n, K]; seen inside the crop [n, K]; views."""
    n, dev = len(rows), data.device
    linear, shift = placement(n, dev, train)
    x = warp(data.pictures[rows].float() / 255, linear, shift, size)
    k = data.kp[rows]
    given = k[:, :, 2] > 0
    p = torch.einsum('bij,bkj->bki', linear, k[:, :, :2] * 2 - 1) + shift[:, None]
    p = (p + 1) / 2 * size - 0.5
    view = data.view[rows]
    if train:
        use = (data.has_mask[rows] & (torch.rand(n, device=dev) < 0.4))[:, None, None, None]
        x = torch.where(use, new_background(data, x, data.masks[rows], linear, shift, size), x)
        if coats:
            use = (data.has_mask[rows] & (torch.rand(n, device=dev) < 0.4))[:, None, None, None]
            x = torch.where(use, new_coat(x, data.masks[rows], linear, shift, size), x)
        x, p, given, view = mirror_some(data, x, p, given, view, size)
        x, edge = cut_at_the_border(x)
    inside = (p > -0.5).all(-1) & (p < size - 0.5).all(-1)
    if train:
        inside &= (p[:, :, 0] > edge[:, 0:1]) & (p[:, :, 0] < edge[:, 1:2])
        x = pasted_handler(data, x, p, given & inside)
        x = patches(light(x))
        x = block_compression(blur(x))
        x = (x + torch.randn_like(x) * torch.empty(n, 1, 1, 1, device=dev).uniform_(0, 0.06)).clamp(0, 1)
    return x, p, given, inside, view


def mirror_some(data, x, p, given, view, size):
    f = torch.rand(len(x), device=x.device) < 0.5
    x = torch.where(f[:, None, None, None], x.flip(3), x)
    mirrored_p = torch.stack([size - 1 - p[:, :, 0], p[:, :, 1]], -1)[:, data.flip]
    p = torch.where(f[:, None, None], mirrored_p, p)
    given = torch.where(f[:, None], given[:, data.flip], given)
    other = torch.where((view == 0) | (view == 1), 1 - view, view)
    return x, p, given, torch.where(f, other, view)


def cut_at_the_border(x):
    """The horse enters or leaves: beyond a column the border is repeated, as the crop does outside the picture."""
    n, size = len(x), x.shape[-1]
    at = torch.arange(size, device=x.device)[None]
    some = torch.rand(n, device=x.device)
    left = torch.where(some < 0.07, uniform(n, 0.05, 0.5, x.device) * size, torch.full((n,), -1.0, device=x.device)).long()
    right = torch.where(some > 0.93, uniform(n, 0.5, 0.95, x.device) * size, torch.full((n,), float(size), device=x.device)).long()
    column = torch.minimum(torch.maximum(at, left[:, None].clamp_min(0)), right[:, None].clamp_max(size - 1))
    x = torch.gather(x, 3, column[:, None, None, :].expand(-1, 3, size, -1))
    return x, torch.stack([left.float(), right.float()], 1)


def heatmaps(p, size, sigma=1.5):
    """Gaussians [n, K, size / 4, size / 4], sigma in cells, round points in crop px."""
    at = torch.arange(size // CELL, device=p.device).float()
    q = (p + 0.5) / CELL - 0.5
    gx = torch.exp(-((at - q[:, :, 0:1]) ** 2) / (2 * sigma**2))
    gy = torch.exp(-((at - q[:, :, 1:2]) ** 2) / (2 * sigma**2))
    return gy[:, :, :, None] * gx[:, :, None, :]


POINTS = len(HAND)
