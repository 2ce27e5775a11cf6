"""A network with fewer channels inside its blocks, from a trained one: those that give most to what follows stay.

usage: slim.py WEIGHTS.npz MOVENET DATA.npz OUT.npz [--keep 0.5 0.5 0.5] [--head 64] [--input 320] [--fold]

Shares of channels to `--keep`: in blocks up to stride 8, of stride 16, of stride 32. With `--fold` the head is a new one that
works on squares of two by two cells; else the trained one with fewer channels.

A channel between a block's expansion and its projection (MobileNetV2's inverted residual) weighs its mean size over
pictures of the training part times the size of the weights that read it (Molchanov et al. 2017, arXiv:1611.06440, is the
first-order form of this). Channels that skip connections join stay. To be trained on afterwards.
"""

import argparse
import re

import numpy as np
import torch

from data import Data, batch
from net import Net

MULTIPLE = 8  # of channels, what the wasm kernels work through at a time


def grouped(keys):
    """Groups of (name, axis) of the weights that share a hidden channel, by the name of the layer whose output it is."""
    groups = {}
    block = lambda key: key.split('|model|')[1].split('_depthwise')[0]
    for key in keys:
        if not key.endswith('_depthwise|depthwise_weights'):
            continue
        stem = key.removesuffix('depthwise|depthwise_weights')
        own = [(key, 2), (stem + 'depthwise|depthwise_bn_offset', 0), (stem + 'project|Conv2D_weights', 2)]
        before = stem + 'expand' if stem + 'expand|Conv2D_weights' in keys else stem.replace('expanded_conv_', 'Conv1')
        own += [(before + '|Conv2D_weights', 3), (before + '|Conv2D_bn_offset', 0)]
        groups[block(key) + '_depthwise/depthwise'] = own
    top = next(k for k in keys if k.endswith('|Conv_1|Conv2D_weights'))
    model = top.split('model|')[0]
    groups['out_relu/Relu6'] = [(top, 3), (top.replace('Conv2D_weights', 'Conv2D_bn_offset'), 0), (model + 'conv2d|Conv2D|ReadVariableOp', 2)]
    return groups


class Seen:
    """Mean size of each layer's output, by the name of its node."""

    def __init__(self, net):
        self.size = {}
        convolve = net.backbone.convolve

        def measured(node, x, kernel, bias):
            y = convolve(node, x, kernel, bias)
            self.size[node['name']] = self.size.get(node['name'], 0) + y.abs().mean((0, 2, 3))
            return y

        net.backbone.convolve = measured
        for i, layer in enumerate(net.head):
            layer.register_forward_hook(lambda _, __, y, i=i: self.size.__setitem__(f'head.{i}', self.size.get(f'head.{i}', 0) + y.abs().mean((0, 2, 3))))


def stage(name):
    """0 in blocks up to stride 8, 1 of stride 16, 2 of stride 32, by the name of the block's depthwise layer."""
    found = re.search(r'block_(\d+)_', name)
    block = int(found.group(1)) if found else 17 if name.startswith('out_relu') else 0
    return 0 if block <= 6 else 1 if block <= 13 else 2


def kept(weight, share=None, count=None):
    n = count or max(MULTIPLE, round(len(weight) * share / MULTIPLE) * MULTIPLE)
    return weight.argsort(descending=True)[:n].sort().values


def slim_blocks(state, sizes, shares):
    """Blocks of the backbone, by the mean outputs of their nodes."""
    prefix = 'backbone.weights.'
    keys = {k.removeprefix(prefix) for k in state if k.startswith(prefix)}
    for name, parts in grouped(keys).items():
        reader = next(k for k, axis in parts if axis == 2 and 'depthwise' not in k.split('|')[-1])
        size = next(v for node, v in sizes.items() if node.endswith('/' + name))
        stay = kept(size * state[prefix + reader][0, 0].norm(dim=1), shares[stage(name)])
        for key, axis in parts:
            state[prefix + key] = state[prefix + key].index_select(axis, stay)


def slim_head(state, sizes, count):
    """Layers of the head, each by what the next one reads of it."""
    for i, read in enumerate((['head.1.1.weight'], ['head.2.1.weight'], ['points.weight', 'view.weight'])):
        weight = sum(state[r].flatten(1).norm(dim=0) for r in read)
        stay = kept(sizes[f'head.{i}'] * weight, count=count)
        own = [f'head.{i}.1.weight', *(f'head.{i}.2.{k}' for k in ('weight', 'bias', 'running_mean', 'running_var'))]
        for key in own + ([f'head.{i + 1}.0.weight'] if i < 2 else []):
            state[key] = state[key].index_select(0, stay)
        for r in read:
            state[r] = state[r].index_select(1, stay)


def main():
    a = argparse.ArgumentParser()
    a.add_argument('weights'), a.add_argument('movenet'), a.add_argument('data'), a.add_argument('out')
    a.add_argument('--keep', type=float, nargs=3, default=(0.5, 0.5, 0.5)), a.add_argument('--head', type=int, default=64)
    a.add_argument('--input', type=int, default=320), a.add_argument('--pictures', type=int, default=512), a.add_argument('--fold', action='store_true')
    a = a.parse_args()
    device = 'cuda' if torch.cuda.is_available() else 'cpu'
    data = Data([a.data], device)
    net = Net.of(a.weights, a.movenet).to(device).eval()
    seen = Seen(net)
    rows = data.rows(('handside', 'handaxis', 'handwalk', 'photo', 'drawn', 'drawnaxis'), 'train')
    rows = rows[torch.randperm(len(rows), device=rows.device)[: a.pictures]]
    with torch.no_grad():
        for i in range(0, len(rows), 32):
            net(batch(data, rows[i : i + 32], a.input, False)[0])
    state = dict(net.state_dict())
    slim_blocks(state, seen.size, a.keep)
    if a.fold:
        backbone = {k: v for k, v in state.items() if k.startswith('backbone')}
        state = {**Net(a.movenet, a.head, 2).state_dict(), **backbone}
    else:
        slim_head(state, seen.size, a.head)
    np.savez(a.out, **{k: v.cpu().numpy() for k, v in state.items()})
    print('parameters', sum(v.numel() for v in state.values() if v.dtype.is_floating_point))


if __name__ == '__main__':
    main()
