/** The usual cautions, said wherever the horse is led, filmed or measured; common practice, no source. */
export const CAUTIONS = {
  notAnExamination:
    'This is not a lameness or soundness examination, a judge\u2019s mark, a price or a verdict on talent.',
  vet: 'Irregular steps, head nodding or reluctance to move belong to a veterinarian.',
  handling: [
    'Level ground; the camera person stays outside the kick line.',
    'Handler in gloves, boots and helmet; never wrap the rope round the hand.',
    'Stop when the horse is upset. Children do not lead youngsters.',
    'Follow the rules of the venue and of the breed society.',
  ],
} as const;
