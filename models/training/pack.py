"""Packs the labelled pictures into one file for training.

usage: pack.py DATA_FOLDER OUT.npz [--limit N]

Each picture is cut to a square around the horse's labelled points (side = 1.6 x their extent; the border is
repeated outside the picture) and stored as JPEG, at most STORED px wide. Rows of `kp` are [x, y, v], 0..1 from edge to edge of the stored square; v = 0
means that the point is not given. `fold` deals the training horses out to the teachers, each of which leaves one fold out (0 .. FOLDS - 1).
Points that a source defines otherwise keep channels of their own: `c_` for
the walk frames (hoof = its middle, hock = the joint's middle, another poll and withers), `p_` for the photos.
mended_labels.json holds what a look at the pictures found wrong: see mended.py.
"""
import collections
import hashlib
import io
import json
import os
import sys

import numpy as np
from PIL import Image

from mended import Mended
from names import HAND, NAMES, PHOTO_FROM, VIEWS, WALK_FROM

MARGIN = 1.6
STORED = {'walk': 384}
STORED_HAND = 448
QUALITY = {'walk': 76, 'photo': 82}
FOLDS = 4
INDEX = {n: i for i, n in enumerate(NAMES)}
# Points of more photographs, set by us.
OURS = os.path.join(os.path.dirname(os.path.abspath(__file__)), 'labels.json')


def fold_of(path):
    """By horse for the walk frames (train-h01-...), else by picture; a picture that is there twice by its first name."""
    name = os.path.basename(path)
    horse = name.split('-')[1] if 'walk-frames' in path else name
    return hashlib.sha256(horse.encode()).digest()[0] % FOLDS


def square(points):
    """Centre and side of the square around the points given, px."""
    p = points[points[:, 2] > 0][:, :2]
    lo, hi = p.min(0), p.max(0)
    return (lo + hi) / 2, max((hi - lo).max(), 20) * MARGIN


def cut(picture, centre, side, out, mode=Image.BICUBIC, edge=True):
    """Square cut with the border repeated (or black, for masks), scaled to `out` px."""
    a = np.asarray(picture)
    x0, y0 = np.round(centre - side / 2).astype(int)
    n = int(round(side))
    pad = [max(0, -y0), max(0, y0 + n - a.shape[0]), max(0, -x0), max(0, x0 + n - a.shape[1])]
    widths = [(pad[0], pad[1]), (pad[2], pad[3])] + [(0, 0)] * (a.ndim - 2)
    a = np.pad(a, widths, mode='edge' if edge else 'constant')
    a = a[y0 + pad[0] : y0 + pad[0] + n, x0 + pad[2] : x0 + pad[2] + n]
    return Image.fromarray(a).resize((out, out), mode), x0, y0, out / n


def hand_rows(root):
    labels = json.load(open(f'{root}/hand/labels.json'))['images'] | json.load(open(OURS))['images']
    for key, row in labels.items():
        path = f'{root}/{key}'
        mask = path.replace('/rgb/', '/mask/').rsplit('.', 1)[0] + '.png' if 'silhouettes' in key else None
        kp = np.zeros((len(NAMES), 3), np.float32)
        for name, (x, y, v) in row['kp'].items():
            kp[INDEX[name]] = [x, y, 1 if v else 0]
        view = row['view'].split('_')[0]
        if view in ('left', 'right'):
            shoulder = kp[INDEX['point_of_shoulder']]
            kp[INDEX[f'{view}_point_of_shoulder']] = shoulder
        source = 'handwalk' if 'walk-frames' in key else 'handside' if 'silhouettes' in key or view in ('left', 'right') else 'handaxis'
        yield dict(path=path, kp=kp, part=row['part'], source=source, view=VIEWS.index(view), mask=mask)


