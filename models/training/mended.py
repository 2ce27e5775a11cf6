"""Applies mended_labels.json to the labelled rows that pack.py gathers.

`train`: rows found wrong by a look at the picture, by data set (`source`: hand, walk, photo), path in DATA and points (channels
of names.py). `drop` leaves the points out, `swap` exchanges the two points named, `drop picture` leaves the row out.
`twins`: pictures that are there more than once; a training picture whose twin is `val` is left out, and a twin has the
fold of the first. `val`: the same for held-out labels; training never reads it, the figures are told with and without.
"""

import collections
import json
import os

from names import NAMES

FILE = os.path.join(os.path.dirname(os.path.abspath(__file__)), 'mended_labels.json')


class Mended:
    def __init__(self, file=FILE):
        self.file = json.load(open(file))
        self.by_row = collections.defaultdict(list)
        for one in self.file['train']:
            self.by_row[one['source'], one['path']].append(one)
        self.twins = {path: twins for twins in self.file['twins'] for path in twins}

    def first(self, path):
        return self.twins.get(path, [path])[0]

    def applied(self, root, rows):
        """The rows that stay, their points mended. Raises where the file names what is not there (a wrong path or point)."""
        parts = {os.path.relpath(r['path'], root): r['part'] for r in rows if r['part'] == 'val'}
        kept, used, leaked = [], set(), []
        for row in rows:
            path = os.path.relpath(row['path'], root)
            key = ('hand' if row['source'].startswith('hand') else row['source'], path)
            if row['part'] == 'train' and any(parts.get(twin) == 'val' for twin in self.twins.get(path, [])):
                leaked.append(path)
                continue
            wrong = self.by_row.get(key, [])
            used.update(key for _ in wrong)
            if any(one['decision'] == 'drop picture' for one in wrong):
                continue
            for one in wrong:
                mend(row['kp'], one)
            kept.append(row)
        left = set(self.by_row) - used
        if left:
            raise ValueError(f'mended_labels.json names rows that are not there: {sorted(left)}')
        counts = collections.Counter((one['source'], one['decision']) for one in self.file['train'])
        print('mended:', dict(counts), 'left out as twins of val:', sorted(set(leaked)))
        return kept


def mend(kp, one):
    at = [NAMES.index(n) for n in one['points']]
    if one['decision'] == 'drop':
        kp[at] = 0
    elif one['decision'] == 'swap':
        kp[at] = kp[at[::-1]]
    else:
        raise ValueError(f'no such decision: {one}')
