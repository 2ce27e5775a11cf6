"""Names of the network's channels, and how each source's points map onto them."""

# In the order of src/points.ts; these are exported, the rest only help training.
HAND = [
    'muzzle', 'poll', 'withers', 'croup', 'tailhead', 'point_of_shoulder', 'point_of_elbow',
    'left_fore_knee', 'left_fore_fetlock', 'left_fore_hoof', 'left_hind_hock', 'left_hind_fetlock', 'left_hind_hoof',
    'right_fore_knee', 'right_fore_fetlock', 'right_fore_hoof', 'right_hind_hock', 'right_hind_fetlock', 'right_hind_hoof',
    'left_point_of_shoulder', 'right_point_of_shoulder',
]  # fmt: skip

# The walk frames' points, c_: hooves, hocks, poll and withers are defined otherwise; knees and fetlocks lie up to 1.7 % of H off ours.
WALK_FROM = {
    'Nostril': 'c_nostril', 'Poll': 'c_poll', 'Withers': 'c_withers',
    'RightKnee': 'right_c_fore_knee', 'RightFrontFetlock': 'right_c_fore_fetlock', 'RightFrontHoof': 'right_c_fore_hoof',
    'LeftKnee': 'left_c_fore_knee', 'LeftFrontFetlock': 'left_c_fore_fetlock', 'LeftFrontHoof': 'left_c_fore_hoof',
    'RightHock': 'right_c_hind_hock', 'RightHindFetlock': 'right_c_hind_fetlock', 'RightHindHoof': 'right_c_hind_hoof',
    'LeftHock': 'left_c_hind_hock', 'LeftHindFetlock': 'left_c_hind_fetlock', 'LeftHindHoof': 'left_c_hind_hoof',
}  # fmt: skip

PHOTO_FROM = {
    'croup': 'p_croup', 'withers': 'p_withers', 'poll': 'p_poll', 'nose': 'p_nose',
    'L_stifle': 'left_p_stifle', 'R_stifle': 'right_p_stifle', 'L_hock': 'left_p_hock', 'R_hock': 'right_p_hock',
    'L_hind_hoof': 'left_p_hind_hoof', 'R_hind_hoof': 'right_p_hind_hoof', 'L_elbow': 'left_p_elbow', 'R_elbow': 'right_p_elbow',
    'L_knee': 'left_p_knee', 'R_knee': 'right_p_knee', 'L_front_hoof': 'left_p_fore_hoof', 'R_front_hoof': 'right_p_fore_hoof',
}  # fmt: skip

NAMES = HAND + list(WALK_FROM.values()) + list(PHOTO_FROM.values())
VIEWS = ['left', 'right', 'away', 'towards']


def mirrored():
    """Channel that each channel becomes in a mirrored picture."""
    index = {n: i for i, n in enumerate(NAMES)}
    other = lambda n: n.replace('left_', 'right_') if n.startswith('left_') else n.replace('right_', 'left_')
    return [index[other(n)] for n in NAMES]