def swapped(frames):
    """Names of walk frames in which left and right were exchanged against the frame before."""
    bad = set()
    clips = collections.defaultdict(list)
    for f in frames:
        clips[f['clip']].append(f)
    for rows in clips.values():
        rows.sort(key=lambda f: f['frame'])
        for a, b in zip(rows, rows[1:]):
            if b['frame'] - a['frame'] > 2:
                continue
            pa, pb = np.array(a['source_kp']), np.array(b['source_kp'])
            for left, right in ((8, 5), (15, 12)):
                straight = np.hypot(*(pa[left] - pb[left])) + np.hypot(*(pa[right] - pb[right]))
                crossed = np.hypot(*(pa[left] - pb[right])) + np.hypot(*(pa[right] - pb[left]))
                if crossed < 0.6 * straight:
                    bad.update([a['file'], b['file']])
    return bad


# Between these shares of the height at the withers lie the segments of a limb, and how far the head is ahead of the withers: the
# middle 98 % of the labels do, and nearly all that lies outside is on another leg, another horse or a person.
SEGMENTS = {
    ('Knee', 'FrontFetlock'): (0.1, 0.3), ('FrontFetlock', 'FrontHoof'): (0.04, 0.18),
    ('Hock', 'HindFetlock'): (0.15, 0.42), ('HindFetlock', 'HindHoof'): (0.04, 0.18),
}  # fmt: skip
AHEAD = (0.1, 0.9)


def heights(frames, names):
    """Clip -> median height at the withers, px of the source."""
    hooves, withers = [i for i, n in enumerate(names) if 'Hoof' in n], names.index('Withers')
    found = collections.defaultdict(list)
    for f in frames:
        low = [y for y, ok in ((f['keypoints'][i][1], f['keypoints'][i][2] > 0.6) for i in hooves) if ok]
        if low and f['keypoints'][withers][2] > 0.6:
            found[f['clip']].append((max(low) - f['keypoints'][withers][1]) / f['scale'])
    return {clip: np.median(list_) for clip, list_ in found.items()}


def odd(k, ok, order, tall):
    """Points of a frame that can't all be where they are labelled; tall: its height at the withers, px."""
    at = {n: k[i, :2] for i, n in enumerate(order) if ok[i]}
    bad = set()
    for side in ('Left', 'Right'):
        for (upper, lower), (least, most) in SEGMENTS.items():
            ends = {side + upper, side + lower}
            if ends <= at.keys() and not least < np.hypot(*(at[side + upper] - at[side + lower])) / tall < most:
                bad |= ends
    for n in ('Nostril', 'Poll'):
        if n in at and 'Withers' in at and not AHEAD[0] < (at['Withers'][0] - at[n][0]) / tall < AHEAD[1]:
            bad.add(n)
    return [order.index(n) for n in bad]


def walk_rows(root, hand_horses, every=4, every_val=8):
    labels = json.load(open(f'{root}/walk-frames/labels.json'))
    for f in labels['frames']:
        k = np.array(f['keypoints'])
        f['source_kp'] = k[:, :2] / f['scale'] + np.array(f['crop'][:2])
    bad = swapped(labels['frames'])
    tall = heights(labels['frames'], labels['names'])
    order = list(WALK_FROM)
    source = [labels['names'].index(n) for n in order]
    legs = [i for i, n in enumerate(order) if 'Left' in n or 'Right' in n]
    for f in labels['frames']:
        held_out = f['part'] == 'val' or f['horse'] in hand_horses
        if f['frame'] % (every_val if held_out else every):
            continue
        k = np.array(f['keypoints'], np.float32)[source]
        ok = k[:, 2] > 0.6
        if f['file'] in bad:
            ok[legs] = False
        for left, right in (('LeftFrontHoof', 'RightFrontHoof'), ('LeftHindHoof', 'RightHindHoof')):
            i, j = order.index(left), order.index(right)
            if np.hypot(*(k[i, :2] - k[j, :2])) < 3:
                ok[[i, j]] = False
        ok[odd(k, ok, order, tall[f['clip']] * f['scale'])] = False
        kp = np.zeros((len(NAMES), 3), np.float32)
        for row, good, name in zip(k, ok, WALK_FROM.values()):
            kp[INDEX[name]] = [row[0], row[1], float(good)]
        if ok.sum() < 8:
            continue
        part = 'val' if held_out else 'train'
        # Below this row the crop leaves the source picture (1242 px high) and is black.
        bottom = int((1242 - f['crop'][1]) * f['scale'])
        yield dict(path=f'{root}/walk-frames/frames/{f["file"]}', kp=kp, part=part, source='walk', view=0, mask=None, bottom=bottom)


