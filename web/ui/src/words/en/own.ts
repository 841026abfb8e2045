// A fencer's own numbers; loaded where they are set.
export const own = {
  title: 'Own numbers',
  about: 'They serve all touches of the bout. An empty field takes the usual number.',
  figure: 'Figure',
  value: 'Own number',
  sd: 'Give or take',
  bad: 'Write {least} to {most} {unit}.',
  badSD: 'Write 0 to {most} {unit}.',
  count: { one: '{n} own number', other: '{n} own numbers' },
};
