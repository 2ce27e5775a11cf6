"""Errors of a network on held-out pictures, in % of the height at the withers."""

import json

import torch

from data import batch
from names import NAMES
from net import decode

INDEX = {n: i for i, n in enumerate(NAMES)}
GROUPS = {
    'toe': [n for n in NAMES if n.endswith('hoof') and '_c_' not in n and '_p_' not in n],
    'fetlock': [n for n in NAMES if n.endswith('fetlock') and '_c_' not in n],
    'knee': [n for n in NAMES if n.endswith('fore_knee') and '_c_' not in n],
    'hock': [n for n in NAMES if n.endswith('hind_hock') and '_c_' not in n],
    **{n: [n] for n in ('muzzle', 'poll', 'withers', 'croup', 'tailhead', 'point_of_shoulder', 'point_of_elbow')},
    'hoof middle (their label)': [n for n in NAMES if n.endswith('hoof') and '_c_' in n],
    'hoof (photo label)': [n for n in NAMES if n.endswith('hoof') and '_p_' in n],
    'hock (photo label)': [n for n in NAMES if n.endswith('p_hock')],
}
LEGS = ('fore_knee', 'fore_fetlock', 'fore_hoof', 'hind_hock', 'hind_fetlock', 'hind_hoof')
LEGS += tuple(f'c_{leg}' for leg in LEGS)


def height(p, given):
    """Withers to the lowest hoof, px; 0 where either is missing."""
    hooves = [i for n, i in INDEX.items() if 'hoof' in n]
    withers = [INDEX[n] for n in ('withers', 'c_withers', 'p_withers')]
    low = torch.where(given[:, hooves], p[:, hooves, 1], torch.full_like(p[:, hooves, 1], -1e9)).max(1).values
    top = torch.where(given[:, withers], p[:, withers, 1], torch.full_like(p[:, withers, 1], -1e9)).max(1).values
    return torch.where((low > -1e8) & (top > -1e8), low - top, torch.zeros_like(low))


@torch.no_grad()
def predict(net, data, rows, size, mirrored=False):
    """Points [n, K, 2] in crop px, scores [n, K], truth, given, view probabilities, views."""
    net.eval()
    out = []
    for i in range(0, len(rows), 64):
        x, p, given, inside, view = batch(data, rows[i : i + 64], size, False)
        h, v = net(x)
        if mirrored:
            h = (h + net(x.flip(3))[0].flip(3)[:, data.flip]) / 2
        d, score = decode(h)
        out.append((d, score, p, given & inside, v, view))
    return [torch.cat(t) for t in zip(*out)]


def errors(net, data, rows, size, mirrored=False):
    d, score, p, given, v, view = predict(net, data, rows, size, mirrored)
    tall = height(p, given)
    ok = tall > 0.1 * size
    e = (d - p).norm(dim=-1) / tall.clamp_min(1)[:, None]
    crossed = e.clone()
    for leg in LEGS:
        l, r = INDEX[f'left_{leg}'], INDEX[f'right_{leg}']
        el, er = ((d[:, a] - p[:, b]).norm(dim=-1) / tall.clamp_min(1) for a, b in ((l, r), (r, l)))
        other = given[:, l] & given[:, r] & (el + er < e[:, l] + e[:, r])
        crossed[:, l] = torch.where(other, er, e[:, l])
        crossed[:, r] = torch.where(other, el, e[:, r])
    known = ok & (view >= 0)
    right_view = (v.argmax(1) == view)[known].float().mean().item() if known.any() else None
    return e[ok], crossed[ok], given[ok], score[ok], right_view


def report(net, data, rows, size, label, mirrored=False):
    """Per group: median, share within 2 %, within 5 %, and within 5 % and median with left and right taken freely."""
    e, crossed, given, _, right_view = errors(net, data, rows, size, mirrored)
    out = {'n': len(e), 'view': right_view}
    for group, names in GROUPS.items():
        i = [INDEX[n] for n in names]
        m = given[:, i]
        if m.sum() < 5:
            continue
        a, b = 100 * e[:, i][m], 100 * crossed[:, i][m]
        share = lambda t, limit: round(100 * (t < limit).float().mean().item(), 1)
        out[group] = [round(a.median().item(), 2), share(a, 2), share(a, 5), share(b, 5), round(b.median().item(), 2)]
    print(label, json.dumps(out), flush=True)
    return out
