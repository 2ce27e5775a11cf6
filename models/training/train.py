"""Trains the keypoint network; see README.md.

usage: train.py OUT DATA.npz MOVENET [--input 256] [--seconds 240] [--seed 0] [--fold K] [--write-looks] [--pseudo FILE]
       [--start WEIGHTS] [--rate 1] [--drawn FILE ...] [--drawn-share 1] [--nearness 0] [--coats] [--towards-unseen 0]
       [--teacher WEIGHTS] [--without POOL,...]
"""

import argparse
import json
import math
import time

import numpy as np
import torch
import torch.nn.functional as F

from data import CROP, POINTS, Data, batch, heatmaps
from evaluate import height, report
from names import NAMES, VIEWS
from net import Net, decode
from pack import MARGIN

# Pictures drawn from each pool, per batch.
POOLS = {'walk': 1.5, 'photo': 1.0, 'handside': 2.6, 'handaxis': 1.0, 'handwalk': 1.4}
# And of the drawn ones, times --drawn-share.
DRAWN = {'drawn': 2.0, 'drawnaxis': 3.0}
# Angle, zoom and mirror of the looks at a picture.
LOOKS = ((0, 1, 0), (0, 1, 1), (6, 0.9, 0), (-6, 1.1, 1), (0, 0.82, 0))


def off(h, t):
    """Squared distance of heatmaps to targets, by point; where the target is high it counts most."""
    return ((1 + 20 * t) * (h - t) ** 2).mean((2, 3))


def loss_of(logits, x, p, given, inside, view, weights, size, nearness=0.0, teacher=None):
    h, v = logits(x)
    h = torch.sigmoid(h.float())
    t = heatmaps(p, size) * inside[:, :, None, None]
    l = off(h, t) * given * weights
    loss = l.sum() / (given * weights).sum() + 0.002 * F.cross_entropy(v.float(), view, ignore_index=-1)
    if teacher:
        with torch.no_grad():
            taught = teacher(x)[0][:, :POINTS]
        loss = loss + (off(h[:, :POINTS], taught) * weights[:POINTS]).sum() / (len(x) * weights[:POINTS].sum())
    return loss + nearness * off_by(h, p, given & inside, weights) if nearness else loss


def off_by(h, p, given, weights, cell=4):
    """Mean distance in cells of the decoded peaks that lie near their points: less moved by a wrong label than a square."""
    d, _ = decode(h, cell)
    away = (d - p).abs().sum(-1) / cell
    near = given & (away.detach() < 4)
    w = near * weights
    return (torch.where(near, away, torch.zeros_like(away)) * w).sum() / w.sum().clamp_min(1)


def train(net, data, size, seconds, size_of_batch, seed, log, nearness=0.0, coats=False, layout=torch.channels_last, drawn_share=1.0, rate=1.0, teacher=None, without=()):
    torch.manual_seed(seed)
    shares = {**POOLS, **{s: drawn_share * w for s, w in DRAWN.items()}}
    pools = {s: data.rows(s, 'train') for s in shares}
    shares = {s: w for s, w in shares.items() if w > 0 and len(pools[s]) > 0 and s not in without}
    pools, share = [pools[s] for s in shares], torch.tensor(list(shares.values()))
    weights = torch.ones(len(NAMES), device=data.device)
    weights[[i for i, n in enumerate(NAMES) if i < POINTS and n.endswith('hoof')]] = 2
    weights[POINTS:] = 0.6
    head = [p for n, p in net.named_parameters() if not n.startswith('backbone')]
    groups = [{'params': net.backbone.parameters(), 'top': 6e-4}, {'params': head, 'top': 1e-3}]
    net.train()
    opt = torch.optim.AdamW(groups, lr=1e-3, weight_decay=1e-4, **({'fused': True} if data.device == 'cuda' else {}))
    live = [v for v in net.state_dict().values() if v.dtype.is_floating_point]
    mean = [v.detach().clone() for v in live]
    kind = data.device
    start, it = time.time(), 0
    while (spent := time.time() - start) < seconds:
        f = spent / seconds
        for g in opt.param_groups:
            g['lr'] = rate * g['top'] * max(0.01, min(1, (it + 1) / 200) * 0.5 * (1 + math.cos(math.pi * f)))
        counts = torch.multinomial(share, size_of_batch, True).bincount(minlength=len(pools))
        rows = torch.cat([p[torch.randint(len(p), (int(c),), device=p.device)] for p, c in zip(pools, counts)])
        x, *rest = batch(data, rows, size, True, coats)
        x = x.contiguous(memory_format=layout)
        with torch.autocast(kind, torch.bfloat16, enabled=kind == 'cuda'):
            l = loss_of(net.logits, x, *rest, weights, size, nearness, teacher)
        opt.zero_grad(set_to_none=False)
        l.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        opt.step()
        it += 1
        keep = min(0.9985, it / (it + 50))
        with torch.no_grad():
            torch._foreach_mul_(mean, keep)
            torch._foreach_add_(mean, live, alpha=1 - keep)
        if it % 500 == 0 or it in (1, 50, 200):
            print(log, it, round(l.item(), 5), round(time.time() - start), flush=True)
    print(log, 'steps', it, flush=True)
    with torch.no_grad():
        for v, m in zip(live, mean):
            v.copy_(m)
    torch.backends.cudnn.benchmark = False
    return net.eval()


