"""Trains the keypoint network; see README.md.

usage: train.py OUT DATA.npz MOVENET [--input 256] [--seconds 240] [--seed 0] [--pseudo FILE] [--write-pseudo FILE]
"""

import argparse
import json
import math
import time

import numpy as np
import torch
import torch.nn.functional as F

from data import POINTS, Data, batch, heatmaps
from evaluate import height, report
from names import HAND, NAMES
from net import Net, decode

# Pictures drawn from each pool, per batch.
POOLS = {'walk': 1.5, 'photo': 1.3, 'handside': 2.2, 'handaxis': 0.6, 'handwalk': 1.4}
# Shift from the walk frames' own label to ours, share of the withers height, horse facing left (measured, see README).
TOE_SHIFT = {'left_fore_hoof': (-0.027, 0.031), 'right_fore_hoof': (-0.034, 0.022), 'left_hind_hoof': (-0.047, 0.024), 'right_hind_hoof': (-0.040, 0.021)}


def loss_of(net, x, p, given, inside, view, weights, size):
    h, v = net.logits(x)
    h = torch.sigmoid(h.float())
    t = heatmaps(p, size) * inside[:, :, None, None]
    l = ((1 + 20 * t) * (h - t) ** 2).mean((2, 3)) * given * weights
    keep = view >= 0
    lv = F.cross_entropy(v.float()[keep], view[keep]) if keep.any() else 0
    return l.sum() / (given * weights).sum() + 0.002 * lv


def train(net, data, size, seconds, size_of_batch, seed, log):
    torch.manual_seed(seed)
    pools = [data.rows(s, 'train') for s in POOLS]
    share = torch.tensor(list(POOLS.values()))
    weights = torch.ones(len(NAMES), device=data.device)
    weights[[i for i, n in enumerate(NAMES) if i < POINTS and n.endswith('hoof')]] = 2
    weights[POINTS:] = 0.6
    head = [p for n, p in net.named_parameters() if not n.startswith('backbone')]
    groups = [{'params': net.backbone.parameters(), 'top': 6e-4}, {'params': head, 'top': 1e-3}]
    net.train()
    opt = torch.optim.AdamW(groups, lr=1e-3, weight_decay=1e-4, fused=data.device == 'cuda')
    live = [v for v in net.state_dict().values() if v.dtype.is_floating_point]
    mean = [v.detach().clone() for v in live]
    kind = data.device
    start, it = time.time(), 0
    while (spent := time.time() - start) < seconds:
        f = spent / seconds
        for g in opt.param_groups:
            g['lr'] = g['top'] * max(0.01, min(1, (it + 1) / 200) * 0.5 * (1 + math.cos(math.pi * f)))
        counts = torch.multinomial(share, size_of_batch, True).bincount(minlength=len(pools))
        rows = torch.cat([p[torch.randint(len(p), (int(c),), device=p.device)] for p, c in zip(pools, counts)])
        drawn = batch(data, rows, size, True)
        with torch.autocast(kind, torch.bfloat16, enabled=kind == 'cuda'):
            l = loss_of(net, *drawn, weights, size)
        opt.zero_grad(set_to_none=False)
        l.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        opt.step()
        it += 1
        keep = min(0.9985, it / (it + 50))
        with torch.no_grad():
            for m, v in zip(mean, live):
                m.lerp_(v, 1 - keep)
        if it % 500 == 0 or it == 50:
            print(log, it, round(l.item(), 5), round(time.time() - start), flush=True)
    print(log, 'steps', it, flush=True)
    with torch.no_grad():
        for v, m in zip(live, mean):
            v.copy_(m)
    torch.backends.cudnn.benchmark = False
    return net.eval()


