"""Writes the trained network as a fused tfjs graph model with float16 weights, and ten pictures' heatmaps to test it by.

usage: export.py WEIGHTS.npz MOVENET OUT_FOLDER PARITY.json [--input 320]

Batch norms of the head are folded into its convolutions. Input `image` [1, s, s, 3], RGB in -1..1; outputs
`heatmaps` [1, s / 4 f, s / 4 f, 21 f f] (squares of f by f cells, row by row, each with all points) and `view` [1, 4].
"""

import argparse
import base64
import copy
import hashlib
import json
import os

import numpy as np
import torch
import torch.nn as nn

from graphnet import INPUT, read
from names import HAND, VIEWS
from net import Net

B64 = lambda s: base64.b64encode(s.encode()).decode()
T = {'T': {'type': 'DT_FLOAT'}}


def shape_of(dims):
    return {'dim': [{'size': str(d)} for d in dims]}


class Graph:
    """Nodes and float32 weights in the order in which they are added."""

    def __init__(self):
        self.nodes, self.weights = [], {}

    def constant(self, name, value):
        value = np.asarray(value)
        kind = 'DT_INT32' if value.dtype == np.int32 else 'DT_FLOAT'
        self.weights[name] = value
        self.nodes.append({'name': name, 'op': 'Const', 'attr': {'dtype': {'type': kind}, 'value': {'tensor': {'dtype': kind, 'tensorShape': shape_of(value.shape)}}}})
        return name

    def node(self, name, op, inputs, **attr):
        self.nodes.append({'name': name, 'op': op, 'input': inputs, 'attr': {**T, **attr}})
        return name

    def convolution(self, name, x, kernel, bias, depthwise=False, relu=False, stride=1):
        """kernel as torch keeps it: [out, in / groups, k, k]."""
        op = 'FusedDepthwiseConv2dNative' if depthwise else '_FusedConv2D'
        w = kernel.transpose(2, 3, 0, 1) if depthwise else kernel.transpose(2, 3, 1, 0)
        ops = [B64('BiasAdd')] + ([B64('Relu')] if relu else [])
        ints = lambda *v: {'list': {'i': [str(i) for i in v]}}
        inputs = [x, self.constant(f'{name}/kernel', w), self.constant(f'{name}/bias', bias)]
        return self.node(
            name, op, inputs, strides=ints(1, stride, stride, 1), dilations=ints(1, 1, 1, 1), explicit_paddings={'list': {}},
            padding={'s': B64('SAME')}, data_format={'s': B64('NHWC')}, fused_ops={'list': {'s': ops}},
            epsilon={'f': 0}, num_args={'i': '1'},
        )  # fmt: skip


def backbone(graph, net, movenet, size):
    """MoveNet's own nodes with our weights; the sizes its pyramid grows to are those of our input."""
    nodes, original = read(movenet)
    needed = []
    for node in net.backbone.order:
        node = json.loads(json.dumps(node))
        node['input'] = ['image' if i == INPUT else i for i in node.get('input', [])]
        if node['op'] == 'Const':
            value = net.backbone.weights[net.backbone.key(node['name'])].detach().numpy()
            graph.constant(node['name'], value)
            continue
        if node['op'] == 'ResizeBilinear':
            grown = original[node['input'][1]] * size // 192
            node['input'][1] = graph.constant(node['input'][1], grown.astype(np.int32))
        graph.nodes.append(node)
    return net.backbone.target


def head(graph, net, x):
    arrays = lambda layer: (layer.weight.detach().numpy(), None if layer.bias is None else layer.bias.detach().numpy())
    for i, (*depthwise, pointwise, norm, _) in enumerate(net.head):
        for layer in depthwise:
            w, _ = arrays(layer)
            x = graph.convolution(f'head/{i}/depthwise', x, w, np.zeros(len(w), np.float32), depthwise=True)
        scale = norm.weight.detach().numpy() / np.sqrt(norm.running_var.numpy() + norm.eps)
        w = arrays(pointwise)[0] * scale[:, None, None, None]
        bias = norm.bias.detach().numpy() - norm.running_mean.numpy() * scale
        x = graph.convolution(f'head/{i}/pointwise', x, w, bias, relu=True, stride=pointwise.stride[0])
    w, b = (torch.tensor(a) for a in arrays(net.points))
    logits = graph.convolution('points', x, *(unfolding(a, net.fold).numpy() for a in (w, b)))
    graph.node('heatmaps', 'Sigmoid', [logits])
    mean = graph.node('head/mean', 'Mean', [x, graph.constant('head/axes', np.array([1, 2], np.int32))], keep_dims={'b': False}, Tidx={'type': 'DT_INT32'})
    w, b = arrays(net.view)
    product = graph.node('view/product', 'MatMul', [mean, graph.constant('view/kernel', w.T)], transpose_a={'b': False}, transpose_b={'b': False})
    total = graph.node('view/sum', 'AddV2', [product, graph.constant('view/bias', b)])
    graph.node('view', 'Softmax', [total])


def unfolding(a, fold):
    """Weights of the exported points: first those of the upper left cell of each square, then upper right, lower left, lower right."""
    return a.unflatten(0, (-1, fold**2))[: len(HAND)].transpose(0, 1).flatten(0, 1)


