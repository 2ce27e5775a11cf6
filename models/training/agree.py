"""What several teachers agree on, as labels for points that have none, and what a teacher says of pictures that it never saw.

usage: agree.py DATA.npz PSEUDO.npz LOOKS.npz ...

`kp` [n, 21, 3]: where all looks of all teachers agree (x, y in 0..1 of the stored square, v = 1 given); `view`: as
given, else as all teachers have it; `unseen` [n, 21, 3]: the hand-labelled pictures as seen by the teacher whose fold
they are in; `tall` [n, 1]: withers height in the same unit.
"""

import sys

import numpy as np
import torch

from data import CROP
from names import HAND, NAMES
from pack import MARGIN

# Shift from the walk frames' own label to ours, share of the withers height, horse facing left (measured by hand on 72 frames).
TOE_SHIFT = {'left_fore_hoof': (-0.027, 0.031), 'right_fore_hoof': (-0.034, 0.022), 'left_hind_hoof': (-0.047, 0.024), 'right_hind_hoof': (-0.040, 0.021)}
TALL = 0.43 * 1.16 / MARGIN  # of the horse in a square about its points, on average


def agrees_with_label(centre, kp):
    """False where the walk frames' own label, shifted to ours, lies elsewhere (left and right exchanged, mostly)."""
    ok = torch.ones(centre.shape[:2], dtype=torch.bool)
    for name, shift in TOE_SHIFT.items():
        i, j = HAND.index(name), NAMES.index(name.replace('_', '_c_', 1))
        away = (centre[:, i] - kp[:, j, :2] - torch.tensor(shift) * TALL).norm(dim=-1)
        ok[:, i] &= (kp[:, j, 2] == 0) | (away < 0.05 * TALL)
    return ok


def agreed(points, scores):
    """Median of looks [m, n, 21, 2] and where they agree."""
    centre = points.median(0).values
    spread = (points - centre).norm(dim=-1).mean(0)
    return centre, (spread < 0.013 * TALL) & (scores.mean(0) > 0.4)


def main():
    z = np.load(sys.argv[1])
    kp, fold = torch.tensor(z['kp']), torch.tensor(z['fold'])
    teachers = [{k: torch.tensor(v) for k, v in np.load(path).items()} for path in sys.argv[3:]]
    centre, ok = agreed(torch.cat([t['points'] for t in teachers]), torch.cat([t['scores'] for t in teachers]))
    ok &= agrees_with_label(centre, kp) & torch.tensor(z['part'] == 'train')[:, None]
    unseen = torch.zeros(len(kp), len(HAND), 3)
    for t in teachers:
        mine = (fold == t['fold']) & torch.tensor(np.char.startswith(z['source'], 'hand'))
        at, sure = agreed(t['points'], t['scores'])
        unseen[mine] = torch.cat([at, sure[:, :, None].float()], -1)[mine]
    odds = torch.stack([t['views'] for t in teachers]).mean(0)
    view = torch.tensor(z['view'])
    view = torch.where((odds.max(1).values > 0.9) & (view < 0), odds.argmax(1), view)
    np.savez(sys.argv[2], kp=torch.cat([centre, ok[:, :, None].float()], -1).numpy(), view=view.numpy(), unseen=unseen.numpy(), tall=np.full((len(kp), 1), TALL, np.float32))
    print('agreed', int(ok.sum()), 'unseen', int(unseen[:, :, 2].sum()), flush=True)


main()
