// Words that stand on every page.
export const common = {
  name: 'Mesure',
  left: 'left',
  right: 'right',
  both: 'both',
  none: 'none',
  undo: 'Undo',
  redo: 'Redo',
  cancel: 'Cancel',
  close: 'Close',
  saved: 'Saved',
  saving: 'Saving',
  percent: '{n} %',
  secondsLeft: { one: 'a second left', other: '{n} seconds left' },
  minutesLeft: { one: 'a minute left', other: '{n} minutes left' },
  bytes: '{n} MB',
  keys: 'Keys',
};
