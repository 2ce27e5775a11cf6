"""The network: MoveNet's backbone and pyramid (stride 4, 24 channels), a head for heatmaps and one for the view.

The head works either on the pyramid's own cells (`fold` 1, up to version 3) or on squares of two by two of them (`fold` 2):
a quarter of the work, each place then gives the four cells of its square.
"""

import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

from graphnet import GraphNet
from names import NAMES, VIEWS


def separable(c_in, c_out, k):
    return nn.Sequential(
        nn.Conv2d(c_in, c_in, k, 1, k // 2, groups=c_in, bias=False),
        nn.Conv2d(c_in, c_out, 1, bias=False),
        nn.BatchNorm2d(c_out),
        nn.ReLU(),
    )


def folded(c_in, c_out):
    """Squares of two by two cells, each made one."""
    return nn.Sequential(nn.Conv2d(c_in, c_out, 2, 2, bias=False), nn.BatchNorm2d(c_out), nn.ReLU())


class Net(nn.Module):
    def __init__(self, backbone, width=96, fold=1):
        super().__init__()
        self.fold = fold
        self.backbone = GraphNet(backbone)
        first = separable(24, width, 3) if fold == 1 else folded(24, width)
        self.head = nn.Sequential(first, separable(width, width, 5), separable(width, width, 5))
        self.points = nn.Conv2d(width, len(NAMES) * fold**2, 1)
        self.view = nn.Linear(width, len(VIEWS))
        nn.init.constant_(self.points.bias, -4.0)

    @classmethod
    def of(cls, weights, backbone):
        """The network of a file of weights, which may have fewer channels than the backbone's file."""
        state = {k: torch.tensor(v) for k, v in np.load(weights).items()}
        net = cls(backbone, state['view.weight'].shape[1], 2 if 'head.0.1.running_mean' in state else 1)
        for key, value in net.backbone.weights.items():
            value.data = torch.empty_like(state[f'backbone.weights.{key}'])
        net.load_state_dict({k: v[: len(net.state_dict()[k])] if v.ndim else v for k, v in state.items()})
        return net

    def logits(self, x):
        """Pictures [n, 3, s, s] in 0..1 -> heatmap logits [n, K, s / 4, s / 4], view logits [n, 5]."""
        f = self.head(self.backbone(x * 2 - 1))
        return F.pixel_shuffle(self.points(f), self.fold), self.view(f.mean((2, 3)))

    def forward(self, x):
        h, v = self.logits(x)
        return torch.sigmoid(h.float()), F.softmax(v.float(), 1)


def decode(h, cell=4):
    """Peaks of heatmaps [n, K, m, m] in crop px [n, K, 2] and their heights; log-Taylor (Zhang et al. 2020)."""
    n, k, m, _ = h.shape
    score, i = h.reshape(n, k, -1).max(-1)
    y, x = i // m, i % m
    log = F.pad(torch.log(h.clamp_min(1e-10)), (1, 1, 1, 1), mode='replicate').reshape(n, k, -1)
    w = m + 2
    at = (y + 1) * w + x + 1
    g = lambda o: log.gather(-1, (at + o)[..., None])[..., 0]
    dx, dy = (g(1) - g(-1)) / 2, (g(w) - g(-w)) / 2
    dxx, dyy = g(1) - 2 * g(0) + g(-1), g(w) - 2 * g(0) + g(-w)
    dxy = (g(w + 1) - g(w - 1) - g(-w + 1) + g(-w - 1)) / 4
    det = dxx * dyy - dxy * dxy
    ok = (det > 1e-6) & (dxx < 0)
    det = torch.where(ok, det, torch.ones_like(det))
    ox = torch.where(ok, -(dyy * dx - dxy * dy) / det, torch.zeros_like(dx)).clamp(-1, 1)
    oy = torch.where(ok, -(dxx * dy - dxy * dx) / det, torch.zeros_like(dy)).clamp(-1, 1)
    return torch.stack([(x + ox + 0.5) * cell - 0.5, (y + oy + 0.5) * cell - 0.5], -1), score