@torch.no_grad()
def pseudo_labels(net, data, size):
    """Points of the teacher where five looks at a picture agree: kp like data's (x, y in 0..1, v = 1 given)."""
    rows = data.rows(('walk', 'photo'), 'train')
    out = torch.zeros(len(data.kp), POINTS, 3, device=data.device)
    view = data.view.clone()
    for i in range(0, len(rows), 64):
        r = rows[i : i + 64]
        x, p, given, inside, _ = batch(data, r, size, False)
        looks, scores = [], []
        for angle, zoom, flip in ((0, 1, 0), (0, 1, 1), (6, 0.9, 0), (-6, 1.1, 1), (0, 0.82, 0)):
            c, s = zoom * math.cos(math.radians(angle)), zoom * math.sin(math.radians(angle))
            theta = torch.tensor([[c, -s, 0], [s, c, 0]], device=x.device)  # crop -> look
            back = torch.linalg.inv(theta[:, :2])
            grid = F.affine_grid(torch.cat([back, torch.zeros(2, 1, device=x.device)], 1)[None].expand(len(x), -1, -1), x.shape, align_corners=False)
            y = F.grid_sample(x, grid, align_corners=False, padding_mode='border')
            h, v = net(y.flip(3) if flip else y)
            h = h.flip(3)[:, data.flip] if flip else h
            if angle == 0 and not flip and zoom == 1:
                first_view = v
            d, sc = decode(h)
            u = ((d + 0.5) / size * 2 - 1) @ back.T
            looks.append(((u + 1) / 2 * size - 0.5)[:, :POINTS])
            scores.append(sc[:, :POINTS])
        looks, scores = torch.stack(looks), torch.stack(scores)
        centre = looks.median(0).values
        spread = (looks - centre).norm(dim=-1).mean(0)
        tall = 0.43 * size / 1.25 * 1.16
        ok = (spread < 0.013 * tall) & (scores.mean(0) > 0.4)
        ok &= agrees_with_label(centre, p, given, tall)
        stored = (centre + 0.5) / size
        stored = ((stored * 2 - 1) / (1.6 / 1.25) + 1) / 2
        out[r] = torch.cat([stored, ok[:, :, None].float()], -1)
        sure = (first_view.max(1).values > 0.9) & (view[r] < 0)
        view[r] = torch.where(sure, first_view.argmax(1), view[r])
    return out, view


def agrees_with_label(centre, p, given, tall):
    """False where the walk frames' own label, shifted to ours, lies elsewhere (left and right exchanged, mostly)."""
    ok = torch.ones(centre.shape[:2], dtype=torch.bool, device=centre.device)
    for name, shift in TOE_SHIFT.items():
        i, j = HAND.index(name), NAMES.index(name.replace('_', '_c_', 1))
        away = (centre[:, i] - p[:, j] - torch.tensor(shift, device=p.device) * tall).norm(dim=-1)
        ok[:, i] &= ~given[:, j] | (away < 0.05 * tall)
    return ok


def use_pseudo(data, path):
    """Fills points that are not given by hand. Shared names of the walk frames (knee, fetlock) keep their own."""
    z = np.load(path)
    kp, view = torch.tensor(z['kp']).to(data.device), torch.tensor(z['view']).to(data.device)
    fill = (kp[:, :, 2] > 0) & (data.kp[:, :POINTS, 2] == 0)
    data.kp[:, :POINTS] = torch.where(fill[:, :, None], kp, data.kp[:, :POINTS])
    data.view = view
    print('pseudo labels taken', int(fill.sum()), 'toes', int(fill[:, [9, 12, 15, 18]].sum()), flush=True)


def main():
    a = argparse.ArgumentParser()
    a.add_argument('out'), a.add_argument('data'), a.add_argument('movenet')
    a.add_argument('--input', type=int, default=256), a.add_argument('--seconds', type=float, default=240)
    a.add_argument('--batch', type=int, default=128), a.add_argument('--seed', type=int, default=0)
    a.add_argument('--pseudo'), a.add_argument('--write-pseudo'), a.add_argument('--start')
    a = a.parse_args()
    device = 'cuda' if torch.cuda.is_available() else 'cpu'
    torch.backends.cudnn.benchmark = True
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    data = Data(a.data, device)
    if a.pseudo:
        use_pseudo(data, a.pseudo)
    net = Net(a.movenet).to(device)
    if a.start:
        net.load_state_dict({k: torch.tensor(v[: len(net.state_dict()[k])] if v.ndim else v) for k, v in np.load(a.start).items()})
    log = a.out.split('/')[-1]
    train(net, data, a.input, a.seconds, a.batch, a.seed, log)
    result = {}
    for label, source, part in (('hand side val', 'handside', 'val'), ('hand walk val', 'handwalk', 'val'), ('walk val', 'walk', 'val'), ('photo test', 'photo', 'test')):
        result[label] = report(net, data, data.rows(source, part), a.input, f'{log} {label}')
        if source.startswith('hand'):
            result[label + ', mean with mirrored'] = report(net, data, data.rows(source, part), a.input, f'{log} {label} with mirror', True)
    if a.write_pseudo:
        kp, view = pseudo_labels(net, data, a.input)
        np.savez(a.write_pseudo, kp=kp.cpu().numpy(), view=view.cpu().numpy())
    np.savez(a.out + '.npz', **{k: v.cpu().numpy() for k, v in net.state_dict().items()})
    json.dump(result, open(a.out + '.json', 'w'), indent=1)


if __name__ == '__main__':
    main()
