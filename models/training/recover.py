"""Weights to train on from, out of a network as it ships.

usage: recover.py SHIPPED_FOLDER MOVENET DATA.npz OUT.npz [--pictures 512]

Channels that only help training are not in there: each begins as ours of the same place. Batch norms were folded into the
convolutions: they get the means and variances that pictures of the training part give, and weights that take them back.
"""

import argparse
import re

import numpy as np
import torch

from data import Data, batch
from graphnet import GraphNet, read
from names import HAND, NAMES
from net import Net

# What other sources call our points, without their mark.
OURS = {'nostril': 'muzzle', 'nose': 'muzzle', 'knee': 'fore_knee', 'hock': 'hind_hock', 'left_elbow': 'point_of_elbow', 'right_elbow': 'point_of_elbow'}


def alike(name):
    """Our channel for the same place of the horse; None where we have none."""
    plain = re.sub('(^|_)[cp]_', r'\1', name)
    side, rest = (plain[: plain.index('_') + 1], plain[plain.index('_') + 1 :]) if plain.startswith(('left_', 'right_')) else ('', plain)
    found = OURS.get(plain, side + OURS.get(rest, rest))
    return found if found in HAND else None


def start(folder, movenet):
    """The network with its shipped weights, its batch norms doing nothing but add."""
    _, weights = read(f'{folder}/model', f'{folder}/weights')
    kernel = lambda name: torch.tensor(weights[f'{name}/kernel'])
    fold = len(weights['head/0/pointwise/kernel'])
    net = Net(movenet, len(weights['points/kernel'][0, 0]), fold)
    constants = {GraphNet.key(name): torch.tensor(w) for name, w in weights.items()}
    with torch.no_grad():
        for key, value in net.backbone.weights.items():
            value.data = constants[key]
        for i, (*depthwise, pointwise, norm, _) in enumerate(net.head):
            for layer in depthwise:
                layer.weight.copy_(kernel(f'head/{i}/depthwise').permute(2, 3, 0, 1))
            pointwise.weight.copy_(kernel(f'head/{i}/pointwise').permute(3, 2, 0, 1))
            norm.bias.copy_(torch.tensor(weights[f'head/{i}/pointwise/bias']))
            norm.weight.fill_((1 + norm.eps) ** 0.5)
        ours = [HAND.index(alike(n)) if alike(n) else None for n in NAMES]
        by_cell = lambda shipped: shipped.unflatten(0, (fold**2, len(HAND))).transpose(0, 1)
        w, b = by_cell(kernel('points').permute(3, 2, 0, 1)), by_cell(torch.tensor(weights['points/bias']))
        for channel, own in enumerate(ours):
            if own is not None:
                cells = slice(channel * fold**2, (channel + 1) * fold**2)
                net.points.weight[cells], net.points.bias[cells] = w[own], b[own]
        net.view.weight.copy_(kernel('view').T)
        net.view.bias.copy_(torch.tensor(weights['view/bias']))
    return net.eval()


@torch.no_grad()
def with_norms(net, data, size, count):
    """Batch norms that normalise what they see, and give the same as before."""
    sums = [[0, 0, 0] for _ in net.head]

    def measured(i):
        def hook(_, __, z):
            for k, add in enumerate((z.numel() / z.shape[1], z.sum((0, 2, 3), dtype=torch.float64), (z.double() ** 2).sum((0, 2, 3)))):
                sums[i][k] = sums[i][k] + add

        return hook

    hooks = [layer[-3].register_forward_hook(measured(i)) for i, layer in enumerate(net.head)]
    rows = torch.tensor(np.where(data.part == 'train')[0]).to(data.device)
    rows = rows[torch.randperm(len(rows), device=rows.device)[:count]]
    for i in range(0, len(rows), 16):
        net(batch(data, rows[i : i + 16], size, False)[0])
    for hook in hooks:
        hook.remove()
    for (n, total, squares), (*_, norm, _) in zip(sums, net.head):
        mean = total / n
        variance = squares / n - mean**2
        norm.bias.add_(mean.float())
        norm.running_mean.copy_(mean)
        norm.running_var.copy_(variance)
        norm.weight.copy_((variance + norm.eps).sqrt())


def main():
    a = argparse.ArgumentParser()
    a.add_argument('shipped'), a.add_argument('movenet'), a.add_argument('data'), a.add_argument('out')
    a.add_argument('--input', type=int, default=320), a.add_argument('--pictures', type=int, default=512)
    a = a.parse_args()
    device = 'cuda' if torch.cuda.is_available() else 'cpu'
    data = Data([a.data], device)
    net = start(a.shipped, a.movenet).to(device)
    few = batch(data, data.rows(tuple(set(data.source)), 'train')[:8], a.input, False)[0]
    with torch.no_grad():
        before = net(few)[0]
        with_norms(net, data, a.input, a.pictures)
        print('largest change of a heatmap', (net(few)[0] - before).abs().max().item())
    np.savez(a.out, **{k: v.cpu().numpy() for k, v in net.state_dict().items()})


if __name__ == '__main__':
    main()
