"""How far off the shipped way sees toes, withers, croup and poll: forward and up, in % of the height at the withers.

    python3 point_errors.py DATA      # the `val` part of DATA/hand/labels.json: src/gait/pointErrors.ts
    python3 point_errors.py           # the drawn horses of sample-clips/: tests/accuracy/drawnErrors.ts

SD: robust, about zero (1.4826 x median of the sizes), so that it holds the mean error as well. What is seen of one horse
(one pass of a clip) is split into what it shares (`between`) and the rest (`within`), each toe by itself, by sums of
squares: within^2 = SS / (n - groups), between^2 = mean of the groups' squared means - within^2 / size of a group.
"""

import json
import subprocess
import sys
import tempfile
from collections import defaultdict
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
POINTS = ('withers', 'croup', 'poll', 'toe')
LIMB = {'left_fore_hoof': 'LF', 'left_hind_hoof': 'LH', 'right_fore_hoof': 'RF', 'right_hind_hoof': 'RH'}
# A hoof is surely down from so long after it lands to so long before it leaves, s.
AFTER, BEFORE = 0.05, 0.1


def ledwalk(*command):
    return subprocess.run(['node', str(ROOT / 'scripts/cli.mjs'), *map(str, command)], check=True, stdout=subprocess.PIPE).stdout


def kind(name):
    return 'toe' if name in LIMB else name


def errors(points, seen, view):
    """name -> [forward, up] of a picture; `points`: name -> [x, y, ...], `seen`: name -> {x, y}."""
    tall = max(p[1] for n, p in points.items() if n in LIMB) - points['withers'][1]
    ahead = -1 if view == 'left' else 1
    shown = {n: p for n, p in points.items() if kind(n) in POINTS and n in seen}
    return {n: 100 * np.array([ahead * (seen[n]['x'] - p[0]), p[1] - seen[n]['y']]) / tall for n, p in shown.items()}


def by_hand(data):
    """part -> point -> (horse, name) -> errors; the walk frames show the same horses again and again."""
    horses = {f['file']: f['horse'] for f in json.loads((data / 'walk-frames/labels.json').read_text())['frames']}
    labels = json.loads((data / 'hand/labels.json').read_text())['images']
    has_height = lambda kp: 'withers' in kp and any(n in LIMB for n in kp)
    chosen = {k: i for k, i in labels.items() if i['part'] == 'val' and has_height(i['kp'])}
    out = defaultdict(lambda: defaultdict(lambda: defaultdict(list)))
    for (key, image), result in zip(chosen.items(), json.loads(ledwalk('keypoints', *(data / k for k in chosen)))):
        horse = horses.get(Path(key).name)
        seen = result['horses'][0]['points'] if result['horses'] else {}
        for name, e in errors(image['kp'], seen, image['view']).items():
            out['frames' if horse else 'photographs'][kind(name)][horse or key, name].append(e)
    return out


def of_clip(stem):
    """(point, name, errors) of the clip's side passes: of withers, croup and poll each frame's, of toes each stance's median."""
    truth = json.loads(Path(f'{stem}.truth.json').read_text())
    with tempfile.NamedTemporaryFile(suffix='.json') as file:
        ledwalk('analyse', f'{stem}.mp4', '--keypoints', file.name)
        frames = json.loads(Path(file.name).read_text())['frames']
    times = np.array([f['timeS'] for f in truth['frames']])
    found = defaultdict(list)
    for frame in frames:
        at = frame['timeS']
        drawn = truth['frames'][np.abs(times - at).argmin()]
        if not any(p['kind'] == 'side' and p['startS'] <= at <= p['endS'] for p in truth['passes']):
            continue
        points = {n: p for n, p in zip(truth['points'], drawn['points']) if p}
        for name, e in errors(points, frame['smoothed'], drawn['view']).items():
            down = [i for i, s in enumerate(truth['stances']) if s['limb'] == LIMB.get(name) and s['onS'] + AFTER < at < s['offS'] - BEFORE]
            if name not in LIMB or down:
                found[name, down[0] if down else None].append(e)
    for (name, _), e in found.items():
        yield kind(name), name, [np.median(e, axis=0)] if name in LIMB else e


def by_drawing():
    out = defaultdict(lambda: defaultdict(list))
    for file in sorted((ROOT / 'sample-clips').glob('*.truth.json')):
        stem = str(file).removesuffix('.truth.json')
        for point, name, e in of_clip(stem):
            out[point][stem, name] += e
    return {'clips': out}


def robust(e):
    return 1.4826 * np.median(np.abs(e))


def split(groups):
    """(between, within) of lists of errors; between is 0 where the groups' means differ by less than chance."""
    n = sum(map(len, groups))
    within2 = sum(((g - g.mean()) ** 2).sum() for g in groups) / (n - len(groups))
    between2 = np.mean([g.mean() ** 2 for g in groups]) - within2 * len(groups) / n
    return np.sqrt(max(0, between2)), np.sqrt(within2)


def report(groups, label):
    e = np.concatenate(groups)
    mid = np.median(e)
    text = f'{label}: n {len(e)}, median {mid:.2f}, SD about it {robust(e - mid):.2f}, about zero {robust(e):.2f}'
    text += f', 95 % within {np.percentile(np.abs(e), 95):.1f}'
    if len(e) > 2 * len(groups):
        between, within = split(groups)
        text += f'; between {between:.2f}, within {within:.2f} ({len(groups)} groups)'
    print(text)


if __name__ == '__main__':
    every = by_hand(Path(sys.argv[1]).resolve()) if len(sys.argv) > 1 else by_drawing()
    for part, points in every.items():
        for point in POINTS:
            for axis, label in enumerate(('forward', 'up')):
                report([np.array(g)[:, axis] for g in points[point].values()], f'{part}, {point} {label}')