@torch.no_grad()
def looks(net, data, size):
    """Five looks at every picture of the training part: points [5, n, 21, 2] in 0..1 of the stored square, scores, views."""
    rows = torch.cat([data.rows(tuple(POOLS), part) for part in ('train', 'fold')])
    points = torch.zeros(len(LOOKS), len(data.kp), POINTS, 2, device=data.device)
    scores = torch.zeros(len(LOOKS), len(data.kp), POINTS, device=data.device)
    views = torch.zeros(len(data.kp), len(VIEWS), device=data.device)
    for i in range(0, len(rows), 64):
        r = rows[i : i + 64]
        x = batch(data, r, size, False)[0]
        for k, (angle, zoom, flip) in enumerate(LOOKS):
            c, s = zoom * math.cos(math.radians(angle)), zoom * math.sin(math.radians(angle))
            back = torch.linalg.inv(torch.tensor([[c, -s], [s, c]], device=x.device))  # look -> crop
            grid = F.affine_grid(torch.cat([back, torch.zeros(2, 1, device=x.device)], 1)[None].expand(len(x), -1, -1), x.shape, align_corners=False)
            y = F.grid_sample(x, grid, align_corners=False, padding_mode='border')
            h, v = net(y.flip(3) if flip else y)
            h = h.flip(3)[:, data.flip] if flip else h
            if k == 0:
                views[r] = v
            d, sc = decode(h)
            u = ((d + 0.5) / size * 2 - 1) @ back.T / (MARGIN / CROP)
            points[k, r], scores[k, r] = ((u + 1) / 2)[:, :POINTS], sc[:, :POINTS]
    return {'points': points, 'scores': scores, 'views': views}


def use_pseudo(data, path, towards_unseen=0.0):
    """Fills points that are not given.

    A point set by hand moves by `towards_unseen` towards where a teacher that had not seen it has it, if that is near."""
    z = {k: torch.tensor(v).to(data.device) for k, v in np.load(path).items()}
    more = len(data.kp) - len(z['kp'])  # the drawn pictures, which come last
    padded = lambda t, value=0: torch.cat([t, torch.full((more, *t.shape[1:]), value, dtype=t.dtype, device=t.device)])
    z = {'kp': padded(z['kp']), 'unseen': padded(z['unseen']), 'tall': padded(z['tall'], 1), 'view': torch.cat([z['view'], data.view[len(z['kp']) :]])}
    own = data.kp[:, :POINTS]
    apart = (z['unseen'][:, :, :2] - own[:, :, :2]).norm(dim=-1)
    near = (z['unseen'][:, :, 2] > 0) & (own[:, :, 2] > 0) & (apart < 0.04 * z['tall'])
    moved = own[:, :, :2] + towards_unseen * near[:, :, None] * (z['unseen'][:, :, :2] - own[:, :, :2])
    fill = (z['kp'][:, :, 2] > 0) & (own[:, :, 2] == 0)
    data.kp[:, :POINTS] = torch.where(fill[:, :, None], z['kp'], torch.cat([moved, own[:, :, 2:]], -1))
    data.view = z['view']
    print('pseudo labels taken', int(fill.sum()), 'toes', int(fill[:, [9, 12, 15, 18]].sum()), 'moved', int(near.sum()), flush=True)


def main():
    a = argparse.ArgumentParser()
    a.add_argument('out'), a.add_argument('data'), a.add_argument('movenet')
    a.add_argument('--input', type=int, default=256), a.add_argument('--seconds', type=float, default=240)
    a.add_argument('--batch', type=int, default=128), a.add_argument('--seed', type=int, default=0)
    a.add_argument('--pseudo'), a.add_argument('--start'), a.add_argument('--fold', type=int)
    a.add_argument('--write-looks', action='store_true'), a.add_argument('--no-val', action='store_true')
    a.add_argument('--nearness', type=float, default=0), a.add_argument('--coats', action='store_true')
    a.add_argument('--towards-unseen', type=float, default=0), a.add_argument('--drawn', nargs='*', default=[]), a.add_argument('--drawn-share', type=float, default=1)
    a.add_argument('--rate', type=float, default=1), a.add_argument('--teacher')
    a.add_argument('--without', type=lambda s: s.split(','), default=[], help='pools to train without, to see what they bring')
    a = a.parse_args()
    device = 'cuda' if torch.cuda.is_available() else 'cpu'
    torch.backends.cudnn.benchmark = True
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    data = Data([a.data] + a.drawn, device, fold=a.fold)
    if a.pseudo:
        use_pseudo(data, a.pseudo, a.towards_unseen)
    net = (Net.of(a.start, a.movenet) if a.start else Net(a.movenet)).to(device)
    teacher = Net.of(a.teacher, a.movenet).to(device).eval() if a.teacher else None
    log = a.out.split('/')[-1]
    layout = torch.contiguous_format if device == 'cpu' else torch.channels_last
    train(net, data, a.input, a.seconds, a.batch, a.seed, log, a.nearness, a.coats, layout, a.drawn_share, a.rate, teacher, a.without)
    result = {}
    for label, source, part in ((s + ' ' + p, s, p) for p in ('val', 'fold', 'test') for s in (*POOLS, *DRAWN)):
        rows = data.rows(source, part)
        if len(rows) > 4 and not (a.no_val and part != 'fold'):
            result[label] = report(net, data, rows, a.input, f'{log} {label}')
    if a.write_looks:
        np.savez(a.out + '-looks.npz', fold=-1 if a.fold is None else a.fold, **{k: v.cpu().numpy() for k, v in looks(net, data, a.input).items()})
    np.savez(a.out + '.npz', **{k: v.cpu().numpy() for k, v in net.state_dict().items()})
    json.dump(result, open(a.out + '.json', 'w'), indent=1)


if __name__ == '__main__':
    main()