def photo_rows(root):
    labels = json.load(open(f'{root}/photos/labels.json'))
    names = labels['names']
    for f in labels['frames']:
        for horse in f['horses']:
            k = np.array(horse['keypoints'], np.float32)
            if (k[:, 2] > 0).sum() < 8:
                continue
            kp = np.zeros((len(NAMES), 3), np.float32)
            for i, n in enumerate(names):
                kp[INDEX[PHOTO_FROM[n]]] = [k[i, 0], k[i, 1], float(k[i, 2] > 0)]
            yield dict(path=f'{root}/photos/frames/{f["file"]}', kp=kp, part='test' if f['part'] == 'test' else 'train', source='photo', view=-1, mask=None)


def main():
    root, out = sys.argv[1:3]
    limit = int(sys.argv[sys.argv.index('--limit') + 1]) if '--limit' in sys.argv else None
    hand = list(hand_rows(root))
    val_horses = {os.path.basename(r['path']).split('-')[1] for r in hand if r['source'] == 'handwalk' and r['part'] == 'val'}
    mended = Mended()
    rows = mended.applied(root, hand + list(walk_rows(root, val_horses)) + list(photo_rows(root)))
    if limit:
        rows = rows[:: max(1, len(rows) // limit)]
    pictures, masks, table = [], [], collections.defaultdict(list)
    for r in rows:
        im = Image.open(r['path']).convert('RGB')
        if r.get('bottom') and r['bottom'] < im.height:
            im = im.crop((0, 0, im.width, max(r['bottom'], 10)))
        centre, side = square(r['kp'])
        size = int(min(max(side, 288), STORED.get(r['source'], STORED_HAND)))
        pic, x0, y0, s = cut(im, centre, side, size)
        kp = r['kp'].copy()
        kp[:, :2] = (kp[:, :2] + 0.5 - [x0, y0]) * s / size  # 0..1 from edge to edge, so that sizes may differ
        b = io.BytesIO()
        pic.save(b, 'JPEG', quality=QUALITY.get(r['source'], 86))
        pictures.append(b.getvalue())
        m = io.BytesIO()
        if r['mask'] and os.path.exists(r['mask']):
            cut(Image.open(r['mask']).convert('L').resize(im.size), centre, side, 128, Image.BILINEAR, edge=False)[0].save(m, 'PNG')
        masks.append(m.getvalue())
        for k in ('part', 'source', 'view'):
            table[k].append(r[k])
        table['kp'].append(kp)
        table['fold'].append(fold_of(mended.first(os.path.relpath(r['path'], root))) if r['part'] == 'train' else -1)
        table['name'].append(os.path.relpath(r['path'], root))
    offsets = lambda parts: np.cumsum([0] + [len(p) for p in parts])
    np.savez(
        out,
        pictures=np.frombuffer(b''.join(pictures), np.uint8),
        picture_offsets=offsets(pictures),
        masks=np.frombuffer(b''.join(masks), np.uint8),
        mask_offsets=offsets(masks),
        names=np.array(NAMES),
        hand=len(HAND),
        **{k: np.array(v) for k, v in table.items()},
    )
    print(collections.Counter(zip(table['source'], table['part'])), os.path.getsize(out) / 2**20, 'MiB')


if __name__ == "__main__":
    main()