def write(graph, folder, size, fold):
    raw, manifest = b'', []
    for name, w in graph.weights.items():
        entry = {'name': name, 'shape': list(w.shape), 'dtype': 'int32' if w.dtype == np.int32 else 'float32'}
        if w.dtype != np.int32:
            entry['quantization'] = {'dtype': 'float16', 'original_dtype': 'float32'}
            w = w.astype(np.float16)
        raw += np.ascontiguousarray(w).tobytes()
        manifest.append(entry)
    tensor = lambda name, dims: {'name': f'{name}:0', 'dtype': 'DT_FLOAT', 'tensorShape': shape_of(dims)}
    places = size // 4 // fold
    model = {
        'format': 'graph-model',
        'generatedBy': 'models/training/export.py',
        'signature': {
            'inputs': {'image': tensor('image', [1, size, size, 3])},
            'outputs': {'heatmaps': tensor('heatmaps', [1, places, places, len(HAND) * fold**2]), 'view': tensor('view', [1, len(VIEWS)])},
        },
        'modelTopology': {'node': graph.nodes, 'library': {}, 'versions': {}},
        'weightsManifest': [{'paths': ['weights.bin'], 'weights': manifest}],
    }
    os.makedirs(folder, exist_ok=True)
    json.dump(model, open(f'{folder}/model.json', 'w'))
    open(f'{folder}/weights.bin', 'wb').write(raw)
    meta = {
        'version': '4-' + hashlib.sha256(raw).hexdigest()[:8],
        'inputPx': size,
        'fold': fold,
        'names': HAND,
        'views': VIEWS,
        'crop': {'sidePerExtent': 1.25, 'outside': 'border repeated'},
    }
    json.dump(meta, open(f'{folder}/meta.json', 'w'), indent=2)


def drawn(seed, size):
    """A horse of ellipses and bars that both sides can draw to the last bit (whole numbers only), in 0..255."""
    y, x = np.mgrid[0:size, 0:size].astype(np.int64)
    u, v = x * 320 // size, y * 320 // size
    grain = (u * 7 + v * 13 + u * v + seed * 5) % 23
    picture = np.where(v > 236, 140, 200)[..., None] + np.stack([grain, grain // 2, -grain], -1)
    for shape, colour in horse(seed):
        if len(shape) == 4:
            cx, cy, rx, ry = shape
            inside = ((u - cx) * ry) ** 2 + ((v - cy) * rx) ** 2 <= (rx * ry) ** 2
        else:
            ax, ay, bx, by, w = shape
            dx, dy = bx - ax, by - ay
            along, long = (u - ax) * dx + (v - ay) * dy, dx * dx + dy * dy
            across = (u - ax) * dy - (v - ay) * dx
            inside = (across * across <= w * w * long) & (along >= 0) & (along <= long)
        picture[inside] = np.array(colour) + (grain[inside] // 2)[:, None]
    return picture.astype(np.float32)


def horse(seed):
    """Ellipses (centre, radii) and bars (ends, half width), with their colours; legs stand as the seed has it."""
    s = seed * 3 - 12
    coat, dark = (110, 62, 32), (35, 28, 24)
    legs = [(112, 112 - s), (122, 122 + s), (226, 226 + s), (216, 216 - s)]
    out = [((250, 118, 262, 190, 6), dark)]
    for top, foot in legs:
        middle = (top + foot) // 2
        out += [((top, 150, middle, 200, 8), coat), ((middle, 198, foot, 236, 5), coat), ((foot - 7, 236, foot + 5, 236, 5), dark)]
    return out + [
        ((168, 138, 72, 32), coat), ((112, 138, 30, 36), coat), ((225, 134, 34, 36), coat),
        ((112, 120, 66, 66, 18), coat), ((70, 62, 38, 96, 10), coat), ((76, 50, 72, 62, 4), coat),
    ]  # fmt: skip


def released(net):
    """The network as it is shipped: norms folded into the convolutions, every weight rounded to float16."""
    net = copy.deepcopy(net)
    for block in net.head:
        before, norm = block[-3:-1]
        scale = norm.weight / torch.sqrt(norm.running_var + norm.eps)
        joined = nn.Conv2d(before.in_channels, before.out_channels, before.kernel_size, before.stride)
        joined.weight.data, joined.bias.data = before.weight.data * scale[:, None, None, None].data, (norm.bias - norm.running_mean * scale).data
        block[-3], block[-2] = joined, nn.Identity()
    for p in net.parameters():
        p.data = p.data.half().float()
    return net.eval()


@torch.no_grad()
def parity(net, size, path):
    """Heatmap peaks, a coarse grid of heatmap values and the view of ten drawn pictures, by torch."""
    full, net, rounding = net, released(net), 0.0
    rows = []
    for seed in range(10):
        x = torch.tensor(drawn(seed, size) / 255).permute(2, 0, 1)[None]
        h, v = net(x)
        rounding = max(rounding, (h - full(x)[0])[:, : len(HAND)].abs().max().item())
        h = h[0, : len(HAND)].permute(1, 2, 0).numpy()
        rows.append({'seed': seed, 'every': 8, 'grid': h[::8, ::8].round(6).ravel().tolist(), 'peaks': h.max((0, 1)).round(6).tolist(), 'view': v[0].numpy().round(6).tolist()})
    json.dump({'inputPx': size, 'pictures': rows}, open(path, 'w'))
    print('largest change of a heatmap by the rounding to float16:', rounding)


def main():
    a = argparse.ArgumentParser()
    a.add_argument('weights'), a.add_argument('movenet'), a.add_argument('folder'), a.add_argument('parity')
    a.add_argument('--input', type=int, default=320)
    a = a.parse_args()
    net = Net.of(a.weights, a.movenet).eval()
    graph = Graph()
    graph.nodes.append({'name': 'image', 'op': 'Placeholder', 'attr': {'dtype': {'type': 'DT_FLOAT'}, 'shape': {'shape': shape_of([1, a.input, a.input, 3])}}})
    head(graph, net, backbone(graph, net, a.movenet, a.input))
    write(graph, a.folder, a.input, net.fold)
    parity(net, a.input, a.parity)


if __name__ == '__main__':
    main()
