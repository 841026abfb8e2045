// Words that stand on every page.
export const common = {
  name: 'Mesure',
  left: 'left',
  right: 'right',
  undo: 'Undo',
  redo: 'Redo',
  cancel: 'Cancel',
  close: 'Close',
  saved: 'Saved',
  saving: 'Saving',
};
