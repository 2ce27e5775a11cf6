"""Packs drawn pictures (npm run pictures) like pack.py does the others.

usage: pack_drawn.py FOLDER [FOLDER ...] OUT.npz

Sources `drawn` (seen from the side) and `drawnaxis`; one scene in thirty is `val`. The points of shoulder and elbow are those of
the side seen: not given where the horse is seen from the front or behind.
"""

import io
import json
import sys
from multiprocessing import Pool

import numpy as np
from PIL import Image

from names import HAND, NAMES, VIEWS
from pack import INDEX, cut, square

STORED = 400


def packed(row):
    path, names, image = row
    kp = np.zeros((len(NAMES), 3), np.float32)
    for name in names:
        x, y, v = image['points'].get(name, (0, 0, 0))
        kp[INDEX[name]] = [x, y, float(v > 0)]
    if (kp[:, 2] > 0).sum() < 8:
        return None
    if image['view'] in ('away', 'towards'):
        kp[[INDEX['point_of_shoulder'], INDEX['point_of_elbow']]] = 0
    picture = Image.open(path).convert('RGB')
    centre, side = square(kp)
    size = int(min(max(side, 288), STORED))
    pic, x0, y0, s = cut(picture, centre, side, size)
    kp[:, :2] = (kp[:, :2] + 0.5 - [x0, y0]) * s / size
    b = io.BytesIO()
    pic.save(b, 'JPEG', quality=90)
    return b.getvalue(), kp, VIEWS.index(image['view']), image['seed']


def main():
    rows = []
    for folder in sys.argv[1:-1]:
        labels = json.load(open(f'{folder}/labels.json'))
        rows += [(f'{folder}/{i["file"]}', [n for n in labels['names'] if n in HAND], i) for i in labels['images']]
    with Pool() as pool:
        made = pool.map(packed, rows, chunksize=32)
    rows = [r for r, m in zip(rows, made) if m]
    made = [m for m in made if m]
    n = len(made)
    offsets = np.cumsum([0] + [len(m[0]) for m in made])
    views = np.array([m[2] for m in made])
    np.savez(
        sys.argv[-1],
        pictures=np.frombuffer(b''.join(m[0] for m in made), np.uint8),
        picture_offsets=offsets,
        masks=np.zeros(0, np.uint8),
        mask_offsets=np.zeros(n + 1, np.int64),
        kp=np.array([m[1] for m in made]),
        view=views,
        source=np.where(views < 2, 'drawn', 'drawnaxis'),
        part=np.where(np.array([m[3] for m in made]) % 30 == 7, 'val', 'train'),
        fold=np.full(n, -1),
        name=np.array([r[0] for r in rows]),
    )
    print(n, 'drawn pictures,', np.bincount(views), 'by view', offsets[-1] / 2**20, 'MiB')


if __name__ == '__main__':
    main()
